"""A device in the hands of a patient who is asked the story first."""

import pytest
from django.test import Client

from charting.telling.models import Telling


def handed_over(visit, by, **more) -> Client:
    """A device that `by` handed over for the story of `visit`, name and birth date confirmed."""
    client = Client()
    client.force_login(by)
    client.post(f"/visits/{visit.pk}/hand-over/", {"tells": "story", **more})
    client.post("/board/confirm/", {"is_me": "yes"})
    return client


@pytest.fixture
def device(blank, mara) -> Client:
    return handed_over(blank, mara)


def answer(client, group, go="next", **answers):
    return client.post(f"/board/story/{group}/", {"go": go, **answers})


def tap(client, group, go="stay", **answers):
    """As the script sends it when a chip is tapped."""
    return client.post(
        f"/board/story/{group}/", {"go": go, **answers}, headers={"Accept": "application/json"}
    )


def told() -> Telling:
    return Telling.objects.get()
