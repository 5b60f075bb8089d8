"""Every write to an episode. Whoever begins, ends or reopens one holds the row of the person: two at once
make one episode, and no visit slips into one that is being discharged.
"""

import uuid
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.services import forget
from charting.episodes.models import Episode, EpisodeEvent
from charting.episodes.queries import open_episode
from charting.patients.access import charts_of
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import may, require
from charting.versioning import save_if_current

LONGEST_TITLE = 160
LONGEST_WORDS = 4000


class NotDone(Exception):
    """Why an episode was not begun, discharged or reopened, in words for the page."""


class AskWhich(NotDone):
    """Every episode of this person is discharged: somebody has to say whether it is the same complaint."""

    def __init__(self) -> None:
        super().__init__("Say whether it is the same complaint again or a new one.")


@dataclass(frozen=True)
class About:
    """What a visit that begins is about. Nothing said: what is open, or the first complaint of all.

    `episode` is one that is open, or a discharged one that `words` reopen; `is_new` begins one of `title`.
    """

    episode: uuid.UUID | None = None
    is_new: bool = False
    title: str = ""
    words: str = ""


def reopen_draft(episode: Episode) -> str:
    return f"reopen:{episode.pk}"


def find_or_begin(*, who: User, patient: Patient, about: About) -> Episode:
    """The episode of a visit that begins now. Call it inside the transaction of that visit, with the row of
    the person locked. Raises AskWhich, NotDone.

    Who may not treat is not asked: an episode without a title begins, and a clinician names it.
    """
    if about.episode is not None:
        return _go_on_with(who, patient, about.episode, about.words)
    if about.is_new:
        return _open_and_called(patient, about.title) or _begin(who, patient, about.title)
    standing = open_episode(patient)
    if standing is None and may(who, "treat") and patient.episodes.exists():
        raise AskWhich
    return standing or _begin(who, patient, "")


@transaction.atomic
def name(*, who: User, episode: Episode, version: int, title: str) -> Episode:
    """Say what an episode is about. Raises Stale when somebody changed it since `version`; NotDone."""
    require(who, "treat")
    _lock(who, episode)
    save_if_current(episode, version=version, title=_title(title))
    record(who=who, did="named episode", what=episode, patient=str(episode.patient_id))
    return episode


@transaction.atomic
def discharge(
    *, who: User, episode: Episode, reason: str, words: str, summary: dict[str, Any]
) -> EpisodeEvent:
    """End an episode, with the summary of outcomes as it stands. The right to treat is needed.

    Raises NotDone, naming the visit, while one of it is not signed; for one that is discharged already;
    without a reason, or without words for the reason "other".
    """
    require(who, "treat")
    now = _lock(who, episode)
    _check_discharge(now, reason, words.strip())
    event = _add(who, now, EpisodeEvent.What.DISCHARGED, reason=reason, words=words.strip(), summary=summary)
    _close(episode, event.done_at)
    record(who=who, did="discharged episode", what=episode, patient=str(episode.patient_id), reason=reason)
    return event


@transaction.atomic
def reopen(*, who: User, episode: Episode, words: str) -> EpisodeEvent:
    """Go on with a discharged episode, saying why. Raises NotDone for one that is open."""
    require(who, "treat")
    if _lock(who, episode).is_open:
        raise NotDone("This episode is open already.")
    said = words.strip()
    if not 0 < len(said) <= LONGEST_WORDS:
        raise NotDone(f"Write why it is reopened, in at most {LONGEST_WORDS} characters.")
    event = _add(who, episode, EpisodeEvent.What.REOPENED, words=said)
    _close(episode, None)
    forget(who=who, key=reopen_draft(episode))
    record(who=who, did="reopened episode", what=episode, patient=str(episode.patient_id))
    return event


def _go_on_with(who: User, patient: Patient, chosen: uuid.UUID, words: str) -> Episode:
    episode = Episode.objects.filter(patient=patient, pk=chosen).first()
    if episode is None:
        raise NotDone("This complaint is not one of this person's. Open the page of the patient once more.")
    if not episode.is_open:
        reopen(who=who, episode=episode, words=words)
    return episode


def _open_and_called(patient: Patient, title: str) -> Episode | None:
    """Two people who begin the same complaint at once begin one."""
    return Episode.objects.filter(patient=patient, closed_at=None, title__iexact=_title(title)).first()


def _begin(who: User, patient: Patient, title: str) -> Episode:
    said = _title(title) if title else ""
    return Episode.objects.create(patient=patient, opened_at=timezone.now(), opened_by=who, title=said)


def _title(typed: str) -> str:
    title = " ".join(typed.split())
    if not 0 < len(title) <= LONGEST_TITLE:
        raise NotDone(f"Give the complaint a title, in at most {LONGEST_TITLE} characters.")
    return title


def _lock(who: User, episode: Episode) -> Episode:
    """The row as it stands, with nobody else at this person. Raises PermissionDenied."""
    if not charts_of(who).select_for_update().filter(pk=episode.patient_id).first():
        raise PermissionDenied("This person is registered with another practice.")
    return Episode.objects.get(pk=episode.pk)


def _check_discharge(episode: Episode, reason: str, words: str) -> None:
    if episode.closed_at:
        day = timezone.localtime(episode.closed_at, episode.patient.practice.zone)
        raise NotDone(f"This episode was discharged already, on {day.day} {day:%B %Y at %H:%M}.")
    if reason not in EpisodeEvent.Reason.values:
        raise NotDone("Choose why the episode ends.")
    if len(words) > LONGEST_WORDS or (reason == EpisodeEvent.Reason.OTHER and not words):
        raise NotDone(f"Write why it ends, in at most {LONGEST_WORDS} characters.")
    unsigned = episode.visits.filter(signed_at=None).select_related("clinician").order_by("started_at")
    if unsigned:
        raise NotDone(f"Sign this first: {'; '.join(_words_of(visit) for visit in unsigned)}.")


def _words_of(visit: Any) -> str:
    day = timezone.localtime(visit.started_at, visit.patient.practice.zone)
    return f"the visit of {day.day} {day:%B %Y} with {visit.clinician}"


def _add(who: User, episode: Episode, what: EpisodeEvent.What, **said: Any) -> EpisodeEvent:
    return EpisodeEvent.objects.create(episode=episode, what=what, done_by=who, **said)


def _close(episode: Episode, at: Any) -> None:
    """In step with the event just written."""
    Episode.objects.filter(pk=episode.pk).update(closed_at=at, version=F("version") + 1)
    episode.refresh_from_db()
