"""What can be done and what is asked about it: a file that can't be used names entry and what to mend."""

import pytest

from charting.treatment import techniques
from charting.treatment.techniques import FILE, TechniqueError, read

TEXT = FILE.read_text(encoding="utf-8")


def test_the_seven_techniques_of_the_page_are_there_each_with_the_consent_it_needs():
    assert {each.id: each.procedure for each in techniques.load().all} == {
        "pressure": "manual",
        "stretch": "manual",
        "needling": "needling",
        "heat": "manual",
        "exercise": "",
        "taping": "manual",
        "education": "",
    }


def test_only_what_needs_no_consent_is_done_to_the_person_as_a_whole():
    assert [each.id for each in techniques.load().on("whole")] == ["exercise", "education"]
    assert "needling" not in [each.id for each in techniques.load().on("area")]


def test_a_number_says_its_limits_and_its_unit():
    seconds = techniques.load().get("pressure").ask("seconds").limit
    assert (
        seconds.wrong(60) == "" and seconds.wrong(seconds.least) == "" and seconds.wrong(seconds.most) == ""
    )
    assert (
        "1 to 600 s" in seconds.wrong(0)
        and seconds.wrong(True)
        and seconds.wrong("60")
        and seconds.wrong(1.5)
    )


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('procedure = "needling"', 'procedure = "manual"', "needling: a needle goes into one muscle"),
        ('procedure = "needling"', 'procedure = "pricking"', "needling: procedure: one of"),
        ("needle = true\n", "", "needling goes through the gates"),
        ('id = "stretch"', 'id = "pressure"', "pressure: stands twice"),
        ('id = "repetitions"', 'id = "seconds"', "asks twice for seconds"),
        ('kind = "number"', 'kind = "figure"', "pressure.seconds: kind: one of"),
        ('brief = "{} s held"', 'brief = "held"', 'brief: has to hold "{}"'),
        ("least = 1\n", "", "pressure.seconds: least is missing"),
        ("most = 600", "most = 0", "least and most"),
        ('status = "common practice"', 'status = "hearsay"', "status: one of"),
        ('on = ["muscle", "area"]', "on = []", "on: name at least one"),
        ('on = ["muscle", "area"]', 'on = ["muscle", "whole"]', "take whole out of on"),
        ('label = "Heat"', 'label = "Heat"\ntreats = false', "heat: what needs consent treats"),
        ("timed = true", 'timed = "yes"', "timed: true or false"),
        ("gauges_mm = [0.16,", "gauges_mm = [-0.16,", "needle.gauges_mm: a size in mm"),
        ("[needle]\n", "[nadel]\n", "needle is missing"),
        ("twitch = true", "twich = true", "twich is not known here"),
        ("longest = 120\n", "", "longest is missing"),
        ('choices = { light = "light",', 'options = { light = "light",', "options is not known here"),
    ],
)
def test_an_entry_that_cant_be_used_is_named_with_what_to_mend(old, new, words):
    assert old in TEXT
    with pytest.raises(TechniqueError) as refused:
        read(TEXT.replace(old, new, 1))
    assert words in str(refused.value) and str(refused.value).startswith("techniques.toml: ")
