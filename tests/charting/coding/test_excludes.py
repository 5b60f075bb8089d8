"""Which codes may not stand together, by the Excludes1 notes of the list."""

import itertools
import re

import pytest
import simple_icd_10_cm as package

from charting.coding import excludes, table
from charting.coding.excludes import APART, NEVER, Reference, pairs, references


def entries(*codes):
    found = [table.load().entry(code) for code in codes]
    assert all(found), codes
    return found


def excluded(one: str, other: str, kind: str = NEVER) -> bool:
    forth, back = bool(pairs(entries(one, other), kind)), bool(pairs(entries(other, one), kind))
    assert forth == back, (one, other)
    return forth


# The reference of the trade, checked against the tabular list.
@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("M79.18", "M79.7"),
        ("M79.10", "M60.9"),
        ("M54.2", "M50.20"),
        ("M54.12", "M50.122"),
        ("M54.12", "M79.2"),
        ("M54.16", "M51.16"),
        ("M54.12", "M47.22"),
        ("G54.0", "M54.12"),
        ("G54.2", "M50.121"),
        ("G54.0", "M79.2"),
        ("M54.50", "M54.41"),
        ("M54.59", "S39.012A"),
        ("M54.50", "M51.26"),
        ("M54.50", "M51.360"),
        ("M54.50", "M51.370"),
    ],
)
def test_what_excludes_each_other_is_found_from_either_side(one, other):
    assert excluded(one, other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("M79.18", "M54.2"),
        ("M79.12", "M79.18"),
        ("M54.50", "M51.379"),
        ("M54.2", "M54.6"),
        ("M25.511", "M79.601"),
    ],
)
def test_what_may_stand_together_is_left_alone(one, other):
    assert not excluded(one, other)


def test_another_thing_is_no_refusal():
    assert excluded("M25.511", "M79.601", APART) and not excluded("M25.511", "M79.601", NEVER)


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("fibromyalgia (M79.7)", [("M79.7", "M79.7", "")]),
        ("myositis (M60.-)", [("M60", "M60", "")]),
        ("mononeuropathies (G56-G58)", [("G56", "G58", "")]),
        ("abortion (O00-O07, O08.7)", [("O00", "O07", ""), ("O08.7", "O08.7", "")]),
        ("elbow (S52.- with open fracture 7th character)", [("S52", "S52", "open fracture 7th character")]),
        ("neuralgic amyotrophy in diabetes mellitus (E08-E13 with .44)", [("E08", "E13", ".44")]),
        ("spondylosis (M47.0-, M47.2.-)", [("M47.0", "M47.0", ""), ("M47.2", "M47.2", "")]),
        ("rheumatic fever (I01.0 -I01.9)", [("I01.0", "I01.9", "")]),
        ("atherosclerosis (I70.2--I70.7-)", [("I70.2", "I70.7", "")]),
        ("hearing loss as classified in H90.-", [("H90", "H90", "")]),
        ("current injury - see injury of spine by body region", []),
    ],
)  # fmt: skip
def test_it_reads_what_a_note_names(words, named):
    """Notes as the list prints them."""
    assert references(words) == tuple(Reference(*one) for one in named)


def test_ranges_and_seventh_characters_are_kept_to():
    """G56-G58 at M79.2; "open skull fracture (S02.- with 7th character B)" at S01; diabetes "with .44" at
    G54.5.
    """
    assert excluded("M79.2", "G57.01") and not excluded("M79.2", "M54.2")
    assert excluded("S01.01XA", "S02.0XXB") and not excluded("S01.01XA", "S02.0XXA")
    assert excluded("G54.5", "E11.44") and not excluded("G54.5", "E11.42")
    # "open fracture of shoulder and upper arm (S42.- with 7th character B or C)" at S41.
    assert excluded("S41.011A", "S42.201B", APART) and not excluded("S41.011A", "S42.201A", APART)


def test_every_note_that_names_a_code_is_understood():
    """Every Excludes note of the package: what it names stands in the list, and no code in brackets is
    missed.
    """
    known, left = table.load(), []
    for code in package.get_all_codes():
        for words in (*package.get_excludes1(code), *package.get_excludes2(code)):
            named = [one for each in references(words) for one in (each.first, each.last)]
            in_brackets = re.findall(excludes.ONE, " ".join(re.findall(r"\([^()]*\)", words)))
            left += [
                (code, words, one) for one in named if known.span(one) is None and known.entry(one) is None
            ]
            left += [(code, words, one) for one in in_brackets if one not in named and known.entry(one)]
    # A slip of the list itself: R10.4 is named as the end of a range and is no code any more.
    assert {one for *_, one in left} <= {"R10.4"}


def test_every_pair_of_a_plain_note_is_refused():
    """Every Excludes1 note about muscles, nerves and symptoms that names one code: that code and the one it
    stands at never go together, whichever billable codes are taken below the two.
    """
    known, seen = table.load(), 0
    for code in package.get_all_codes():
        if code[0] not in "MGR" or "-" in code or not known.entry(code):
            continue
        for words in package.get_excludes1(code):
            plain = re.fullmatch(r"[^()]*\(([A-Z][0-9][0-9A-Z]\.?[0-9A-Z]*)(?:\.?-)?\)", words)
            here, there = known.entry(code), known.entry(plain.group(1)) if plain else None
            if here and there:
                one, other = first(here), first(there)
                if one != other:
                    assert pairs((one, other), NEVER), (code, words)
                    seen += 1
    assert seen > 500


def first(entry):
    return entry if entry.billable else next(table.load().billable_below(entry))


def test_each_two_are_told_once():
    codes = ("M79.18", "M79.7", "M54.2", "M60.9")
    told = [frozenset((pair.one.code, pair.other.code)) for pair in pairs(entries(*codes), NEVER)]
    apart = [frozenset(two) for two in itertools.combinations(codes, 2) if excluded(*two)]
    assert len(told) == len(set(told)) == len(apart) == 2
