"""The end of an episode, with the course as it stands then."""

from typing import Any

from django.db import transaction

from charting.drafts.services import forget
from charting.episodes import services as episodes
from charting.episodes.models import Episode, EpisodeEvent
from charting.progress.course import course_of
from charting.progress.summary import fingerprint, summary_of
from charting.staff.models import User


def draft_key(episode: Episode) -> str:
    return f"discharge:{episode.pk}"


@transaction.atomic
def discharge(*, who: User, episode: Episode, reason: str, words: str, seen: str) -> EpisodeEvent:
    """End an episode and freeze its summary. `seen`: the fingerprint of the summary that `who` saw.

    Raises NotDone when the record says something else by now, and as charting.episodes.services.discharge;
    PermissionDenied.
    """
    summary: dict[str, Any] = summary_of(course_of(who, episode))
    if fingerprint(summary) != seen:
        raise episodes.NotDone(
            "The record has changed since this page was opened. Read the summary once more."
        )
    event = episodes.discharge(who=who, episode=episode, reason=reason, words=words, summary=summary)
    forget(who=who, key=draft_key(episode))
    return event
