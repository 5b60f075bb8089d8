"""Everything that hands the device over, hears from it and takes it back."""

import secrets
from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from charting.audit.services import Actor, record
from charting.drawing import services as drawing
from charting.drawing import strikes
from charting.drawing.models import DrawnBy
from charting.drawing.services import Outcome
from charting.handover.access import digest
from charting.handover.models import HandOver
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit

# Long enough for a slow drawing, short enough that a forgotten tablet closes itself.
HAND_OVER_LASTS = timedelta(minutes=45)
# How long a device that nobody took back opens nothing of the practice: a working day.
DEVICE_IS_CLOSED = timedelta(hours=12)


@transaction.atomic
def hand_over(
    *,
    who: User,
    visit: Visit,
    drawn_by: str = DrawnBy.PATIENT,
    helper: str = "",
    tells: bool = False,
    asks: Sequence[str] = (),
) -> tuple[HandOver, str]:
    """Make a token for this visit's board; `tells`: the questions of the story come first; `asks`: what
    else is asked (handover.parts). Returns the row and the token, which is stored nowhere.
    """
    require(who, "register")
    token = secrets.token_urlsafe(32)
    row = HandOver.objects.create(
        visit=visit,
        given_by=who,
        drawn_by=drawn_by,
        helper=helper,
        tells=tells,
        asks=list(asks),
        token_sha256=digest(token),
        expires_at=timezone.now() + HAND_OVER_LASTS,
    )
    asked = {"tells": tells, "asks": list(asks)}
    record(who=who, did="handed over", what=visit, hand_over=str(row.pk), layer=str(drawn_by), **asked)
    return row, token


@transaction.atomic
def confirm(*, held: HandOver) -> None:
    """Name and birth date on the device were found right by the person who holds it."""
    if held.confirmed_at is None:
        held.confirmed_at = timezone.now()
        held.save(update_fields=["confirmed_at"])
        record(who=held, did="confirmed person", what=held.visit, hand_over=str(held.pk))


@transaction.atomic
def deny(*, held: HandOver) -> None:
    """They were found to be somebody else's: nothing more can be drawn with this token."""
    held.denied_at = held.ended_at = timezone.now()
    held.save(update_fields=["denied_at", "ended_at"])
    record(who=held, did="denied person", what=held.visit, hand_over=str(held.pk))


@transaction.atomic
def save(*, held: HandOver, sent: Iterable[Mapping[str, Any]], waiting: int, who: Actor) -> Outcome:
    """Keep what the device sent, and remember how much of it is still there. `who` sends: the device, or
    staff who found it left on one.

    What comes after the drawing was struck as entered in error follows it to where it was moved.
    """
    # Locked first: a move that is going on is waited for, and what comes after it goes the same way.
    visit = Visit.objects.select_for_update().get(pk=held.visit_id)
    home = strikes.home_of(visit, since=held.given_at, layer=held.drawn_by)
    outcome = drawing.save_events(
        who=who, visit=home.visit, drawn_by=held.drawn_by, sent=sent, shift=home.shift
    )
    if home.strike:
        drawing.strike_too(who=who, strike=home.strike, event_ids=outcome.saved)
    left = max(0, waiting - len(outcome.saved) - len(outcome.refused))
    HandOver.objects.filter(pk=held.pk).update(heard_at=timezone.now(), waiting=left)
    return outcome


@transaction.atomic
def take_back(*, who: User, token: str, waiting: int | None = None) -> None:
    """End the hand-over of this token; a token that is unknown or ended is no error.

    `waiting`: how many entries the device says have not been sent; None when it did not say.
    """
    row = HandOver.objects.filter(token_sha256=digest(token), ended_at=None).first()
    if row is None:
        return
    row.ended_at = timezone.now()
    if waiting is not None:
        row.waiting = waiting
    row.save(update_fields=["ended_at", "waiting"])
    record(who=who, did="took back", what=row.visit, hand_over=str(row.pk), waiting=row.waiting)


@transaction.atomic
def end_all(*, who: User, visit: Visit) -> int:
    """End every running hand-over of a visit, wherever the devices are. Returns how many."""
    running = HandOver.objects.select_for_update().filter(visit=visit, ended_at=None)
    for row in running:
        row.ended_at = timezone.now()
        row.save(update_fields=["ended_at"])
        record(who=who, did="took back", what=visit, hand_over=str(row.pk), waiting=row.waiting)
    return len(running)
