"""A source by its name, from the whole atlas."""

import pytest

from bodymaps import atlas
from charting.assessment.forms import by_name, offered_names


@pytest.mark.parametrize(
    ("typed", "by"),
    [
        ("Infraspinatus, left", ("muscle", "infraspinatus", "left")),
        ("left infraspinatus", ("muscle", "infraspinatus", "left")),
        ("nerve root c6, RIGHT", ("root", "C6", "right")),
        ("median nerve right", ("peripheral_nerve", "median", "right")),
    ],
)
def test_it_finds_a_name_as_one_types_it(typed, by):
    assert by_name(typed, atlas.load()) == by


def test_every_name_it_offers_is_found_again():
    known = atlas.load()
    assert [name for name in offered_names(known) if isinstance(by_name(name, known), str)] == []


@pytest.mark.parametrize(
    ("typed", "words"),
    [("infraspinatus", "Say which side"), ("zzz left", "The atlas knows no"), ("facet right", "Several fit")],
)
def test_it_says_what_to_mend_of_a_name_that_is_none(typed, words):
    assert words in by_name(typed, atlas.load())
