"""What an import would do, worked out before it is done: new patterns, new versions, what is refused."""

import hashlib
from dataclasses import dataclass, replace
from typing import Self

from bodymaps import own_file
from bodymaps.own import OwnPattern
from bodymaps.patterns import AtlasError, known_muscles
from charting.patterns import queries
from charting.patterns.models import PatternVersion
from charting.staff.models import Practice


@dataclass(frozen=True)
class Step:
    """What becomes of one entry: `what` is "new", "new version" or "same", which writes nothing.

    `pattern` has the number it would get here.
    """

    what: str
    pattern: OwnPattern

    @property
    def words(self) -> str:
        number = self.pattern.version
        if self.what == "same":
            return f"stands here word for word as version {number}: nothing is written"
        if self.what == "new":
            return "new here: becomes version 1"
        return f"becomes version {number}"


@dataclass(frozen=True)
class Plan:
    """Every entry of a file, those that are refused apart. Nothing can be done while one is refused."""

    steps: tuple[Step, ...]
    refused: tuple[AtlasError, ...]

    @classmethod
    def of(cls, practice: Practice, text: str, file: str) -> Self:
        """Raises nothing: a file that is none is a plan with one refusal."""
        try:
            reading = own_file.inspect(text, file)
        except AtlasError as problem:
            return cls((), (problem,))
        latest = {row.pattern: row for row in queries.latest_of(practice)}
        steps = tuple(_step(_named(one), latest.get(one.id)) for one in reading.patterns)
        return cls(steps, reading.refused)

    @property
    def to_write(self) -> tuple[Step, ...]:
        return tuple(step for step in self.steps if step.what != "same")

    @property
    def key(self) -> str:
        """Tells one plan from another: what would be written, and over what."""
        told = "\n".join(f"{step.pattern.id} {step.what} {step.pattern.version}" for step in self.steps)
        return hashlib.sha256(told.encode()).hexdigest()[:16]


def _named(one: OwnPattern) -> OwnPattern:
    """A muscle of the atlas has its own name here, whatever the file calls it."""
    name, _ = known_muscles().get(one.id, (one.name, ""))
    return replace(one, name=name)


def _step(one: OwnPattern, latest: PatternVersion | None) -> Step:
    if latest is None:
        return Step("new", replace(one, version=1))
    if queries.is_same(latest, one):
        return Step("same", replace(one, version=latest.number))
    return Step("new version", replace(one, version=latest.number + 1))
