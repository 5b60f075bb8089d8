"""Finding an entry by name: Latin, English, ids and abbreviations, by form and as one types."""

import re
import tomllib

import pytest

from bodymaps import atlas as release
from bodymaps import parts, regions
from charting.atlas import names
from charting.atlas.kinds import BY_SLUG, KINDS, entries

PIECE = {"HX-Request": "true"}


def links(response) -> list[str]:
    return re.findall(r'href="/atlas/(\w+/[\w.-]+)/"', response.content.decode())


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("C6", "root/C6"),
        ("c6", "root/C6"),
        ("S4-S5", "root/S4_5"),
        ("nerve root t1", "root/T1"),
        ("infraspinatus", "muscle/infraspinatus"),
        ("INFRA spin", "muscle/infraspinatus"),
        ("trapezius_upper", "muscle/trapezius_upper"),
        ("upper trapezius", "muscle/trapezius_upper"),
        ("pars descendens", "muscle/trapezius_upper"),
        ("scm", "muscle/sternocleidomastoid_sternal"),
        ("psoas", "muscle/iliopsoas"),
        ("QL", "muscle/quadratus_lumborum"),
        ("médian", "nerve/median"),
        ("carpal tunnel", "nerve/median"),
        ("thoracic outlet", "plexus/brachial_lower_trunk"),
        ("SI joint", "joint/sacroiliac"),
    ],
)
def test_it_finds_an_entry_by_any_of_its_names(as_mara, typed, first):
    assert first in links(as_mara.get("/atlas/", {"q": typed}))[:2]


def test_a_single_letter_finds_only_what_begins_with_it(as_mara):
    """From three letters on a word is also found within another."""
    begun = names.found(release.load(), "q")
    assert begun and all(re.search(r"\bq", each.sought) for each in begun)
    assert "muscle/occipitofrontalis" in links(as_mara.get("/atlas/", {"q": "frontalis"}))


def test_it_says_so_when_nothing_has_that_name(as_mara):
    answer = as_mara.get("/atlas/", {"q": "xyzzy"})
    assert "Nothing of that name" in answer.content.decode()
    assert links(answer) == []


def test_every_entry_stands_in_the_lists_once(as_mara):
    known = release.load()
    listed = links(as_mara.get("/atlas/"))
    expected = {f"{kind.slug}/{name}" for kind in KINDS for name in entries(known, kind)}
    assert len(listed) == len(set(listed))
    assert set(listed) == expected


def test_it_lists_one_kind_alone_and_keeps_what_was_typed(as_mara):
    answer = as_mara.get("/atlas/", {"kind": "root"})
    assert {link.split("/")[0] for link in links(answer)} == {"root"}
    both = as_mara.get("/atlas/", {"kind": "root", "q": "infraspinatus"})
    assert "Nothing of that name among these" in both.content.decode()
    assert "q=infraspinatus&amp;kind=muscle" in both.content.decode()


def test_typing_brings_the_answer_alone(as_mara):
    piece = as_mara.get("/atlas/", {"q": "deltoid"}, headers=PIECE).content.decode()
    assert "<html" not in piece
    assert "muscle/deltoideus_medius" in piece
    # What lay over the figure goes with the question that put it there.
    assert piece.count('hx-swap-oob="true"') == 5


def test_other_names_belong_to_entries_that_there_are():
    known = release.load()
    told = tomllib.loads((names.FOLDER / "other_names.toml").read_text(encoding="utf-8"))
    for slug, those in told.items():
        assert set(those) <= set(entries(known, BY_SLUG[slug])), slug


def test_too_long_a_text_is_refused_in_words(as_mara):
    answer = as_mara.get("/atlas/", {"q": "x" * 121})
    assert answer.status_code == 422
    assert "120 at most" in answer.content.decode()


def test_the_body_parts_hold_every_group_and_every_part_once():
    known = release.load()
    groups = [group for part in names.body_parts() for group in part.groups]
    assert len(groups) == len(set(groups))
    assert {muscle.group for muscle in known.muscles.values()} <= set(groups)
    listed = [part for each in names.body_parts() for part in each.parts]
    assert sorted(listed) == sorted({part.id for part in parts.load().parts})


def test_every_region_lies_in_the_part_it_belongs_to():
    for one in regions.load()[::7]:
        x, y = one.area.representative_point().coords[0]
        assert names.part_at(one.view, x, y) == parts.part_of(one.id, one.side)
