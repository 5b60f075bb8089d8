"""Every write of what a patient tells alone: saved as it is given, handed in."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.handover.models import HandOver
from charting.telling.models import Telling
from charting.telling.queries import day_of
from charting.telling.screens import Screen, that_hold
from charting.visits.services import VisitSigned, require_open

OVER = "The time for answering is over. Please give the device back."
SIGNED = "The clinician has closed this visit. Please give the device back."
READ = "The clinician has read your answers already. Tell them what you want to change."


class Closed(Exception):
    """Nothing can be answered here any more; the text says why, in words for the patient."""


@transaction.atomic
def save(
    *, held: HandOver, screen: Screen, answers: Mapping[str, Any], at: str, handed_in: bool = False
) -> Telling:
    """Keep the answers of one screen as they stand on the device, in place of those kept of it before, and
    which screen is open next (`at`). `handed_in`: the patient is through and goes on to the drawing.

    One device has one pair of hands: the last answer counts. Another device tells apart (Telling.hand_over).
    Raises Closed.
    """
    telling = _open_telling(held)
    others = {item.key for item in screen.items}
    kept = {key: value for key, value in telling.answers.items() if key not in others}
    visit = telling.visit
    found = that_hold({**kept, **answers}, visit.patient, day_of(visit))
    if found != telling.answers:
        telling.answers, telling.version = found, telling.version + 1
        told = {"telling": str(telling.pk), "version": telling.version}
        record(who=held, did="told", what=visit, screen=screen.id, **told)
    if handed_in and telling.handed_in_at is None:
        telling.handed_in_at = timezone.now()
        record(who=held, did="handed in story", what=visit, telling=str(telling.pk), version=telling.version)
    telling.at = at
    telling.save()
    HandOver.objects.filter(pk=held.pk).update(heard_at=timezone.now())
    return telling


def _open_telling(held: HandOver) -> Telling:
    """The telling of this device, locked; a new one at the first answer. Raises Closed."""
    running = HandOver.objects.select_for_update().filter(
        pk=held.pk, ended_at=None, expires_at__gt=timezone.now(), tells=True
    )
    if not running.exists():
        raise Closed(OVER)
    try:
        require_open(held.visit)
    except VisitSigned as problem:
        raise Closed(SIGNED) from problem
    telling, _ = Telling.objects.select_for_update().get_or_create(
        hand_over=held, defaults={"visit": held.visit}
    )
    if telling.settled_at or telling.taken:
        raise Closed(READ)
    return telling
