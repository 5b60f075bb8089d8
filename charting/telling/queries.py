"""Every read of what patients told alone on a device."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, Q

from bodymaps.reasoning import items
from charting.handover.models import HandOver
from charting.patients.access import patients_of
from charting.staff.models import User
from charting.telling.models import Telling
from charting.visits.models import Visit

# Where a telling stands (Telling.at) once everything that was asked on the device is through.
DONE = "done"
# Before the name of a screen in Telling.typed: what came from it when it could not be put in its place any
# more.
LATE = "late:"


@dataclass(frozen=True)
class Warned:
    """A patient alone said yes, or not sure, to a danger question, and nobody has confirmed it yet: the short
    names of the questions.
    """

    visit: Visit
    yes: tuple[str, ...]
    unsure: tuple[str, ...]


def telling_behind(held: HandOver) -> Telling | None:
    """What was told on this device so far."""
    return Telling.objects.filter(hand_over=held).first()


def to_go_on_with(held: HandOver) -> Telling | None:
    """What the same hands told last on another device in this visit, and no clinician has read yet."""
    others = Telling.objects.filter(
        visit=held.visit_id, hand_over__drawn_by=held.drawn_by, hand_over__denied_at=None
    )
    last = others.exclude(hand_over=held).order_by("-begun_at").first()
    return last if last and not last.settled_at and not last.taken else None


def tellings_of(visit: Visit) -> tuple[Telling, ...]:
    """Everything told in this visit, the first begun first; one that was gone on with on another device only
    where something came late from it. One query.
    """
    known = Telling.objects.select_related("hand_over", "settled_by")
    return tuple(each for each in known.filter(_to_be_read(), visit=visit) if each.shown or _has_late(each))


def _has_late(telling: Telling) -> bool:
    return any(key.startswith(LATE) for key in telling.typed or ())


def _to_be_read() -> Q:
    gone_on = Exists(Telling.objects.filter(continues=OuterRef("pk")))
    return ~Q(gone_on) | Q(late__isnull=False)


def unread_in(visit: Visit) -> tuple[Telling, ...]:
    return tuple(telling for telling in tellings_of(visit) if telling.settled_at is None)


def day_of(visit: Visit) -> date:
    """The day of the visit where the practice is: ages are counted on it."""
    return visit.started_at.astimezone(visit.patient.practice.zone).date()


def warned_among(user: User) -> tuple[Warned, ...]:
    """Every open visit of the practice in which a patient alone raised a danger, the latest first."""
    waiting = Telling.objects.select_related("visit__patient").filter(
        _to_be_read(), visit__patient__in=patients_of(user), visit__signed_at=None, settled_at=None
    )
    return _each_once(warning_of(telling) for telling in waiting.order_by("-changed_at"))


def warned_in(tellings: Iterable[Telling]) -> tuple[Warned, ...]:
    return _each_once(warning_of(telling) for telling in tellings)


def warning_of(telling: Telling) -> Warned | None:
    """What of it raises a danger and was not taken over yet; None for nothing."""
    said = {key: value for key, value in telling.shown.items() if key not in telling.taken}
    yes, unsure = _named(said, "yes"), _named(said, "unsure")
    return Warned(telling.visit, yes, unsure) if yes or unsure else None


def _named(said: Mapping[str, Any], answer: str) -> tuple[str, ...]:
    danger = (item for group in items.history().on_page("danger") for item in group.items)
    return tuple(item.label for item in danger if said.get(item.key) == answer)


def _each_once(found: Iterable[Warned | None]) -> tuple[Warned, ...]:
    """Two devices of one visit in one line."""
    by_visit: dict[Any, Warned] = {}
    for each in found:
        if each is None:
            continue
        before = by_visit.get(each.visit.pk, Warned(each.visit, (), ()))
        yes = tuple(dict.fromkeys((*before.yes, *each.yes)))
        unsure = tuple(name for name in dict.fromkeys((*before.unsure, *each.unsure)) if name not in yes)
        by_visit[each.visit.pk] = Warned(each.visit, yes, unsure)
    return tuple(by_visit.values())
