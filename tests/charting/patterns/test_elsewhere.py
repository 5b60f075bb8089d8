"""Own patterns on the pages of the atlas: found, shown, said what they are."""

import pytest
from django.urls import reverse

from tests.charting.patterns import drawn


def entry(client, name: str) -> str:
    answer = client.get(reverse("atlas-entry", args=["muscle", name]))
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_atlas_of_the_practice_shows_a_new_pattern_without_a_point(as_mara, writer):
    row = drawn.kept(writer)
    assert row.at is None
    shown = entry(as_mara, row.pattern)
    assert "Fold of the biceps" in shown
    assert "own pattern, version 1" in shown
    assert "Own observation" in shown


def test_the_atlas_of_the_practice_shows_an_overridden_muscle_with_its_facts(as_mara, writer):
    drawn.kept(writer, "infraspinatus", "infraspinatus")
    shown = entry(as_mara, "infraspinatus")
    assert "own pattern, version 1" in shown
    assert "suprascapular nerve" in shown


@pytest.mark.parametrize("name", ["own_biceps_fold", "infraspinatus"])
def test_another_practice_finds_the_atlas_of_the_release(writer, as_ines, name):
    drawn.kept(writer, name, "Fold of the biceps" if name.startswith("own") else name)
    answer = as_ines.get(reverse("atlas-entry", args=["muscle", name]))
    assert answer.status_code == (404 if name.startswith("own") else 200)
    assert "own pattern, version 1" not in answer.content.decode()


def test_the_sheet_for_a_patient_is_printed_for_an_own_pattern(as_mara, writer):
    for name, called in (("own_biceps_fold", "Fold of the biceps"), ("infraspinatus", "infraspinatus")):
        drawn.kept(writer, name, called)
        answer = as_mara.get(reverse("muscle-sheet", args=[name]))
        assert answer.status_code == 200
        assert answer.content.startswith(b"%PDF")
