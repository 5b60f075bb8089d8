"""What a file that was brought would do, worked out before anything of it is done."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from charting.patients.models import Patient
from charting.staff.models import User


class NotDone(Exception):
    """Nothing of the file was taken in; the text tells why and what to do."""


@dataclass(frozen=True)
class Question:
    """What only the person who brings the file can say of it: how its dates are written, for instance.

    `choices`: (value, words). Without an answer nothing is read.
    """

    name: str
    label: str
    choices: tuple[tuple[str, str], ...]
    help_text: str = ""

    @property
    def values(self) -> frozenset[str]:
        return frozenset(value for value, _ in self.choices)


@dataclass(frozen=True)
class Refused:
    """What must be mended in the file first. `where`: "Line 7, birth date"; `why`: what to mend."""

    where: str
    why: str


@dataclass(frozen=True)
class Choice:
    value: str
    words: str


@dataclass(frozen=True)
class Step:
    """What becomes of one person of the file.

    `key` is its own within the file ("line-7"). The first of `choices` happens unless another is taken;
    when `is_asked`, one must be taken. `said`: (label, what the file says); `clashes`: (label, on record,
    in the file); `known`: people of the practice who may be the same. `values`: what the reader needs later.
    """

    key: str
    where: str
    name: str
    said: tuple[tuple[str, str], ...]
    choices: tuple[Choice, ...]
    is_asked: bool = False
    known: tuple[Patient, ...] = ()
    notes: tuple[str, ...] = ()
    clashes: tuple[tuple[str, str, str], ...] = ()
    values: Any = None

    @property
    def is_open(self) -> bool:
        """Whether there is anything to choose."""
        return len(self.choices) > 1


@dataclass(frozen=True)
class Plan:
    """Every person of a file. Nothing can be done while an entry is refused: all or nothing.

    `told`: how the file was read, in sentences ("Read as UTF-8, with commas between the columns.").
    """

    steps: tuple[Step, ...]
    refused: tuple[Refused, ...] = ()
    told: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """Tells one plan from another: what would be done, and beside whom as they stand now."""
        told = [
            [
                step.key,
                step.said,
                [choice.value for choice in step.choices],
                sorted((str(patient.pk), patient.version) for patient in step.known),
            ]
            for step in self.steps
        ]
        return hashlib.sha256(json.dumps(told).encode()).hexdigest()[:16]

    def decided(self, sent: Mapping[str, str]) -> dict[str, str]:
        """{step.key: value of its choice}, of what a form sent under `step.key`. Raises NotDone."""
        return {step.key: _decided(step, sent.get(step.key, "")) for step in self.steps}


def _decided(step: Step, sent: str) -> str:
    if sent in {choice.value for choice in step.choices}:
        return sent
    if sent or step.is_asked:
        raise NotDone(f"{step.where}, {step.name}: choose what becomes of this person.")
    return step.choices[0].value


class Reader(Protocol):
    """How one kind of file is read and taken in. `suffixes`: what the browser offers (".csv,text/csv")."""

    @property
    def title(self) -> str: ...
    @property
    def help_text(self) -> str: ...
    @property
    def suffixes(self) -> str: ...
    @property
    def most_bytes(self) -> int: ...
    @property
    def questions(self) -> tuple[Question, ...]: ...

    def plan(self, user: User, content: bytes, said: Mapping[str, str]) -> Plan:
        """What the file would do in the practice of `user`. `said`: {question.name: answer}, each of them one
        of its values. Raises nothing: a file that can't be read is a plan with one refusal.
        """
        ...

    def take_in(self, who: User, plan: Plan, decided: Mapping[str, str]) -> dict[str, list[str]]:
        """Do it, within the transaction of the caller, each person with an audit row; {"made": ids of
        patients, "changed": ids, "left": "where" of those left out}. Raises NotDone.
        """
        ...
