"""Whether something may be done to a place now: signs of danger decided, and agreed to beforehand."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import PermissionDenied

from charting.consent.queries import covers
from charting.flags.queries import FlagState, state_of
from charting.treatment.techniques import Technique
from charting.treatment.where import Where
from charting.visits.models import Visit


@dataclass(frozen=True)
class Held:
    """One thing that has to be done first. `page`: the name of the address where, "" where nothing helps;
    `go`: what its link is called.
    """

    words: str
    page: str = ""
    go: str = ""


class NotAllowed(PermissionDenied):
    """Nothing of it may be recorded yet; `held` says why and where to go."""

    def __init__(self, held: Sequence[Held]) -> None:
        self.held = tuple(held)
        super().__init__(" ".join(each.words for each in held))


def require_allowed(visit: Visit, technique: Technique, at: Where, *, when: datetime | None = None) -> None:
    """Raise NotAllowed while signs of danger wait or consent of an earlier time than `when` (now) is missing.
    Call it inside the transaction of the write.
    """
    if held := held_back(visit, technique, at, when=when):
        raise NotAllowed(held)


def held_back(
    visit: Visit,
    technique: Technique,
    at: Where,
    *,
    when: datetime | None = None,
    danger: FlagState | None = None,
) -> tuple[Held, ...]:
    """What stands in the way, () when nothing does. `danger` saves finding the signs of danger anew."""
    flags = _flags(danger or state_of(visit)) if technique.treats else ()
    return (*flags, *(_consent(visit, technique, at, when) if technique.procedure else ()))


def _flags(state: FlagState) -> tuple[Held, ...]:
    named = "; ".join(flag.title for flag in state.open_flags)
    words = f"A sign of danger waits for a decision: {named}. Treatment waits until then."
    return (Held(words, "flags", "Decide about it"),) if named else ()


def _consent(visit: Visit, technique: Technique, at: Where, when: datetime | None) -> tuple[Held, ...]:
    asked = [covers(visit, procedure=technique.procedure, area=key, at=when) for key in at.consent_keys]
    whys = dict.fromkeys(each.why for each in asked if not each.ok)
    return tuple(Held(why, "consents", "Consent") for why in whys)
