"""The file of the signs: what the literature says of each, and that a broken entry is refused by name."""

from __future__ import annotations

import re

import pytest

from bodymaps.reasoning import items, muscle_signs
from bodymaps.reasoning.muscle_signs import FILE, FeltError, Signs, load

TEXT = (items.FOLDER / FILE).read_text(encoding="utf-8").partition("\n\n")[2]


def said_of(known: Signs, sign: str, author: str) -> str:
    return next(one.words for one in known.sign(sign).reliability if one.source.startswith(author))


# Rathbone ATL et al., Clin J Pain 2017;33:715-29; Lucas N et al., Clin J Pain 2009;25:80-9; Bron C et al.,
# J Man Manip Ther 2007;15:203-15: abstracts, checked. A scanned copy of Lucas lost the two minus signs.
PUBLISHED = [
    ("spot", "Rathbone", ("0.676",)),
    ("recognised", "Rathbone", ("0.575",)),
    ("spot", "Lucas", ("0.22", "1.0")),
    ("recognised", "Lucas", ("0.57", "1.00")),
    ("band", "Lucas", ("-0.08", "0.75")),
    ("twitch", "Lucas", ("-0.05", "0.57")),
    ("referral", "Bron", ("63", "93")),
    ("band", "Bron", ("45", "90")),
    ("twitch", "Bron", ("33", "100")),
]


@pytest.mark.parametrize(("sign", "author", "numbers"), PUBLISHED)
def test_it_says_of_each_sign_what_was_published(sign: str, author: str, numbers: tuple[str, ...]) -> None:
    words = said_of(load(), sign, author)
    assert tuple(re.findall(r"-?\d+(?:\.\d+)?", words))[: len(numbers)] == numbers


# Li L et al., Clin J Pain 2020;36:955-67: criteria of 129 trials, abstract, checked.
USED = {"spot": 96.9, "referral": 73.6, "twitch": 48.8, "recognised": 45.7, "stretch_limit": 22.5}


def test_it_says_how_often_each_is_used() -> None:
    found = {
        sign.id: float(re.findall(r"(\d+\.\d+) %", sign.used.words)[0]) for sign in load().signs if sign.used
    }
    assert found == USED


def test_it_says_that_a_latent_point_is_a_common_normal_finding() -> None:
    """Sola 1955 as a page on trigger points quotes it: 54 % of women, 45 % of men, referral 5 %; checked."""
    note = load().notes[0].words
    assert "common normal finding" in note and re.findall(r"(\d+) %", note) == ["54", "45", "5"]
    assert any("0.452" in one.words for one in load().notes)


def test_strength_is_graded_on_the_scale_of_the_neuro_screen() -> None:
    scale = items.findings().scales["strength"]
    assert load().strength.grades == scale.grades
    assert load().strength.words_for("3") == scale.words_for("3") != ""


def test_every_sentence_names_who_says_so() -> None:
    known = load()
    said = [
        *known.notes,
        *(one for sign in known.signs for one in (*sign.reliability, *((sign.used,) if sign.used else ()))),
        *known.strength.reliability,
        *known.pressure.reliability,
    ]
    assert len(said) > 20
    assert all(one.words.endswith(".") and one.source and one.status in muscle_signs.STATUS for one in said)


BROKEN = [
    ('id = "band"', 'id = "cord"', f"{FILE}: needs one sign each of band, spot,"),
    ('id = "twitch"', 'id = "band"', f"{FILE}: needs one sign each of"),
    (
        'without = "band not felt"\ncriterion = true',
        'without = ""\ncriterion = false',
        "criterion is true of band",
    ),
    (
        'without = "band not felt"\ncriterion = true',
        'without = ""\ncriterion = "yes"',
        "sign band: criterion must be",
    ),
    ('without = "band not felt"\n', "", f"{FILE}: sign band: without must be a text"),
    ('label = "Sensitive spot"', 'label = " "', f"{FILE}: sign spot: label must be a text"),
    ('yes = "known pain"', "yes = true", f"{FILE}: sign recognised: yes must be a text"),
    ('no = "none elsewhere"', 'nope = "none elsewhere"', f"{FILE}: sign referral: unknown member nope"),
    ('scale = "strength"', 'scale = "force"', f"{FILE}: strength: scale must be one of "),
    ("trials = 5", "trials = 0", f"{FILE}: limits: trials must be a whole number above 0"),
    ("pain = [0, 10]", "pain = [10, 0]", f"{FILE}: limits: pain: least must be below most"),
    ("kPa = [10, 2000]", "kPa = 2000", f"{FILE}: limits: kPa must be two numbers"),
    (
        "kPa_per_kgf_cm2 = 98.0665",
        'kPa_per_kgf_cm2 = "98"',
        f"{FILE}: limits: kPa_per_kgf_cm2 must be a number",
    ),
    ("[limits]", "[bounds]", f"{FILE}: needs a part [limits]"),
    ("[pressure]", "[force]", f"{FILE}: pressure: label must be a text"),
    ('version = "muscle-signs-1"', "", f"{FILE}: version must be a text"),
    ('version = "muscle-signs-1"', "version = ", f"{FILE}: is not TOML"),
]


@pytest.mark.parametrize(("there", "instead", "said"), BROKEN)
def test_a_broken_entry_is_refused_by_name(there: str, instead: str, said: str) -> None:
    assert there in TEXT
    with pytest.raises(FeltError) as refused:
        muscle_signs.read(TEXT.replace(there, instead, 1))
    assert said in str(refused.value)


def test_a_sentence_without_its_source_or_with_an_unknown_status_is_refused() -> None:
    before, mark, after = TEXT.partition("[[sign.reliability]]")
    for there, instead in (("source = ", "sauce = "), ('status = "checked"', 'status = "sure"')):
        with pytest.raises(FeltError, match=f"{FILE}: sign band: reliability 1: "):
            muscle_signs.read(before + mark + after.replace(there, instead, 1))
