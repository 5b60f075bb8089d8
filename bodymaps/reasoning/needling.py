"""What stands against a needle in this person, this muscle, this visit: data/reasoning/needling.toml.

A gate says what is so, how heavily it weighs and who says so. It never says that needling is safe.
"""

from __future__ import annotations

from dataclasses import dataclass

LEVELS = ("stop", "caution", "note")


@dataclass(frozen=True)
class Gate:
    """One thing to know before a needle goes in. `level`: "stop" holds the entry back, "caution" and "note"
    are shown. `muscle` and `side`: what it is about, "" for the person or the visit. `overridable`: somebody with
    the right may go on with a reason that prints. `because`: what in the record makes it so.
    """

    id: str
    level: str
    title: str
    words: str
    source: str
    status: str
    muscle: str = ""
    side: str = ""
    overridable: bool = True
    because: str = ""


@dataclass(frozen=True)
class LateAdviceText:
    """What the patient is told to watch for after needling: `words` as they are given, whom to `call`."""

    title: str
    words: str
    call: str
    source: str
    status: str
