"""The kinds of pain and the findings: told apart by word, colour and texture, and readable on white."""

from itertools import combinations

import pytest

from bodymaps import kinds
from bodymaps.kinds import Kind

# Okabe M, Ito K, Color Universal Design, 2008: the set of eight, black left out (a finding has it).
OKABE_ITO = {"#e69f00", "#56b4e9", "#009e73", "#f0e442", "#0072b2", "#d55e00", "#cc79a7"}
ORDER = ("ache", "pressure", "burning", "stabbing", "shooting", "tingling", "numbness")


def test_there_are_seven_in_a_fixed_order() -> None:
    assert kinds.IDS == ORDER


def test_two_findings_follow_them() -> None:
    assert kinds.FINDINGS == ("less_feeling", "tender_spot")
    assert tuple(kind.id for kind in kinds.load()) == ORDER + kinds.FINDINGS


def test_each_has_a_colour_of_its_own_from_the_published_set() -> None:
    assert {kind.colour for kind in kinds.symptoms()} == OKABE_ITO


def test_a_finding_is_told_from_a_pain_by_the_lack_of_any_hue() -> None:
    for finding in kinds.FINDINGS:
        for colour in (kinds.kind(finding).colour, kinds.kind(finding).ink):
            assert colour[1:3] == colour[3:5] == colour[5:7]
    assert kinds.kind("less_feeling").colour != kinds.kind("tender_spot").colour


def test_the_board_is_told_which_are_findings() -> None:
    assert [one["id"] for one in kinds.as_json() if one["finding"]] == list(kinds.FINDINGS)


def luminance(colour: str) -> float:
    """Relative luminance after WCAG 2.2."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("kind", kinds.load(), ids=lambda kind: kind.id)
def test_its_ink_reads_on_white(kind: Kind) -> None:
    assert 1.05 / (luminance(kind.ink) + 0.05) >= 4.5


def directions(kind: Kind) -> set[str]:
    """Which ways the lines of a texture run: what the eye tells apart when no colour is left."""
    found = set()
    for line in kind.texture.lines:
        for (x1, y1), (x2, y2) in zip(line, line[1:], strict=False):
            if abs(y2 - y1) < 0.2 * abs(x2 - x1):
                found.add("across")
            elif abs(x2 - x1) < 0.2 * abs(y2 - y1):
                found.add("upright")
            else:
                found.add("falling" if (x2 - x1) * (y2 - y1) > 0 else "rising")
    return found


def signature(kind: Kind) -> tuple[object, ...]:
    """Directions, number of lines in the tile, and ink per mm² rounded coarsely."""
    return (frozenset(directions(kind)), len(kind.texture.lines), kind.texture.tile)


def test_no_two_textures_are_built_alike() -> None:
    for one, other in combinations(kinds.load(), 2):
        assert signature(one) != signature(other), (one.id, other.id)


@pytest.mark.parametrize("kind", kinds.load(), ids=lambda kind: kind.id)
def test_its_texture_leaves_paper_free_and_is_not_lost(kind: Kind) -> None:
    width, height = kind.texture.tile
    length = sum(
        ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
        for line in kind.texture.lines
        for (x1, y1), (x2, y2) in zip(line, line[1:], strict=False)
    )
    assert 0.08 < length * kind.texture.width / (width * height) < 0.45


def test_weights_are_shares_and_ache_counts_whole() -> None:
    assert all(0 < kind.weight <= 1 for kind in kinds.symptoms())
    assert kinds.kind("ache").weight == 1


def test_the_nerve_kinds_are_those_of_the_issue() -> None:
    assert {k.id for k in kinds.load() if k.nerve} == {"burning", "shooting", "tingling", "numbness"}


def test_a_finding_weighs_nothing_and_names_no_root() -> None:
    assert all(kind.weight == 0 and not kind.nerve for kind in kinds.load() if kind.finding)
