"""What was done is in the note whole: it proves what was done, what it did, and who decided."""

import re
from html import unescape

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from bodymaps import atlas
from charting.consent.models import ConsentWithdrawn
from charting.notes.pages import figures_of
from charting.notes.queries import gaps_in
from charting.report import pdf, treated
from charting.report.agreed import agreed as agreed_to
from charting.report.content import assemble
from charting.visits.models import Visit
from tests.charting import agreed, recorded
from tests.charting.report import cared_for, printed
from tests.charting.report.conftest import SHA256


def page_of(content):
    context = {"note": content, "figures": figures_of(content), "with_words": True}
    return " ".join(
        unescape(re.sub(r"<[^>]+>", " ", render_to_string("notes/_recorded.html", context))).split()
    )


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_paper_and_page_say_what_was_done_what_it_did_and_who_decided(visit, signature, paper):
    cared_for.treat(visit)
    content = assemble(visit, assessment="Tender.", plan="Again.")
    whole = " ".join(printed.pages(pdf.render(content, paper=paper, signed=signature, sha256=SHA256)))
    wanted = (
        "Infraspinatus, right",
        "dry needling, 0.25 × 40 mm to 20 mm, medially, 3 in, 2 out; twitch; pain 6 to 3; 4 minutes.",
        "In lying on the side.",
        "12 minutes in all",
        "dry needling 4",
        "Needles: 3 in, 2 out",
        "Needles in and out differed: Infraspinatus, right: 3 in, 2 out. One was found in the sheet.",
        "Done: Counted again by two. The patient was told.",
        "A stop before needling was gone past: Takes a blood thinner (Infraspinatus, right).",
        "Bleeding into the muscle can be large. On record: warfarin. A local rule (common practice).",
        "Reason: INR of 2.1 on Monday, spoken about with her physician. Decided by",
        "Pain in the chest or breath that is short: at once. Whom to call: 144. Understood.",
        "At home: Turn the arm out. Elbow at the side. 3 times 10. Stop: Numb.",
        "Warmth before it.",
    )
    shown = page_of(content).replace(" .", ".").replace("( ", "(")
    for words in wanted:
        assert words in whole, words
        assert words in shown, words


def test_a_visit_without_treatment_says_so(visit):
    assert "No treatment is recorded." in page_of(assemble(visit))


def test_reactions_to_this_treatment_and_those_told_since_the_last_visit_are_in_it(visit):
    last = cared_for.before(visit)
    cared_for.react(visit, "bruise", visit=visit)
    told = cared_for.react(visit, "faint", visit=last, words="On the way home.")
    cared_for.follow_up(told, words="Well again.", settles=True)
    found = assemble(visit)["reactions"]
    assert {one["words"] for one in found} == {"As large as a coin.", "On the way home."}
    shown = page_of(assemble(visit))
    assert "Followed up" in shown and "Well again. Nothing more to follow up." in shown


def test_what_stood_in_an_earlier_note_is_left_out_until_it_is_followed_up(visit, monkeypatch):
    told = cared_for.react(visit, visit=None)
    later, last = cared_for.before(visit, days=-2), cared_for.before(visit, days=-4)
    assert later.signed_at > told.recorded_at
    assert assemble(last)["reactions"] == []
    monkeypatch.setattr(timezone, "now", lambda: last.started_at)
    cared_for.follow_up(told, words="Came again.", settles=False)
    (one,) = assemble(last)["reactions"]
    assert one["follow_ups"][0]["words"] == "Came again."


def test_a_corrected_reaction_is_out_and_the_correction_in(visit):
    wrong = cared_for.react(visit, visit=visit)
    cared_for.react(visit, "faint", visit=visit, words="It was a faint.", corrects=wrong)
    assert [one["words"] for one in assemble(visit)["reactions"]] == ["It was a faint."]


def test_an_open_reaction_is_warned_about_before_signing(visit):
    event = cared_for.react(visit, visit=visit, follow_up_on=visit.started_at.date())
    warnings = gaps_in(assemble(visit)).warnings
    assert any("A reaction is still to be followed up on " in words for words in warnings)
    cared_for.follow_up(event, words="Gone.", settles=True)
    assert not any("A reaction" in words for words in gaps_in(assemble(visit)).warnings)


def test_a_consent_is_printed_in_brief_with_the_hash_of_its_words(visit):
    row = agreed.a_consent(
        visit,
        "buttock",
        ["buttock right"],
        procedure="manual",
        chaperone="accepted",
        chaperone_name="Poll Weber",
        interpreter="Ida Frei",
        questions="Does it bruise? Seldom.",
        signature=[[[50, 120], [120, 60]]],
    )
    content = assemble(visit)
    (brief,) = (one for one in content["consents"] if one["title"] == row.title)
    shown = " ".join(printed.pages(pdf.render(content, paper="a4")))
    for words in (
        f"{row.title} (version {row.text_version})",
        "areas: right buttock",
        "Interpreter: Ida Frei.",
        "Chaperone: offered and accepted, Poll Weber.",
        "Questions and answers: Does it bruise? Seldom.",
        f"Text SHA-256 {brief['sha256']}",
        "the patient's copy prints it in full",
    ):
        assert words in shown, words
    assert row.body.split("\n\n")[1][:60] not in shown
    # FIPS 180-4 as the standard library has it.
    assert len(brief["sha256"]) == 64 and "body" not in brief


def test_a_consent_of_before_that_was_confirmed_today_counts_and_is_printed(blank, mara):
    earlier = agreed.an_earlier(blank, "dry-needling", ["neck"])
    none = "No consent is recorded for this visit."
    assert none in gaps_in(assemble(blank)).warnings
    earlier.confirmations.create(visit=blank, confirmed_by=mara, questions="Any news? No.")
    content = assemble(blank)
    assert none not in gaps_in(content).warnings
    shown = page_of(content)
    assert "Confirmed by word of mouth" in shown and "Any news? No." in shown
    assert "No consent is recorded." not in shown


def test_a_consent_that_was_taken_back_says_so_and_is_warned_about(visit, mara):
    row = recorded.agree(visit, "manual", "neck")
    ConsentWithdrawn.objects.create(consent=row, said_by="patient", words="Not today.", recorded_by=mara)
    content = assemble(visit)
    assert f"Consent was taken back: {row.title}." in gaps_in(content).warnings
    assert "“Not today.”" in page_of(content)


def test_it_takes_as_many_queries_for_much_as_for_little(visit):
    cared_for.treat(visit)
    cared_for.follow_up(cared_for.react(visit, visit=visit), words="Gone.", settles=True)
    few = queries_of(visit)
    for place in ("infraspinatus.left", "supraspinatus.right", "teres_minor.left"):
        recorded.treat(visit, "pressure", place, minutes=2)
        cared_for.follow_up(cared_for.react(visit, visit=visit), words="Gone.", settles=True)
        recorded.agree(visit, "manual", "neck")
    assert queries_of(visit) == few


def queries_of(visit):
    """Of the parts of the note that tell of care."""
    again = Visit.objects.select_related("patient__practice", "episode").get(pk=visit.pk)
    with CaptureQueriesContext(connection) as seen:
        known = atlas.load()
        treated.treated(again, known), treated.programme(again), treated.reactions(again), agreed_to(again)
    return len(seen)
