"""What a clinician made of the sentences of a letter: read from a form, kept, laid over the record."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from charting.letters.kinds import SECTIONS
from charting.report.sentences import Assembled, Edit, Shown, laid

OWN, ROW = "own:", "row:"
LONGEST = 4000
LONGEST_NAME, LONGEST_ADDRESS = 160, 300
MOST_EDITS = 200


@dataclass(frozen=True)
class Edits:
    """`sentences` by key; `own`: words added to a section, by its id; `rows`: keys of measures left out."""

    sentences: Mapping[str, Edit] = field(default_factory=dict)
    own: Mapping[str, str] = field(default_factory=dict)
    rows: frozenset[str] = frozenset()

    @classmethod
    def of(cls, kept: Mapping[str, Any]) -> "Edits":
        """From Letter.edits."""
        read = {key: Edit(**said) for key, said in kept.items()}
        return cls(
            sentences={key: one for key, one in read.items() if not key.startswith((OWN, ROW))},
            own={key.removeprefix(OWN): one.words for key, one in read.items() if key.startswith(OWN)},
            rows=frozenset(key.removeprefix(ROW) for key in read if key.startswith(ROW)),
        )

    def as_json(self) -> dict[str, Any]:
        every = {
            **self.sentences,
            **{f"{OWN}{section}": Edit("", words) for section, words in self.own.items()},
            **{f"{ROW}{key}": Edit("", taken_out=True) for key in sorted(self.rows)},
        }
        return {key: asdict(edit) for key, edit in every.items()}


@dataclass(frozen=True)
class Typed:
    """The form of a letter as it was sent; `wrong`: what to mend, by name of the field."""

    version: int
    to_name: str
    to_address: str
    edits: Edits
    wrong: Mapping[str, str] = field(default_factory=dict)


def read(sent: Mapping[str, str], kind: str) -> Typed:
    """What stands in the fields, whatever it is. As it stood is no edit, emptied is left out.

    Fields: "stood:<key>", "words:<key>", "out:<key>" of each sentence, "own:<section>", "row:<measure>";
    where the record has changed since, "now:<key>", and "seen:<key>" once that was read.
    """
    clean = {name: words.replace("\r\n", "\n").strip() for name, words in sent.items()}
    keys = [name.removeprefix("stood:") for name in clean if name.startswith("stood:")]
    known = {section.id for section in SECTIONS[kind]}
    sentences = {
        key: edit
        for key in keys
        if key.partition(".")[0] in known and (edit := _edit(clean, key)) is not None
    }
    own = {name: words for name in known if (words := clean.get(f"{OWN}{name}", ""))}
    # A measure that is shown and has no tick any more is left out.
    shown = [name.removeprefix("shown:") for name in clean if name.startswith("shown:")]
    rows = frozenset(key for key in shown if f"{ROW}{key}" not in clean)
    version = clean.get("version", "")
    typed = Typed(
        int(version) if version.isdecimal() and len(version) < 10 else 0,
        clean.get("to_name", ""),
        clean.get("to_address", ""),
        Edits(sentences, own, rows),
    )
    return Typed(typed.version, typed.to_name, typed.to_address, typed.edits, _wrong(typed))


def _edit(clean: Mapping[str, str], key: str) -> Edit | None:
    stood, words = clean[f"stood:{key}"], clean.get(f"words:{key}", "")
    now = clean.get(f"now:{key}", stood)
    is_out = f"out:{key}" in clean or not words
    if not is_out and words == now:
        return None
    return Edit(now if f"seen:{key}" in clean else stood, "" if words == now else words, is_out)


def _wrong(typed: Typed) -> dict[str, str]:
    limits = {"to_name": (typed.to_name, LONGEST_NAME), "to_address": (typed.to_address, LONGEST_ADDRESS)}
    limits |= {f"words:{key}": (one.words, LONGEST) for key, one in typed.edits.sentences.items()}
    limits |= {f"own:{section}": (words, LONGEST) for section, words in typed.edits.own.items()}
    wrong = {
        name: f"At most {most} characters; these are {len(words)}."
        for name, (words, most) in limits.items()
        if len(words) > most
    }
    if len(typed.edits.as_json()) > MOST_EDITS:
        wrong["version"] = f"At most {MOST_EDITS} sentences can be changed."
    return wrong


def shown(assembled: tuple[Assembled, ...], edits: Edits) -> tuple[Shown, ...]:
    """The sentences as they stand now; what was written about something that is gone comes last."""
    return laid(assembled, edits.sentences, {key: key.partition(".")[0] for key in edits.sentences})
