"""What a payer will ask for and nobody has recorded yet, told before anything prints (missing.toml)."""

from dataclasses import dataclass

from charting.episodes.models import Episode
from charting.visits.models import Visit


@dataclass(frozen=True)
class Missing:
    """One thing. `what`: its id in missing.toml; `words`: what to do, one sentence; `url`: the path where it
    is recorded, "" where a manager sets it up; `source` and `status`: who asks for it.
    """

    what: str
    words: str
    url: str
    source: str
    status: str


def missing_of(episode: Episode, visit: Visit | None = None, *, paper: str = "") -> tuple[Missing, ...]:
    """What is missing for this episode and, where a visit is given, for it. `paper` is "note" (the usual
    with a visit), "progress" (the usual without), "referrer" or "summary".

    Without a payer on record a note asks for nothing, and a progress report for the payer alone.
    """
    return ()
