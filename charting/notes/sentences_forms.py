"""The sentences of the note form: what was sent about each, and how it is shown again."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.http import QueryDict

from charting.notes.models import NoteSentence
from charting.notes.sentences_services import MINE, RECORD, Said
from charting.report.soap import SECTIONS

WORDS, STOOD, VERSION, OUT, AGAIN = "words:", "stood:", "version:", "out:", "again:"
WAS, WAS_OUT = "was:", "wasout:"
LONGEST: int = NoteSentence._meta.get_field("words").max_length or 0
LONGEST_KEY: int = NoteSentence._meta.get_field("key").max_length or 0


@dataclass(frozen=True)
class Field:
    """One sentence in the form. `shown`: as plain data of report.soap; `said`: what stands in the fields;
    `error`: why it could not be kept; `theirs`: what somebody else made of it meanwhile.
    """

    shown: Mapping[str, Any]
    said: Said
    error: str = ""
    theirs: NoteSentence | None = None

    @property
    def name(self) -> str:
        return f"{self.said.section}:{self.said.key}"

    @property
    def is_open(self) -> bool:
        return bool(self.error or self.theirs or self.shown["is_old"] or self.shown["is_gone"])

    @property
    def is_typed(self) -> bool:
        """Changed in the form and not saved yet."""
        return self.said.is_changed


def read(data: QueryDict) -> tuple[Said, ...]:
    """Every sentence that a form, or a draft of it, mentions."""
    return tuple(_read(data))


def _read(data: QueryDict) -> Iterator[Said]:
    for field in data:
        name = field.removeprefix(WORDS)
        section, _, key = name.partition(":")
        if field.startswith(WORDS) and section in SECTIONS and 0 < len(key) <= LONGEST_KEY:
            yield _said(data, name, section, key)


def _said(data: QueryDict, name: str, section: str, key: str) -> Said:
    version, again, stood = (
        data.get(VERSION + name, ""),
        data.get(AGAIN + name, ""),
        _text(data, STOOD + name),
    )
    return Said(
        section=section,
        key=key,
        stood=stood,
        words=_text(data, WORDS + name),
        taken_out=OUT + name in data,
        was=_text(data, WAS + name) if WAS + name in data else stood,
        was_out=WAS_OUT + name in data,
        version=int(version) if version.isdecimal() and len(version) < 10 else 0,
        again=again if again in (MINE, RECORD) else "",
    )


def _text(data: QueryDict, name: str) -> str:
    """As a browser sends it, with its line ends made one kind."""
    return data.get(name, "").replace("\r\n", "\n").strip()


def problem_of(said: Said) -> str:
    if len(said.words) > LONGEST:
        return f"A sentence has at most {LONGEST} characters; this one has {len(said.words)}."
    return ""


def problems_in(said: tuple[Said, ...]) -> dict[str, str]:
    """By key, what is wrong with a sentence that was changed."""
    return {one.key: problem for one in said if one.is_changed and (problem := problem_of(one))}


def field_of(
    section: str,
    shown: Mapping[str, Any],
    row: NoteSentence | None,
    typed: Said | None = None,
    *,
    error: str = "",
    theirs: NoteSentence | None = None,
) -> Field:
    """As record and changes have it, with what was typed over it. `theirs`: the typed words stand over what
    somebody else saved, and saving them again is then a decision.
    """
    stood, version = str(shown["stood"]), row.version if row else 0
    words, out = (row.words, row.taken_out) if row else (stood, False)
    now = Said(section, str(shown["key"]), stood, words, out, words, out, version)
    if typed and typed.is_changed and theirs:
        now = replace(now, words=typed.words, taken_out=typed.taken_out, again=typed.again)
    elif typed and typed.is_changed:
        now = typed
    return Field(shown, now, error, theirs)
