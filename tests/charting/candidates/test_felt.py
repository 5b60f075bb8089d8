"""What the hand felt, on the ranked page: beside the muscle it was felt in, named or not by the drawing."""

import pytest
from django.urls import reverse

from charting.examination.models import MuscleFinding
from tests.charting.candidates import invented

YES = dict.fromkeys(("band", "spot", "referral", "recognised"), "yes")


@pytest.fixture
def ask(as_mara, blank):
    invented.record(blank, invented.SCALENE)
    return lambda query: as_mara.get(reverse("candidates", args=[blank.pk]) + query)


def felt_in(visit, muscle):
    MuscleFinding.objects.create(visit=visit, muscle=muscle, side="right", signs=YES, position=1)


def line(response, name):
    judged = response.context["page"].judged
    return next((each for each in judged if (each.name, each.side) == (name, "right")), None)


def test_a_muscle_that_was_pressed_rises_and_says_why(ask, blank):
    before = line(ask("?order=evidence&all=1"), "Infraspinatus")
    felt_in(blank, "infraspinatus")
    after = line(ask("?order=evidence&all=1"), "Infraspinatus")
    assert before and after and float(after.sum.total) > float(before.sum.total)
    panel = ask("?pick=infraspinatus.right").context["page"].picked.panel
    said = next(each for each in panel.speaks_for if each.words.startswith("Pressing it brings on"))
    assert said.weight == "+0.13" and "active trigger point, 3 of 3" in said.because.lower()


def test_a_muscle_the_drawing_does_not_name_stands_there_when_pressing_it_brings_the_pain_on(ask, blank):
    assert line(ask("?order=evidence&all=1"), "Soleus") is None
    felt_in(blank, "soleus")
    response = ask("?order=evidence&all=1&pick=soleus.right.all")
    found = line(response, "Soleus")
    assert found and found.moved == "not named by place"
    assert response.context["page"].picked.panel.speaks_for
