"""The examination by hand and the conclusions on paper, read back from the PDF, and on the page."""

import re
from datetime import timedelta
from html import unescape

import pytest
from django.template.loader import render_to_string

from charting.notes.pages import figures_of
from charting.report import pdf
from charting.report.content import assemble
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.report import printed
from tests.charting.report.conftest import SHA256


def page_of(content):
    context = {"note": content, "figures": figures_of(content), "with_words": True}
    return " ".join(
        unescape(re.sub(r"<[^>]+>", " ", render_to_string("notes/_recorded.html", context))).split()
    )


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_prints_the_problem_first_then_what_was_recorded_then_the_signature(whole, signature, paper):
    pages = printed.pages(pdf.render(whole, paper=paper, signed=signature, sha256=SHA256))
    text = " ".join(pages)
    places = [
        text.index(words)
        for words in (
            "Subjective",
            "Objective",
            "9 places examined: 3 active trigger points",
            "active trigger point, 3 of 3; pain 7 of 10 on pressing",
            "221.7 kPa (2.26 kgf/cm²), mean of 3 trials (210, 225, 230 kPa), tip 1 cm²",
            "Runs into the thumb.",
            "Nothing found in Biceps brachii, right",
            "active 52° (inclinometer), painful, 4 of 10",
            "negative: Neer (both sides), Painful arc (right).",
            "Assessment",
            "Infraspinatus, right: likely; Nerve root C6, right: ruled out by examination.",
            "Whether the tendon takes part.",
            "Infraspinatus tender.",
            "Plan",
            "Look again in ten days.",
            "What was recorded",
            "Muscles, examined by hand",
            "On the list and not examined: 10 Teres minor, right.",
            "Active trigger point, 3 of 3",
            "Joint tests Outside normal",
            "Shoulder: Hawkins and Kennedy positive negative positive 1.9, negative 0.36",
            "Hands-on treatment (version 2)",
            "Sources",
            "Signed Mara Steiner, Physiotherapist, registration PT 4711",
        )
    ]
    assert places == sorted(places)
    assert len(pages) <= 3


def test_every_number_on_the_paper_leads_to_a_source(whole):
    text = " ".join(printed.pages(pdf.render(whole, paper="a4")))
    cited = {int(number) for number in re.findall(r"\[(\d+)\]", text)}
    assert cited == set(range(1, len(whole["sources"]) + 1))


def test_the_figure_says_what_it_shows_to_who_cannot_see_it(whole):
    alts = [alt for kind, alt in printed.tags(pdf.render(whole, paper="a4")) if kind == "/Figure"]
    (back,) = (alt for alt in alts if alt.startswith("Back view of the body with what was felt. "))
    assert "1: Infraspinatus, right: active trigger point, 3 of 3" in back


def test_the_page_shows_the_same(whole):
    shown = page_of(whole)
    for words in (
        whole["muscles"]["counts"],
        "active 48°",
        "Hawkins and Kennedy",
        "Whether the tendon takes part.",
    ):
        assert words in shown, words


def test_tests_of_joints_stand_under_their_own_heading_and_not_among_the_neuro_screen(whole):
    assert [table["id"] for table in whole["joint_tests"]["tables"]] == ["shoulder"]
    assert "shoulder" not in [table["id"] for table in whole["screening"]["tables"]]
    assert not any("Hawkins" in said for said in whole["screening"]["alike"])


def test_a_change_since_the_last_visit_is_printed_with_its_level(visit):
    """Kolber et al. 2011 give the least change of a shoulder with the inclinometer at 90 % (ranges.toml)."""
    before = Visit.objects.create(patient=visit.patient, clinician=visit.clinician)
    Visit.objects.filter(pk=before.pk).update(started_at=visit.started_at - timedelta(days=9))
    recorded.move(before, right=-20)
    recorded.move(visit)
    (row,) = (row for row in assemble(visit)["ranges"] if row["joint"] == "Shoulder")
    (said,) = (each for each in row["since"] if each.startswith("right"))
    assert "20° more, more than error of measurement" in said
    assert "90 %" in said
    assert f"R{said[1:]}." in page_of(assemble(visit))


def test_an_area_that_is_gone_keeps_its_conclusion_and_says_so(visit):
    conclusion = recorded.conclude(visit)
    conclusion.strokes = ["11111111-1111-4111-8111-111111111111"]
    conclusion.save()
    (one,) = assemble(visit)["conclusions"]
    assert one["is_gone"]
    assert f"{conclusion.where}, not in the drawing any more: Infraspinatus" in page_of(assemble(visit))
