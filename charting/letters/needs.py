"""What is missing in a letter before it prints: what an insurer asks for, and what the record leaves open."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from charting.insurance.missing import missing_of
from charting.letters import plain_file
from charting.letters import reading as ease
from charting.letters.gathered import Gathered
from charting.letters.models import Letter
from charting.letters.plain import source_words
from charting.notes.models import CoSignature


@dataclass(frozen=True)
class Need:
    """One thing, in a sentence; `url`: where it is mended, "" where nowhere; `source`: who asks for it."""

    words: str
    url: str = ""
    source: str = ""


@dataclass(frozen=True)
class Needs:
    """`stops` must be mended before anybody signs, `asked` may be left as it is."""

    stops: tuple[Need, ...]
    asked: tuple[Need, ...]
    reading: ease.Reading | None = None


def needs_of(found: Gathered, content: dict[str, Any], *, old: int = 0) -> Needs:
    """`content`: the letter as it stands; `old`: how many of its sentences were changed before the record
    was. Some five queries.
    """
    kind = content["kind"]
    measured = ease.of(text_of(content)) if kind == Letter.Kind.SUMMARY else None
    asked = [*_changed_since(old), *_of_record(found)]
    if kind == Letter.Kind.PROGRESS:
        asked += [*_of_insurer(found), *_of_report(content)]
    elif kind == Letter.Kind.REFERRER:
        asked += [*_of_letter(content)]
    else:
        asked += [*_of_summary(found, content)]
    return Needs(tuple(_stops(found, content)), tuple(asked), measured)


def text_of(content: dict[str, Any]) -> str:
    """The running text of a letter, without headings."""
    said = [one["words"] for section in content["sections"] for one in section["sentences"]]
    return "\n".join([*said, *(section["own"] for section in content["sections"] if section["own"])])


def _stops(found: Gathered, content: dict[str, Any]) -> Iterator[Need]:
    if not found.visits:
        yield Need("No visit of this episode is signed, so there is nothing to tell yet.")
    elif not text_of(content).strip():
        yield Need("Every sentence is left out: the letter is empty.")


def _changed_since(old: int) -> Iterator[Need]:
    if old:
        said = "1 sentence of yours was" if old == 1 else f"{old} sentences of yours were"
        yield Need(f"{said} written before the record changed: read again what it says now.")


def _of_record(found: Gathered) -> Iterator[Need]:
    """What stands behind the notes that the letter is made of."""
    for visit in found.unsigned:
        on = found.day(visit.started_at)
        yield Need(
            f"The visit of {on} is not signed: nothing of it stands here.", reverse("note", args=[visit.pk])
        )
    cosigned = set(CoSignature.objects.filter(note__in=found.in_order).values_list("note", flat=True))
    for note in found.in_order:
        on, url = note.content["visit"]["day"], reverse("note", args=[note.visit_id])
        if note.needs_cosign and note.pk not in cosigned:
            yield Need(f"The note of {on} waits for a co-signature.", url)
        kinds = [row.get_kind_display().lower() for row in note.addenda.all()]
        if kinds:
            said = ", ".join(dict.fromkeys(kinds))
            yield Need(
                f"Something was written into the note of {on} after signing ({said}): read it first.", url
            )


def _of_insurer(found: Gathered) -> Iterator[Need]:
    for one in missing_of(found.episode, paper="progress", cover=found.cover):
        known = one.source if one.status in one.source else f"{one.source} ({one.status})"
        yield Need(one.words, one.url, known if one.source else "")


def _of_report(content: dict[str, Any]) -> Iterator[Need]:
    if not content["codes"]:
        yield Need("No diagnosis code is chosen at any signed visit.")
    if not any(one["last"] for one in content["measures"]):
        yield Need("No score was taken twice, so no change can be shown.")
    if _is_empty(content, "goals"):
        yield Need("No goal is on record: write one below Goals.")
    if _is_empty(content, "plan"):
        yield Need("The plan is empty.")


def _of_letter(content: dict[str, Any]) -> Iterator[Need]:
    if not content["to"]["name"]:
        yield Need("Nobody is named to whom the letter goes.")
    if _is_empty(content, "found"):
        yield Need("No conclusion is on record: write what was found.")
    if _is_empty(content, "plan"):
        yield Need("The plan is empty.")


def _of_summary(found: Gathered, content: dict[str, Any]) -> Iterator[Need]:
    known = plain_file.load().certainty
    for source in found.sources:
        if source.certainty in known and not source_words(source):
            yield Need(f"{source.name} has no plain words: say it yourself, or leave it to be talked about.")
    if _is_empty(content, "next"):
        yield Need("What comes next is empty: write it in short words.")


def _is_empty(content: dict[str, Any], section: str) -> bool:
    held = next(one for one in content["sections"] if one["id"] == section)
    return not held["sentences"] and not held["own"]
