"""What can be said about a symptom area: the questions of symptoms.toml, and one clean set of answers."""

import tomllib
import uuid
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps import kinds

FILE = Path(__file__).parent / "symptoms.toml"
CHOICES = ("course", "depth", "link")


class SymptomError(ValueError):
    """An answer that can't be kept, or a file that can't be used; the text says what to mend."""


@dataclass(frozen=True)
class Choice:
    """One answer: as the patient reads it, and as the chart does."""

    id: str
    words: str
    record: str


@dataclass(frozen=True)
class Question:
    id: str
    question: str
    choices: tuple[Choice, ...]

    def record_of(self, answer: str) -> str:
        """The chart's words for an answer, "" for none."""
        return next((choice.record for choice in self.choices if choice.id == answer), "")


@dataclass(frozen=True)
class Asked:
    """The file, checked. `least` and `most` bound every intensity."""

    version: str
    least: int
    most: int
    questions: Mapping[str, Question]
    since: str
    since_characters: int


@dataclass(frozen=True)
class Answers:
    """What was said about one area; "" and None where nothing was. Strengths are 0-10."""

    now: dict[str, int] = field(default_factory=dict)
    least: int | None = None
    most: int | None = None
    course: str = ""
    depth: str = ""
    since: str = ""
    link: str = ""
    link_to: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        return self == Answers()

    def as_json(self) -> dict[str, Any]:
        return {**asdict(self), "link_to": list(self.link_to)}


@cache
def load() -> Asked:
    """Raises SymptomError when the file can't be used."""
    return checked(tomllib.loads(FILE.read_text(encoding="utf-8")))


def checked(data: Mapping[str, Any]) -> Asked:
    try:
        return Asked(
            version=str(data["version"]),
            least=int(data["intensity"]["least"]),
            most=int(data["intensity"]["most"]),
            questions={name: _question(name, data[name]) for name in CHOICES},
            since=str(data["since"]["question"]),
            since_characters=int(data["since"]["most_characters"]),
        )
    except (KeyError, TypeError) as problem:
        raise SymptomError(f"symptoms.toml: {problem} is missing or of the wrong kind") from problem


def _question(name: str, entry: Mapping[str, Any]) -> Question:
    choices = tuple(Choice(**choice) for choice in entry["choice"])
    if len({choice.id for choice in choices}) < len(choices) or len(choices) < 2:
        raise SymptomError(f"symptoms.toml: {name} needs two choices or more, each with an id of its own")
    return Question(name, str(entry["question"]), choices)


def read(sent: object) -> Answers:
    """One clean set from decoded JSON. Raises SymptomError in words for the person at the board."""
    if not isinstance(sent, Mapping):
        raise SymptomError("the answers about an area must be an object")
    asked = load()
    return Answers(
        now=_strengths(sent.get("now"), asked),
        least=_strength(sent.get("least"), asked),
        most=_strength(sent.get("most"), asked),
        since=_since(sent.get("since"), asked),
        link_to=_ids(sent.get("link_to")),
        **{name: _choice(asked.questions[name], sent.get(name)) for name in CHOICES},
    )


def _strengths(sent: object, asked: Asked) -> dict[str, int]:
    if not isinstance(sent, Mapping | None):
        raise SymptomError("how strong it is needs a number for each kind")
    found = {}
    for kind, value in (sent or {}).items():
        number = _strength(value, asked)
        if kind not in kinds.IDS or number is None:
            raise SymptomError("a strength names a kind of sensation that is not on the list, or no number")
        found[str(kind)] = number
    return found


def _strength(value: object, asked: Asked) -> int | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not asked.least <= value <= asked.most:
        raise SymptomError(f"how strong it is must be a whole number from {asked.least} to {asked.most}")
    return value


def _choice(question: Question, value: object) -> str:
    if value in ("", None):
        return ""
    if not isinstance(value, str) or value not in {choice.id for choice in question.choices}:
        raise SymptomError(f"'{question.question}' has no such answer")
    return value


def _since(value: object, asked: Asked) -> str:
    if value is None:
        return ""
    if not isinstance(value, str) or len(value) > asked.since_characters or not value.isprintable():
        raise SymptomError(f"'{asked.since}' takes at most {asked.since_characters} characters on one line")
    return value.strip()


def _ids(value: object) -> tuple[str, ...]:
    if value is None:
        return ()
    if not isinstance(value, list):
        raise SymptomError("the other area is named by its strokes")
    try:
        return tuple(str(uuid.UUID(str(each))) for each in value)
    except ValueError as problem:
        raise SymptomError("the other area is named by its strokes") from problem
