"""The four sections of the note while it is written: sentences to change, own words, text blocks."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from django.forms import BoundField, Form

from charting.notes.models import NoteSentence, TextBlock
from charting.notes.sentences_forms import Field, field_of
from charting.notes.sentences_services import Said
from charting.report.sentences import Shown


@dataclass(frozen=True)
class Part:
    """The sentences about one part of the record."""

    title: str
    fields: tuple[Field, ...]


@dataclass(frozen=True)
class SectionCard:
    """One heading of the note. `own`: the field of the words that stand beside the sentences."""

    id: str
    title: str
    parts: tuple[Part, ...]
    own: BoundField
    blocks: tuple[TextBlock, ...]

    @property
    def changed(self) -> int:
        return sum(bool(one.said.version) for part in self.parts for one in part.fields)


@dataclass(frozen=True)
class Typed:
    """What was typed about sentences and is not kept: by key; with what was wrong, and what others saved."""

    said: Mapping[str, Said]
    errors: Mapping[str, str]
    theirs: Mapping[str, NoteSentence]

    @classmethod
    def of(
        cls,
        said: Iterable[Said] = (),
        errors: Mapping[str, str] | None = None,
        theirs: NoteSentence | None = None,
    ) -> "Typed":
        return cls({one.key: one for one in said}, errors or {}, {theirs.key: theirs} if theirs else {})


def cards(
    content: Mapping[str, Any],
    form: Form,
    rows: Mapping[str, NoteSentence],
    blocks: Iterable[TextBlock],
    typed: Typed,
) -> tuple[SectionCard, ...]:
    in_use = [block for block in blocks if block.in_use]
    return tuple(
        SectionCard(
            id=section["id"],
            title=section["title"],
            parts=(
                *(_part(section["id"], part, rows, typed) for part in section["parts"]),
                *_orphans(section, typed),
            ),
            own=form[section["id"]],
            blocks=tuple(block for block in in_use if block.section == section["id"]),
        )
        for section in content["soap"]["sections"]
    )


def _part(section: str, part: Mapping[str, Any], rows: Mapping[str, NoteSentence], typed: Typed) -> Part:
    return Part(part["title"], tuple(_field(section, one, rows, typed) for one in part["sentences"]))


def _orphans(section: Mapping[str, Any], typed: Typed) -> Iterator[Part]:
    """What was typed about a sentence that the record lost meanwhile: nothing typed is lost."""
    known = {one["key"] for part in section["parts"] for one in part["sentences"]}
    lost = [one for one in typed.said.values() if one.section == section["id"] and one.key not in known]
    fields = tuple(_lost(one, typed) for one in lost if one.is_changed)
    if fields:
        yield Part("", fields)


def _lost(one: Said, typed: Typed) -> Field:
    shown = asdict(Shown(one.section, one.key, one.words, "", is_edited=True, is_gone=True))
    return Field(shown, one, typed.errors.get(one.key, ""), typed.theirs.get(one.key))


def _field(section: str, one: Mapping[str, Any], rows: Mapping[str, NoteSentence], typed: Typed) -> Field:
    key = one["key"]
    return field_of(
        section,
        one,
        rows.get(key),
        typed.said.get(key),
        error=typed.errors.get(key, ""),
        theirs=typed.theirs.get(key),
    )
