"""Every read of a hand-over by staff."""

import uuid

from django.shortcuts import get_object_or_404

from charting.handover.models import HandOver
from charting.patients.access import patients_of
from charting.staff.models import User
from charting.visits.models import Visit


def hand_over_of(user: User, hand_over_id: uuid.UUID) -> HandOver:
    """One hand-over within this person's practice. Raises Http404."""
    known = HandOver.objects.select_related("visit__patient__practice", "given_by")
    return get_object_or_404(known.filter(visit__patient__in=patients_of(user)), pk=hand_over_id)


def hand_overs_of(visit: Visit) -> tuple[HandOver, ...]:
    """Every hand-over of a visit, the latest first."""
    return tuple(HandOver.objects.filter(visit=visit).order_by("-given_at"))


def story_comes_first(held: HandOver) -> bool:
    """Whether the questions of the story wait on this device before the drawing."""
    through = HandOver.objects.filter(pk=held.pk, telling__handed_in_at__isnull=False)
    return held.tells and not through.exists()


def helpers_of(visit: Visit) -> tuple[str, ...]:
    """Who was given the device to draw for the patient, in their own words, each once."""
    named = HandOver.objects.filter(visit=visit, denied_at=None).exclude(helper="").order_by("given_at")
    return tuple(dict.fromkeys(named.values_list("helper", flat=True)))
