"""A practice's own wording of the consent texts: every change is a further version, the old ones stay."""

from dataclasses import dataclass, replace

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction
from django.http import Http404

from charting.audit.services import record
from charting.consent import texts
from charting.consent.models import ConsentTextVersion
from charting.consent.queries import worded
from charting.consent.texts import ConsentText, Part
from charting.drafts.services import forget
from charting.staff.models import Practice, User
from charting.staff.rights import require

RIGHT = "word consents"
# What the first row of a text says: the words of the release, kept beside those of the practice.
FROM_RELEASE = "The text as it came, kept before the first change"


class WordedMeanwhile(Exception):
    """Somebody else changed the text since the page was opened; `current` is what counts now."""

    def __init__(self, current: "Wording") -> None:
        super().__init__(f"{current.written} changed this text meanwhile.")
        self.current = current


class NothingChanged(Exception):
    """The words are those that count already."""

    def __init__(self) -> None:
        super().__init__("Nothing was changed: these are the words that are signed now.")


@dataclass(frozen=True)
class Wording:
    """One text as it counts in a practice. `rows`: its own versions, last first; () if there are none."""

    release: ConsentText
    rows: tuple[ConsentTextVersion, ...]

    @property
    def last(self) -> ConsentTextVersion | None:
        return self.rows[0] if self.rows else None

    @property
    def text(self) -> ConsentText:
        return worded(self.last) if self.last else self.release

    @property
    def in_use(self) -> bool:
        return self.last is None or self.last.in_use

    @property
    def written(self) -> str:
        return str(self.last.written_by) if self.last else "The release"

    @property
    def release_moved(self) -> bool:
        """Whether the release words it otherwise now than when the practice began its own."""
        return bool(self.rows) and worded(self.rows[-1]).body != self.release.body

    def version(self, number: int) -> ConsentText:
        """One version that was or is signed here. Raises Http404."""
        if not self.rows and number == self.release.version:
            return self.release
        for row in self.rows:
            if row.number == number:
                return worded(row)
        raise Http404("no such version")

    def before(self, number: int) -> ConsentText | None:
        """The version before this one."""
        older = [row for row in self.rows if row.number < number]
        return worded(older[0]) if older else None


def wordings(practice: Practice) -> tuple[Wording, ...]:
    """Every text, in the order of the release. One query."""
    rows = ConsentTextVersion.objects.filter(practice=practice).select_related("written_by")
    known = list(rows.order_by("-number"))
    return tuple(
        Wording(text, tuple(row for row in known if row.text_id == text.id)) for text in texts.load().values()
    )


def wording_of(practice: Practice, text_id: str) -> Wording:
    """One text as it counts in a practice, also when it is out of use. Raises Http404."""
    for each in wordings(practice):
        if each.release.id == text_id:
            return each
    raise Http404("no such consent text")


def draft_key(text_id: str) -> str:
    return f"consent-text:{text_id}"


@transaction.atomic
def reword(
    *,
    who: User,
    text_id: str,
    based_on: int,
    title: str,
    for_what: str,
    parts: tuple[Part, ...],
    reason: str,
) -> ConsentTextVersion:
    """Store new words as the next version. What was signed keeps its own.

    Raises PermissionDenied, Http404, NothingChanged; WordedMeanwhile unless `based_on` is what counts;
    ConsentTextError for a part without words, or with a rate and no published source.
    """
    current = _current(who, text_id, based_on)
    if not parts:
        raise texts.ConsentTextError("A text needs at least one part.")
    for part in parts:
        _check(part)
    if (title, for_what, parts) == (current.text.title, current.text.for_what, current.text.parts):
        raise NothingChanged
    words = replace(current.text, title=title, for_what=for_what, parts=parts)
    row = _next(who, current, words, reason=reason)
    forget(who=who, key=draft_key(text_id))
    record(who=who, did="worded consent text", what=row, text=text_id, version=row.number)
    return row


@transaction.atomic
def use(*, who: User, text_id: str, based_on: int, in_use: bool, reason: str) -> ConsentTextVersion:
    """Take a text out of use, or bring it back: a further version with the same words. Raises as `reword`."""
    current = _current(who, text_id, based_on)
    if current.in_use == in_use:
        raise NothingChanged
    row = _next(who, current, current.text, reason=reason, in_use=in_use)
    did = "brought consent text back" if in_use else "took consent text out of use"
    record(who=who, did=did, what=row, text=text_id, version=row.number)
    return row


def _current(who: User, text_id: str, based_on: int) -> Wording:
    require(who, RIGHT)
    current = wording_of(_practice_of(who), text_id)
    if current.text.version != based_on:
        raise WordedMeanwhile(current)
    return current


def _practice_of(who: User) -> Practice:
    if who.practice is None:
        raise PermissionDenied("Only a practice has texts of its own.")
    return who.practice


def _next(
    who: User, current: Wording, words: ConsentText, *, reason: str, in_use: bool = True
) -> ConsentTextVersion:
    release, practice = current.release, _practice_of(who)
    number = max(current.text.version, release.version) + 1
    try:
        with transaction.atomic():
            if not current.rows:
                _store(who, practice, release, release.version, reason=FROM_RELEASE)
            return _store(who, practice, words, number, reason=reason, in_use=in_use)
    except IntegrityError as problem:
        raise WordedMeanwhile(wording_of(practice, release.id)) from problem


def _store(
    who: User,
    practice: Practice,
    text: ConsentText,
    number: int,
    *,
    reason: str,
    in_use: bool = True,
) -> ConsentTextVersion:
    parts = [
        {"heading": part.heading, "words": part.words, "sources": list(part.sources)} for part in text.parts
    ]
    return ConsentTextVersion.objects.create(
        practice=practice,
        text_id=text.id,
        number=number,
        title=text.title,
        for_what=text.for_what,
        parts=parts,
        treats=text.treats,
        procedure=text.procedure,
        sensitive=text.sensitive,
        in_use=in_use,
        reason=reason,
        written_by=who,
    )


def _check(part: Part) -> None:
    if not part.heading.strip() or not part.words.strip():
        raise texts.ConsentTextError(f"The part “{part.heading or part.words[:40]}” lacks heading or words.")
    if part.lacks_source:
        raise texts.ConsentTextError(
            f"The part “{part.heading}” tells a rate: name the published source it is from."
        )
