"""A pick lays its pattern over the drawing: with htmx as a piece, without script as the whole page."""

import re

import pytest
from django.urls import reverse
from django.utils import translation

from bodymaps import atlas
from charting.candidates import picks
from charting.candidates.pages import picked
from charting.drawing.picture import WHOLE
from charting.history.models import DangerAnswer

HTMX = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def ask(as_mara, visit):
    def answer(query: str, **headers: str) -> str:
        return as_mara.get(reverse("candidates", args=[visit.pk]) + query, **headers).content.decode()

    return answer


def paths(shown: str) -> list[str]:
    return re.findall(r'data-zone="\w+" d="([^"]+)"', shown)


def test_it_answers_htmx_with_the_piece_only(ask):
    piece = ask("?pick=infraspinatus.right", **HTMX)
    assert "<html" not in piece
    assert "<image" not in piece
    assert 'class="line"' not in piece
    assert set(re.findall(r'id="([\w-]+)"[^>]* hx-swap-oob', piece)) == {
        "pattern-front",
        "pattern-back",
        "pattern-words",
    }
    assert "suprascapular nerve" in piece


def test_it_answers_the_back_button_with_the_whole_page(ask):
    assert "<html" in ask("?pick=infraspinatus.right", **HTMX, HTTP_HX_HISTORY_RESTORE_REQUEST="true")


def test_it_shows_the_same_pattern_and_facts_without_script(ask):
    piece, whole = ask("?pick=infraspinatus.right", **HTMX), ask("?pick=infraspinatus.right")
    assert paths(piece)
    assert paths(piece) == paths(whole)
    assert "<html" in whole
    assert "suprascapular nerve" in whole


def test_it_marks_the_picked_line_alone(ask):
    picked_lines = re.findall(
        r'class="line" href="\?pick=([\w.]+)"[^>]* aria-current', ask("?pick=infraspinatus.right")
    )
    assert [line.split(".")[:2] for line in picked_lines] == [["infraspinatus", "right"]]


def test_it_shows_where_the_point_lies_and_what_is_at_risk(ask):
    piece = ask("?pick=infraspinatus.right.upper_belly", **HTMX)
    muscle = atlas.load().muscles["infraspinatus"]
    assert piece.count("data-point") == 1
    assert muscle.dangers[0][:40] in piece
    assert muscle.attachments[0] in piece
    assert all(source.status in piece for source in muscle.sources)


def test_it_mirrors_the_pattern_for_the_left_side():
    """Both frames have their midline at x = 500."""
    known = atlas.load()
    right, left = (
        picks.layers_of(picks.parse(f"infraspinatus.{side}.upper_belly", known), known, WHOLE)
        for side in ("right", "left")
    )
    for one, other in zip(right, left, strict=True):
        for zone, mirror in zip(one.zones, other.zones, strict=True):
            assert middle(zone.path) + middle(mirror.path) == pytest.approx(1000, abs=0.3)


def middle(path: str) -> float:
    xs = [float(x) for x in re.findall(r"[ML](-?[\d.]+) ", path)]
    return (min(xs) + max(xs)) / 2


def test_it_draws_core_over_spillover():
    zones = [zone.zone for layer in picked("infraspinatus.right", WHOLE).layers for zone in layer.zones]
    front = zones[: zones.index("core") + 1]
    assert front == ["spillover", "core"]


def test_it_shows_the_skin_of_a_root(ask):
    piece = ask("?pick=C6.right", **HTMX)
    assert 'data-zone="dermatome"' in piece
    assert atlas.load().dermatomes["C6"].described in piece


@pytest.mark.parametrize(
    "pick", ["", "nobody.right", "infraspinatus", "infraspinatus.middle", "C6.right.core", "C9.left"]
)
def test_it_shows_no_pattern_for_a_pick_it_does_not_know(ask, pick):
    assert paths(ask(f"?pick={pick}")) == []


def test_it_gives_no_piece_before_the_danger_screen_is_complete(ask, visit):
    DangerAnswer.objects.filter(visit=visit).last().delete()
    assert "data-zone" not in ask("?pick=infraspinatus.right", **HTMX)


def test_it_writes_dots_in_numbers_whatever_the_language(ask, settings):
    settings.LANGUAGE_CODE = "de"
    settings.USE_THOUSAND_SEPARATOR = True
    with translation.override("de"):
        shown = ask("?pick=infraspinatus.right")
    values = re.findall(
        r' (?:d|viewBox|x|y|width|height|stroke-width|fill-opacity|font-size)="([^"]*)"', shown
    )
    assert len(values) > 40
    assert all(re.fullmatch(r"[MLZ0-9. -]*", value) for value in values), values


def test_a_line_names_the_muscles_of_the_same_area(as_mara, visit):
    """Scalenus anterior and medius share their areas: Simons, Travell & Simons 1999, ch. 20; from memory."""
    page = as_mara.get(reverse("candidates", args=[visit.pk]), {"all": 1}).context["page"]
    known = {line.name.lower(): line.same_area for line in page.lines}
    assert "scalenus medius" in known["scalenus anterior"]
    assert known["infraspinatus"] != known["scalenus anterior"]
