"""The data file of the review says what is wrong with it; its shades can be told apart in grey."""

import copy
import tomllib

import pytest

from charting.review.numbers import FILE, ReviewNumbersError, load, luminance_ratio, read, shades_for


def changed(section, **said):
    data = copy.deepcopy(tomllib.loads(FILE.read_text(encoding="utf-8")))
    data[section] = {**data[section], **said}
    return data


@pytest.mark.parametrize(
    ("section", "said", "words"),
    [
        ("shown", {"least": 1}, "shown: least: needs a whole number from 2 on"),
        ("shown", {"step": 3}, "shown: step: must divide least"),
        ("shown", {"source": ""}, "shown: needs a source"),
        ("bounds", {"level": 95}, "bounds: level: lies between 0 and 1"),
        ("ages", {"from": [0, 50, 30]}, "ages: from: begins at 0 and rises"),
        ("map", {"from": [5, 10]}, "map: fill: needs one shade for each"),
        ("map", {"from": [5, 10, 20, 40, 80, 161]}, "map: from: begins at 5, rises, in steps of 5"),
        ("map", {"fill": ["#ffffff", "#000000", "#777777", "#444444", "#333333", "#222222"]}, "darker"),
        ("map", {"fill": ["green", "#bbbbbb", "#999999", "#777777", "#555555", "#333333"]}, "no colour"),
    ],
)
def test_it_names_the_entry_and_what_to_mend(section, said, words):
    with pytest.raises(ReviewNumbersError, match=words):
        read(changed(section, **said))


def test_a_published_rate_needs_a_source():
    data = tomllib.loads(FILE.read_text(encoding="utf-8"))
    data["published"][0]["status"] = "rumour"
    with pytest.raises(ReviewNumbersError, match=r"review.toml: published Brady 2014.*needs a source"):
        read(data)


def test_the_shades_only_grow_darker_and_stand_apart_without_colour():
    # Relative luminance of WCAG 2.x: what is left of a colour in grey. The darkest against white passes the
    # 3:1 of WCAG 1.4.11 for graphics (checked: w3.org/TR/WCAG22, in use all over this product).
    fills = ["#ffffff", *(shade.fill for shade in load().shades)]
    assert all(luminance_ratio(one, other) > 1.3 for one, other in zip(fills, fills[1:], strict=False))
    assert luminance_ratio(fills[0], fills[-1]) > 3


def test_no_step_of_counts_straddles_two_shades():
    # Spans are five people wide and begin at multiples of five.
    for shade in load().shades:
        assert shade.least % load().step == 0


@pytest.mark.parametrize(
    ("most", "starts"),
    [
        (0, [5, 10, 20, 40, 80, 160]),
        (315, [5, 10, 20, 40, 80, 160]),
        (320, [5, 20, 40, 80, 160, 320]),
        (3150, [5, 160, 320, 640, 1280, 2560]),
    ],
)
def test_a_large_practice_has_all_its_shades(most, starts):
    shades = shades_for(most)
    assert [shade.least for shade in shades] == starts
    assert [shade.to for shade in shades] == [*(start - 1 for start in starts[1:]), None]
