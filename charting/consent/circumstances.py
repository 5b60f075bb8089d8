"""What a consent records beside words and signature, and what is missing of it: areas, guardian, interpreter,
chaperone, the answers that bear on the treatment.
"""

import hashlib
from dataclasses import dataclass

from bodymaps.reasoning import consent_areas
from bodymaps.reasoning.consent_areas import keys as every_key
from charting.consent import texts
from charting.consent.models import Chaperone, Consent
from charting.consent.texts import ConsentText
from charting.history import standing
from charting.history.queries import Answer, alarms_among, all_answered, screen_of, standing_of
from charting.patients.models import Patient
from charting.visits.models import Visit

ANSWERS = "Answers on record when this was signed"


@dataclass(frozen=True)
class Circumstances:
    """`allows`: what may be done in the area of a sensitive text (ids of procedures). `areas`: their keys."""

    allows: tuple[str, ...] = ()
    areas: tuple[str, ...] = ()
    guardian_relation: str = ""
    interpreter: str = ""
    chaperone: str = ""
    chaperone_name: str = ""


NONE = Circumstances()


class Incomplete(ValueError):
    """Something has to be recorded that is not; `missing` says what, by field."""

    def __init__(self, missing: dict[str, str]) -> None:
        self.missing = missing
        super().__init__(" ".join(missing.values()))


def missing(text: ConsentText, signer: str, told: Circumstances) -> dict[str, str]:
    """What is still to be said, by field; {} when nothing is."""
    found = {}
    if wrong := _about_areas(text, told):
        found["areas"] = wrong
    if text.sensitive and (not told.allows or set(told.allows) - set(texts.procedures())):
        found["allows"] = "Tick what is agreed to."
    if signer == Consent.Signer.GUARDIAN and not told.guardian_relation.strip():
        found["guardian_relation"] = "Say how they are related: mother, legal guardian."
    return {**found, **about_chaperone(bool(text.sensitive), told.chaperone, told.chaperone_name)}


def about_chaperone(needed: bool, chaperone: str, name: str) -> dict[str, str]:
    """What is still to be said about the chaperone, by field."""
    if chaperone == Chaperone.ACCEPTED and not name.strip():
        return {"chaperone_name": "Name the person who is present."}
    if needed and chaperone not in Chaperone.values:
        return {"chaperone": "Offer a chaperone, and record what was said."}
    return {}


def choices_for(text: ConsentText) -> tuple[str, ...]:
    """The keys of the areas that this text can name."""
    return tuple(
        key
        for key in every_key()
        if (area := consent_areas.area_of(key)).sensitive == bool(text.sensitive)
        and text.sensitive in ("", area.id)
    )


def procedure_of(text: ConsentText, told: Circumstances) -> str:
    """As a row keeps it: the ids of what is allowed."""
    return text.procedure or " ".join(id_ for id_ in texts.procedures() if id_ in told.allows)


def treats(text: ConsentText, told: Circumstances) -> bool:
    """Whether it is consent to more than examination."""
    return text.treats and procedure_of(text, told) != "examination"


def is_under_age(patient: Patient, visit: Visit) -> bool:
    day = visit.started_at.astimezone(patient.practice.zone).date()
    return patient.age_on(day) < standing.rules().of_age


def answers_of(text: ConsentText, visit: Visit) -> str:
    """The answers that bear on the treatment, in words; "" for consent to the examination. Two queries."""
    if not text.treats:
        return ""
    facts = {fact.subject.item.key: fact.words for fact in standing_of(visit.patient)}
    day = visit.started_at.astimezone(visit.patient.practice.zone).date()
    age, sex = visit.patient.age_on(day), visit.patient.sex
    said = [
        f"{each.words}: {facts.get(each.item.key, 'not asked')}"
        for each in standing.rules().subjects
        if each.item.key in facts or standing.applies(each.item, age=age, sex=sex)
    ]
    return "; ".join([*said, _danger(visit)]) + "."


def with_answers(body: str, answers: str) -> str:
    return f"{body}\n\n{ANSWERS}. {answers}" if answers else body


def words_alone(body: str) -> str:
    """A stored body without the answers that were printed under it."""
    return body.partition(f"\n\n{ANSWERS}. ")[0]


def mark_of(answers: str) -> str:
    """A short mark of the answers as they were read."""
    return hashlib.sha256(answers.encode()).hexdigest()[:16]


def _about_areas(text: ConsentText, told: Circumstances) -> str:
    known = choices_for(text)
    if set(told.areas) - set(known):
        return "Choose areas out of the list."
    if told.areas or not (text.sensitive or texts.procedures()[text.procedure].by_area):
        return ""
    return "Tick the side or sides." if text.sensitive else "Tick every area that is agreed to."


def _danger(visit: Visit) -> str:
    screen = screen_of(visit)
    raised = [f"{each.topic} ({each.answer_words.lower()})" for each in alarms_among(screen)]
    if raised:
        return f"signs of danger: {', '.join(raised)}"
    if all_answered(screen):
        return "questions about danger: all answered no"
    given = sum(each.answer == Answer.NO for each in screen)
    return (
        f"questions about danger: {given} of {len(screen)} answered, all no"
        if given
        else ("questions about danger: not answered yet")
    )
