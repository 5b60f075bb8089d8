"""What the pages about files that come from elsewhere may use."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from charting.exchange import brought
from charting.exchange.bring_queries import files_of
from charting.exchange.models import ImportFile
from charting.exchange.plans import Plan, Question, Reader, Step
from charting.patients.access import patients_of
from charting.patients.models import Patient
from charting.staff.models import User


@dataclass(frozen=True)
class FilesPage:
    """Kinds of files that can be brought, as (what, title), and the files of late."""

    MOST: ClassVar[int] = 50

    kinds: tuple[tuple[str, str], ...]
    waiting: tuple[ImportFile, ...]
    done: tuple[ImportFile, ...]


@dataclass(frozen=True)
class ShownPage:
    """What a file would do. `plan` is None until `questions` are answered; `said`: (name, words, value)."""

    MOST: ClassVar[int] = 50

    file: ImportFile
    reader: Reader
    plan: Plan | None
    said: tuple[tuple[str, str, str], ...]
    questions: tuple[Question, ...]
    # Those with something to choose, and the plain ones: the first of them, and how many more there are.
    open_steps: tuple[tuple[Step, str], ...] = ()
    plain_steps: tuple[Step, ...] = ()
    more: int = 0


@dataclass(frozen=True)
class DonePage:
    """What came of a file: the people it made and changed, and whom it left out."""

    MOST: ClassVar[int] = 50

    file: ImportFile
    made: tuple[Patient, ...]
    changed: tuple[Patient, ...]
    made_count: int
    left: tuple[str, ...]
    was_left: bool


def files_page(user: User) -> FilesPage:
    rows = files_of(user)
    return FilesPage(
        kinds=tuple((what, reader.title) for what, reader in brought.readers.items()),
        waiting=tuple(rows.filter(done_at=None)[: FilesPage.MOST]),
        done=tuple(rows.exclude(done_at=None)[: FilesPage.MOST]),
    )


def shown_page(
    user: User, file: ImportFile, said: Mapping[str, str], chosen: Mapping[str, str] | None = None
) -> ShownPage:
    """`chosen`: what a form that was refused had chosen, by key of step; nothing that was chosen is lost."""
    reader = brought.readers[file.what]
    plan = brought.plan_of(user, file, said)
    steps = plan.steps if plan else ()
    # Who is left out stands first: the rest is what the person expects.
    plain = sorted((step for step in steps if not step.is_open), key=lambda step: not step.known)
    return ShownPage(
        file=file,
        reader=reader,
        plan=plan,
        said=tuple(
            (one.label, words, value)
            for one in reader.questions
            for value, words in one.choices
            if value == said.get(one.name)
        ),
        questions=brought.unanswered(reader, said),
        open_steps=tuple((step, _taken(step, chosen or {})) for step in steps if step.is_open),
        plain_steps=tuple(plain[: ShownPage.MOST]),
        more=max(0, len(plain) - ShownPage.MOST),
    )


def _taken(step: Step, chosen: Mapping[str, str]) -> str:
    return chosen.get(step.key) or ("" if step.is_asked else step.choices[0].value)


def done_page(user: User, file: ImportFile) -> DonePage:
    outcome = file.outcome or {}
    return DonePage(
        file=file,
        made=_people(user, outcome.get("made", [])),
        changed=_people(user, outcome.get("changed", [])),
        made_count=len(outcome.get("made", [])),
        left=tuple(outcome.get("left", [])),
        was_left=brought.was_left(file),
    )


def _people(user: User, ids: list[str]) -> tuple[Patient, ...]:
    return tuple(patients_of(user).filter(pk__in=ids[: DonePage.MOST]))
