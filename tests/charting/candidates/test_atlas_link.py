"""From a picked line to all that the atlas says of it."""

import pytest

from bodymaps import atlas
from bodymaps.patterns import LAYERS


def picked(client, visit, pick):
    address = f"/visits/{visit.pk}/what-to-examine/"
    return client.get(address, {"pick": pick}, headers={"HX-Request": "true"}).content.decode()


@pytest.mark.parametrize(
    ("pick", "address"),
    [("infraspinatus.right.all", "/atlas/muscle/infraspinatus/"), ("C6.left", "/atlas/root/C6/")],
)
def test_a_picked_line_leads_to_its_entry(as_mara, visit, pick, address):
    assert f'href="{address}"' in picked(as_mara, visit, pick)
    assert as_mara.get(address).status_code == 200


@pytest.mark.parametrize("layer", LAYERS)
def test_so_does_a_nerve_a_plexus_a_joint_and_an_organ(as_mara, visit, layer):
    one = next(iter(atlas.load().structures[layer].values()))
    address = f"/atlas/{layer}/{one.id}/"
    assert f'href="{address}"' in picked(as_mara, visit, f"{one.id}.{one.held_sides[0]}")
    assert as_mara.get(address, follow=True).status_code == 200
