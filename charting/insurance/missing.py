"""What a payer will ask for and nobody has recorded yet, told before anything prints (missing.toml)."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse
from django.utils import timezone

from charting.episodes.models import Episode
from charting.insurance import missing_file
from charting.insurance.missing_checks import CHECKS, Looked
from charting.insurance.missing_file import ASKED, NO_PAYER, Entry
from charting.insurance.models import Claim
from charting.insurance.queries import Cover, cover_of
from charting.insurance.timed import time_of
from charting.treatment.queries import entries_of
from charting.visits.models import Visit


@dataclass(frozen=True)
class Missing:
    """One thing. `what`: its id in missing.toml; `words`: what to do, one sentence; `url`: the path where it
    is recorded, "" where there is no visit to record it in; `source` and `status`: who asks for it.
    """

    what: str
    words: str
    url: str
    source: str
    status: str


def missing_of(
    episode: Episode, visit: Visit | None = None, *, paper: str = "", cover: Cover | None = None
) -> tuple[Missing, ...]:
    """What is missing for this episode and, where a visit is given, for it. `paper` is "note" (the usual
    with a visit) or "progress" (the usual without); nothing is asked for any other. `cover`: as it was read.

    Without a payer on record a note asks for nothing, and a progress report for the payer alone.
    """
    at = _looked(episode, visit, cover)
    entries = _asked_of(at.cover, paper or ("note" if visit else "progress"))
    found = ((entry, CHECKS[entry.id](at)) for entry in entries)
    return tuple(_told(entry, words, at) for entry, words in found if words is not None)


def _looked(episode: Episode, visit: Visit | None, cover: Cover | None) -> Looked:
    cover = cover or cover_of(episode, until=visit) or _nothing(episode)
    day = (visit.started_at if visit else timezone.now()).astimezone(episode.patient.practice.zone).date()
    time = time_of(entries_of(visit), cover.payer) if visit else None
    last = visit or episode.visits.select_related("clinician").first()
    return Looked(episode, cover, last, day, time)


def _nothing(episode: Episode) -> Cover:
    return Cover(Claim(episode=episode), None, (), (), ())


def _asked_of(cover: Cover, paper: str) -> Iterable[Entry]:
    """The entries that this payer asks for on this paper."""
    for entry in missing_file.load().values():
        by_payer = cover.payer is not None and (entry.needs != ASKED or entry.id in cover.payer.asks)
        if paper in entry.papers and (by_payer or entry.needs == NO_PAYER):
            yield entry


def _told(entry: Entry, words: str, at: Looked) -> Missing:
    return Missing(entry.id, entry.words.format(words), _url(entry, at), entry.source, entry.status)


def _url(entry: Entry, at: Looked) -> str:
    name, _, part = entry.at.partition("#")
    if name == "treatment":
        return reverse(name, args=[at.visit.pk]) if at.visit else ""
    if name == "insurance":
        return f"{reverse(name, args=[at.episode.pk])}#{part}"
    return reverse(name)
