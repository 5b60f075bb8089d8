"""The data file of instruments: what it must hold, and what it refuses."""

import copy
import tomllib

import pytest

from bodymaps.reasoning import outcomes_file
from bodymaps.reasoning.outcomes import OutcomesError, instruments, load


def data():
    return tomllib.loads(outcomes_file.FILE.read_text(encoding="utf-8"))


def instrument(said, name):
    return next(each for each in said["instrument"] if each["id"] == name)


def test_no_words_of_a_licensed_questionnaire_stand_in_the_file():
    """NDI, ODI, DASH and QuickDASH need a licence (see the licence page of the DASH): totals only."""
    licensed = {one.id for one in instruments().values() if one.is_licensed}
    assert licensed == {"ndi", "odi", "quickdash", "dash"}
    for name in licensed:
        said = instrument(data(), name)
        assert not {"member", "activities", "form", "item", "items"} & set(said)
        assert set(said["total"]) == {"items", "item_low", "item_high", "least", "wary"}
        assert all(isinstance(value, int) for value in said["total"].values())


def test_a_patient_answers_alone_only_what_is_asked_in_our_own_words():
    alone = {one.id for one in instruments().values() if one.alone}
    assert alone == {"nprs", "psfs", "pgic"}
    for one in instruments().values():
        assert one.alone or one.why_not_alone
    assert [form.id for form in instruments()["pgic"].forms if form.alone] == ["impact"]


def test_every_detectable_change_says_its_level_and_every_rule_where_it_comes_from():
    for one in instruments().values():
        for rule in one.rules:
            assert rule.source and rule.status and rule.population
            assert bool(rule.confidence) == (rule.kind == "detectable")


def test_where_more_is_better():
    """Stratford 1995: unlike the other scores."""
    assert [one.id for one in instruments().values() if one.better == "higher"] == ["psfs"]


def broken(change):
    said = copy.deepcopy(data())
    change(said)
    with pytest.raises(OutcomesError) as problem:
        outcomes_file.read(said)
    return str(problem.value)


WRONG = {
    "an unknown study": (
        lambda said: instrument(said, "nprs")["rule"][0].update(study="nobody_1900"),
        ["instrument nprs", "rule 1", "nobody_1900"],
    ),
    "a detectable change without its level": (
        lambda said: instrument(said, "ndi")["rule"][-1].pop("confidence"),
        ["instrument ndi", "rule 8", "confidence"],
    ),
    "an unknown part of the body": (
        lambda said: instrument(said, "odi").update(parts=["tail"]),
        ["instrument odi", "tail"],
    ),
    "a licensed instrument with ratings": (
        lambda said: instrument(said, "ndi").update(member=[{"id": "one", "title": "Words of an item"}]),
        ["instrument ndi", "licensed"],
    ),
    "a licensed instrument that is answered alone": (
        lambda said: instrument(said, "dash").update(alone=True, why_not_alone=""),
        ["instrument dash", "licensed"],
    ),
    "bands that do not reach the end": (
        lambda said: instrument(said, "nprs")["banding"]["bands"].pop(),
        ["instrument nprs", "end at 10"],
    ),
    "numbers of a form out of order": (
        lambda said: instrument(said, "pgic")["form"][0]["choices"].reverse(),
        ["instrument pgic", "1 to 7"],
    ),
    "a span upside down": (
        lambda said: instrument(said, "peg")["rule"][0].update(lower=3),
        ["instrument peg", "lower"],
    ),
    "an unknown member": (
        lambda said: instrument(said, "psfs").update(colour="green"),
        ["instrument psfs", "colour"],
    ),
    "two of one id": (
        lambda said: said["instrument"].append(instrument(said, "odi")),
        ["odi", "two"],
    ),
    "no status of a study": (
        lambda said: said["study"][0].update(status="believed"),
        ["study farrar_2001", "status"],
    ),
}


def test_it_refuses_a_file_with_the_entry_and_what_to_mend():
    for what, (change, words) in WRONG.items():
        told = broken(change)
        assert told.startswith("outcomes.toml"), what
        assert all(word in told for word in words), (what, told)


def test_it_has_a_version():
    assert load().version.startswith("outcomes-")
