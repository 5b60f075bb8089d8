"""What the gates of needling are made of: rules, published depths, muscles with lung beneath, late advice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bodymaps.reasoning.conditions import Condition

FILE = "needling.toml"
LEVELS = ("stop", "caution", "note")
STATUSES = ("checked", "from memory", "common practice")
# A published depth: no more than this is advised; this has reached the lung; so far away it lay on average.
ADVISED, REACHED, DISTANCE = DEPTH_KINDS = ("advised", "reached", "distance")
GUARDIAN = "guardian"
# What is said of a visit; of these the first is found here, the others where the visit is known.
OF_VISIT = ("both_sides", "not_screened", "sent_now", "sent_today", "confirm_again")


class NeedlingError(ValueError):
    """The data file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class Where:
    """Where a rule counts. All empty: for the person as a whole."""

    areas: tuple[str, ...] = ()
    muscles: tuple[str, ...] = ()
    sites: Mapping[str, tuple[str, ...]] | None = None
    pleura: bool = False

    @property
    def is_person(self) -> bool:
        return not (self.areas or self.muscles or self.pleura)


@dataclass(frozen=True)
class Rule:
    """One gate of the file. `when` None: of everybody. `met_by`: "guardian" or ""."""

    id: str
    level: str
    title: str
    words: str
    source: str
    status: str
    when: Condition | None = None
    where: Where = Where()
    overridable: bool = True
    met_by: str = ""


@dataclass(frozen=True)
class Asked:
    """The questions (keys of history.toml) that have to be answered, by level; title with {label}."""

    title: str
    words: str
    source: str
    status: str
    stop: tuple[str, ...]
    caution: tuple[str, ...]


@dataclass(frozen=True)
class Structure:
    """A structure at risk of the atlas: how heavily it weighs, how it is called."""

    id: str
    level: str
    title: str


@dataclass(frozen=True)
class Over:
    """A muscle with lung beneath. `sites`: only there, () everywhere. `listed`: in the published lists."""

    muscle: str
    listed: bool
    sites: tuple[str, ...] = ()


@dataclass(frozen=True)
class Depth:
    """A published depth in mm; `kind` one of DEPTH_KINDS."""

    id: str
    kind: str
    mm: float
    words: str
    source: str
    status: str
    where: Where


@dataclass(frozen=True)
class LateAdviceText:
    """What the patient is told to watch for after needling: `words` as they are given, whom to `call`."""

    title: str
    words: str
    call: str
    source: str
    status: str


@dataclass(frozen=True)
class Needling:
    version: str
    asked: Asked
    rules: tuple[Rule, ...]
    structures: Mapping[str, Structure]
    unknown: Rule
    list_source: tuple[str, str]
    pleura: Mapping[str, Over]
    depths: tuple[Depth, ...]
    visit: Mapping[str, Rule]
    late_advice: LateAdviceText
