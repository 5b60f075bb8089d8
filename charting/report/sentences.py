"""Sentences that were assembled from a record, and what a clinician made of them before signing.

Notes and letters write themselves from what was recorded. Each sentence keeps the key of what it tells of, so
that a change of it is found again, and shown to be old when the record says something else meanwhile.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Assembled:
    """One sentence as the record gives it. `key`: which part of the record it tells of; never renamed."""

    section: str
    key: str
    words: str


@dataclass(frozen=True)
class Edit:
    """The words put in its place, or that it is left out; `stood`: what was assembled at that moment."""

    stood: str
    words: str = ""
    taken_out: bool = False


@dataclass(frozen=True)
class Shown:
    """A sentence as it stands now. `stood`: as assembled now; `is_old`: changed when it said something else.
    `is_gone`: the record has no such sentence any more, the clinician's words alone are left.
    """

    section: str
    key: str
    words: str
    stood: str
    is_edited: bool = False
    taken_out: bool = False
    is_old: bool = False
    is_gone: bool = False


def laid(
    assembled: Iterable[Assembled], edits: Mapping[str, Edit], sections: Mapping[str, str]
) -> tuple[Shown, ...]:
    """The sentences with the edits over them, by key; nothing a clinician wrote is lost. An edit whose
    sentence is gone comes last, under the section that `sections` names for its key, unless it only left
    one out.
    """
    now = tuple(assembled)
    known = {one.key for one in now}
    gone = (
        Shown(sections[key], key, edit.words, "", is_edited=True, is_gone=True)
        for key, edit in edits.items()
        if key not in known and not edit.taken_out
    )
    return (*(_one(sentence, edits.get(sentence.key)) for sentence in now), *gone)


def _one(sentence: Assembled, edit: Edit | None) -> Shown:
    if edit is None:
        return Shown(sentence.section, sentence.key, sentence.words, sentence.words)
    return Shown(
        sentence.section,
        sentence.key,
        sentence.words if edit.taken_out else edit.words,
        sentence.words,
        is_edited=not edit.taken_out,
        taken_out=edit.taken_out,
        is_old=edit.stood != sentence.words,
    )
