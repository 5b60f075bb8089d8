"""The story, who told it, and what stands with the person, in the note and on paper."""

from django.utils import timezone

from charting.handover.services import hand_over
from charting.notes.queries import gaps_in
from charting.report import pdf
from charting.report.content import assemble
from charting.report.papers import day
from charting.telling.models import Telling
from tests.charting import recorded
from tests.charting.report import full, printed


def on_paper(visit, paper="a4"):
    return " ".join(printed.pages(pdf.render(assemble(visit), paper=paper)))


def today(visit):
    return day(timezone.localdate(timezone=visit.patient.practice.zone))


def test_it_prints_the_answers_in_sentences_by_group(visit):
    full.tell(visit, **full.MOVES, goals="To swim again.")
    whole = on_paper(visit)
    assert "Brings it on: turning the head, reaching. Eases it: heat." in whole
    assert "Goals: To swim again." in whole
    assert "swim again.." not in whole


def test_it_says_which_answers_are_the_patients_own(visit):
    full.tell(visit, **full.MOVES)
    assert assemble(visit)["story"]["of_patient"] == ""
    full.tell(visit, "patient", lasted="weeks")
    said = assemble(visit)["story"]["of_patient"]
    assert said == "Given by the patient on a device and confirmed by the clinician: lasting."


def test_it_says_so_when_every_answer_is_the_patients(visit):
    full.tell(visit, "patient", **full.MOVES)
    assert "confirmed by the clinician: every answer." in on_paper(visit)


def test_it_says_who_answered_in_the_patients_place(visit):
    full.tell(visit, who_answers="carer", who_answers_name="Rolf Keller")
    whole = on_paper(visit)
    assert "Who answers: a relative or carer." in whole
    assert "Rolf Keller" in whole


def test_what_was_told_alone_is_printed_as_read_or_not_read(visit, mara):
    held, _ = hand_over(who=mara, visit=visit, tells=True)
    telling = Telling.objects.create(
        visit=visit, hand_over=held, answers={"onset": "sudden", "goals": "Swim"}
    )
    assert "2 answers, 0 taken over; not read to the end when this was written." in on_paper(visit)
    unread = "What the patient told on the device is not read to the end."
    assert unread in gaps_in(assemble(visit)).warnings
    telling.taken, telling.changed = ["onset"], ["onset"]
    telling.settled_at, telling.settled_by = timezone.now(), mara
    telling.save()
    whole = on_paper(visit)
    assert "Told on a device by the patient alone" in whole
    assert "1 taken over; read by Mara Steiner" in whole
    assert "Changed before it was taken over: onset. Not taken over: goals." in whole
    assert unread not in gaps_in(assemble(visit)).warnings


def test_what_stands_with_the_person_is_printed_on_the_first_page_with_its_day(visit):
    full.tell(visit, **full.BLOOD_THINNER)
    first = printed.pages(pdf.render(assemble(visit), paper="letter"))[0]
    assert f"Blood thinner or bleeding disorder: warfarin (confirmed {today(visit)})." in first
    assert f"None known (asked {today(visit)}): allergy." in first
    assert "Not asked: pregnancy, implant or pacemaker, reaction to needles." in first
    assert first.index("Stays with the person") < first.index("Subjective")


def test_none_known_is_never_said_of_what_nobody_asked(visit):
    stands = assemble(visit)["standing"]
    assert (stands["known"], stands["none_known"]) == ([], [])
    assert "None known" not in on_paper(visit)


def test_not_sure_stays_not_sure(visit):
    full.tell(visit, allergy="unsure")
    assert [one["words"] for one in assemble(visit)["standing"]["known"]] == ["Allergy: not sure"]


def test_an_empty_story_is_a_gap(visit, blank):
    recorded.answer_danger_screen(blank)
    assert "The story is empty." in gaps_in(assemble(blank)).warnings
    assert "The story is empty." not in gaps_in(assemble(visit)).warnings
    full.tell(blank, onset="sudden")
    assert "The story is empty." not in gaps_in(assemble(blank)).warnings
