"""An invented person over three months, with signed notes, an insurer, codes and a booked visit."""

import uuid
from datetime import date, timedelta

from django.utils import timezone

from charting.appointments.models import Appointment
from charting.coding.models import DiagnosisCode
from charting.episodes.models import Episode
from charting.history.models import Story, StoryAnswer
from charting.insurance.models import Authorisation, Certification, Claim, Payer, Policy, WorkStatus
from charting.notes.models import NoteText, SignedNote
from charting.notes.queries import recorded_in
from charting.outcomes.models import OutcomeScore
from charting.report.content import fingerprint
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.progress import courses

GOALS = "Lift my child again. Sleep on the right side."


def an_episode(patient, clinician) -> Episode:
    """Five visits, the last one with conclusions; each with a signed note."""
    episode, made = courses.five(patient, clinician)
    Story.objects.create(
        visit=made[0], complaint="Pain in the front of the right shoulder.", history="Six weeks."
    )
    StoryAnswer.objects.create(visit=made[0], key="goals", value=GOALS)
    for visit, rates in ((made[0], (3, 4, 2)), (made[4], (8, 7, 6))):
        named = zip(("Lifting the child", "Sleeping on the right", "Painting"), rates, strict=True)
        answers = {"activities": [{"name": name, "value": value} for name, value in named]}
        OutcomeScore.objects.create(visit=visit, instrument="psfs", answers=answers)
    Visit.objects.filter(pk=made[4].pk).update(signed_at=None)
    recorded.conclude(made[4])
    Visit.objects.filter(pk=made[4].pk).update(signed_at=made[4].started_at + timedelta(hours=1))
    NoteText.objects.create(
        visit=made[4], assessment="Lifts the arm to 165 degrees.", plan="Two more visits, then on her own."
    )
    for visit in made:
        a_note(visit)
    return episode


def a_note(visit: Visit) -> SignedNote:
    """As the service stores it, without its papers."""
    visit = Visit.objects.select_related("patient__practice", "clinician").get(pk=visit.pk)
    content = recorded_in(visit)
    return SignedNote.objects.create(
        visit=visit,
        signed_by=visit.clinician,
        signer_name=str(visit.clinician),
        signed_at=visit.signed_at,
        time_zone="Europe/Zurich",
        content=content,
        content_sha256=fingerprint(content),
    )


def insure(episode: Episode, payer: str = "Alpenrose Insurance") -> Claim:
    fund = Payer.objects.create(
        practice=episode.patient.practice,
        name=payer,
        payer_number="P-77",
        street="Mill Road 1",
        town="8000 Zurich",
    )
    policy = Policy.objects.create(patient=episode.patient, payer=fund, number="12-345-6")
    claim = Claim.objects.create(
        episode=episode,
        policy=policy,
        claim_number="C-2026-881",
        cause="other",
        cause_words="Fell on the outstretched arm.",
        injured_on=date(2026, 4, 20),
        referred_by="Dr. Ida Brunner",
        referrer_address="Lake Street 9\n8400 Winterthal",
        referred_on=date(2026, 4, 28),
        prior_function="Lifted her child of 12 kg and painted for four hours a day.",
        plan_from=date(2026, 5, 4),
        plan_until=date(2026, 8, 31),
        plan_frequency="twice a week, then once",
    )
    Authorisation.objects.create(claim=claim, number="A-1", visits=9, valid_from=date(2026, 5, 1))
    WorkStatus.objects.create(
        claim=claim,
        status="limited",
        percent=50,
        limits="No lifting above 10 kg",
        from_on=date(2026, 5, 5),
        recorded_by=episode.opened_by,
    )
    Certification.objects.create(
        claim=claim,
        certified_by="Dr. Ida Brunner",
        certified_on=date(2026, 5, 6),
        valid_from=date(2026, 5, 4),
        valid_until=date(2026, 8, 1),
        recorded_by=episode.opened_by,
    )
    return claim


def code(episode: Episode) -> None:
    last = episode.visits.order_by("-started_at").first()
    for place, (name, title) in enumerate(
        (("M79.18", "Myalgia, other site"), ("M25.511", "Pain in right shoulder"))
    ):
        DiagnosisCode.objects.create(
            visit=last, code=name, title=title, release="April 2026", position=place, chosen_by=last.clinician
        )


def book(episode: Episode) -> Appointment:
    at = timezone.now() + timedelta(days=5)
    return Appointment.objects.create(
        id=uuid.uuid4(),
        patient=episode.patient,
        clinician=episode.opened_by,
        starts_at=at,
        made_by=episode.opened_by,
    )
