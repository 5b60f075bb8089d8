"""What a clinician makes of the assembled sentences while the visit is open: other words, or left out."""

from collections.abc import Iterable
from dataclasses import dataclass

from charting.notes.models import NoteSentence
from charting.notes.sentences_queries import rows_of
from charting.staff.models import User
from charting.versioning import Stale, save_if_current
from charting.visits.models import Visit

MINE, RECORD = "mine", "record"


@dataclass(frozen=True)
class Said:
    """One sentence as a form sends it. `stood`: as it was assembled when the form was shown; `was` and
    `was_out`: what the form showed; `version`: of the change shown, 0 for none. `again`: MINE (my words still
    hold, though the record says something else now), RECORD (take the record's words), "".
    """

    section: str
    key: str
    stood: str
    words: str
    taken_out: bool = False
    was: str = ""
    was_out: bool = False
    version: int = 0
    again: str = ""

    @property
    def is_changed(self) -> bool:
        return bool(self.again) or (self.words, self.taken_out) != (self.was, self.was_out)

    @property
    def is_as_recorded(self) -> bool:
        """Nothing of the clinician's is left: the record's words stand, or what the record lost is let go."""
        if self.again == RECORD:
            return True
        if not self.stood:
            return self.taken_out or not self.words
        return not self.taken_out and self.words == self.stood


def keep_sentences(*, who: User, visit: Visit, said: Iterable[Said]) -> int:
    """Keep every sentence that was changed in the form, inside the transaction of save_text; how many there
    were. Raises Stale with the row of the first one that somebody else changed since.
    """
    rows, changed = rows_of(visit), [one for one in said if one.is_changed]
    for one in changed:
        _keep(who, visit, one, rows.get(one.key))
    return len(changed)


def _keep(who: User, visit: Visit, one: Said, row: NoteSentence | None) -> None:
    if row is None:
        if one.version:
            raise Stale(NoteSentence(visit=visit, section=one.section, key=one.key, words=one.stood))
        if not one.is_as_recorded:
            _create(who, visit, one)
    elif row.version != one.version:
        raise Stale(row)
    elif one.is_as_recorded:
        if not NoteSentence.objects.filter(pk=row.pk, version=one.version).delete()[0]:
            raise Stale(row)
    else:
        save_if_current(row, version=one.version, changed_by=who, **_values(one))


def _create(who: User, visit: Visit, one: Said) -> None:
    row, made = NoteSentence.objects.get_or_create(
        visit=visit, section=one.section, key=one.key, defaults={"changed_by": who, **_values(one)}
    )
    if not made:
        raise Stale(row)


def _values(one: Said) -> dict[str, object]:
    """A sentence whose words were emptied is left out, and keeps what it was."""
    is_out = one.taken_out or not one.words
    return {"stood": one.stood, "words": one.words or one.stood, "taken_out": is_out}
