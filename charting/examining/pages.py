"""What the page of muscles may use."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from bodymaps.atlas import ALL_SITES, SIDES, Atlas
from bodymaps.reasoning import felt
from bodymaps.reasoning.felt import Signs
from charting.atlas import names
from charting.candidates import muscles
from charting.candidates.queries import Ranked
from charting.drawing import picture
from charting.drawing.areas import Told, told
from charting.drawing.picture import ViewPicture
from charting.drawing.queries import drawing_in, kept_of
from charting.examination.models import MuscleFinding
from charting.examination.placed import Placed, key_to, on_view, placed
from charting.examination.queries import as_felt
from charting.examination.services import MuscleLine
from charting.examining import forms
from charting.examining.forms import Sent
from charting.examining.lines import LineShown, lines_of
from charting.examining.proposing import Next, next_of
from charting.flags.queries import FlagState
from charting.visits.models import Visit

# How many of the ranking one tap takes, and how many a search shows.
TAKEN, MOST_FOUND = 10, 8


@dataclass(frozen=True)
class LastList:
    """The list of an earlier visit."""

    when: datetime
    count: int


@dataclass(frozen=True)
class FoundMuscle:
    """One muscle by name; `sides`: (what to put on the list, "Right")."""

    name: str
    sides: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Figure:
    """One view with the drawing, and the findings over it."""

    view: ViewPicture
    marks: tuple[Placed, ...]


@dataclass(frozen=True)
class Ways:
    """How the list can be filled. `from_ranking`: how many the ranking would put on; `waits`: why it
    suggests nothing, one of "flags", "screen", "" ; `last`: the list of the visit before.
    """

    from_ranking: int
    waits: str
    last: LastList | None
    sought: str
    found: tuple[FoundMuscle, ...]


@dataclass(frozen=True)
class MusclesPage:
    """`lines` is the list, `current` the one in the hand. `ways` is None for who only reads. `rest`: the
    lines of which nothing is recorded yet.
    """

    lines: tuple[LineShown, ...]
    current: LineShown | None
    ways: Ways | None
    figures: tuple[Figure, ...]
    key: tuple[tuple[str, str], ...]
    danger: FlagState | None
    next: Next | None = None

    @property
    def known(self) -> Signs:
        """What each sign asks of the hand, and how repeatable it is."""
        return felt.load()

    @property
    def rest(self) -> tuple[LineShown, ...]:
        return tuple(line for line in self.lines if line.is_removable)

    @property
    def examined(self) -> int:
        return sum(line.felt.is_examined for line in self.lines)


def muscles_page(
    visit: Visit,
    rows: Sequence[MuscleFinding],
    found: Ranked,
    last: Sequence[MuscleFinding],
    *,
    at: str = "",
    sought: str = "",
    shown: LineShown | None = None,
) -> MusclesPage:
    """For who may record. `at` is the id of the muscle in the hand, the first that is not examined for none;
    `shown` takes the place of one line: typed and not kept.
    """
    lines = tuple(
        shown if shown and line.id == shown.id else line for line in lines_of(rows, found.atlas, last)
    )
    figures = _figures(rows, found.told, found.atlas)
    return MusclesPage(
        lines=lines,
        current=_current(lines, at),
        ways=ways_of(found, rows, last, sought),
        figures=figures,
        key=key_to([mark for figure in figures for mark in figure.marks]),
        danger=found.flags,
        next=next_of(visit, found, rows),
    )


def read_page(visit: Visit, rows: Sequence[MuscleFinding], known: Atlas) -> MusclesPage:
    """For who may only read, and for a visit that is signed."""
    figures = _figures(rows, told(drawing_in(kept_of(visit))), known)
    key = key_to([mark for figure in figures for mark in figure.marks])
    return MusclesPage(lines_of(rows, known, is_full=False), None, None, figures, key, None)


def ways_of(found: Ranked, rows: Sequence[MuscleFinding], last: Sequence[MuscleFinding], sought: str) -> Ways:
    return Ways(
        from_ranking=len(from_ranking(found, rows)),
        waits="screen" if found.ranking is None else "flags" if found.flags.holds_back else "",
        last=LastList(last[0].visit.started_at, len(last)) if last else None,
        sought=sought,
        found=found_by(sought, found.atlas, rows),
    )


def found_only(sought: str, known: Atlas, rows: Sequence[MuscleFinding]) -> Ways:
    """What a name finds, as one types: nothing is ranked for it."""
    return Ways(0, "", None, sought, found_by(sought, known, rows))


def from_ranking(found: Ranked, rows: Sequence[MuscleFinding]) -> tuple[MuscleLine, ...]:
    """The first of the ranking by place that are not on the list yet, whatever point of theirs; none while a
    sign of danger holds muscles back.
    """
    if found.ranking is None:
        return ()
    there = {(row.muscle, row.side) for row in rows}
    picks = [each.pick for each in muscles.lines_of(found, 0, found.ranking, "")[:TAKEN]]
    lines = [as_line(pick) for pick in picks]
    return tuple(line for line in lines if (line.muscle, line.side) not in there)


def as_line(text: str) -> MuscleLine:
    """ "masseter.left.deep"; all points of a muscle together are the muscle as a whole."""
    muscle, _, rest = text.partition(".")
    side, _, site = rest.partition(".")
    return MuscleLine(muscle, side, "" if site == ALL_SITES else site)


def holds(known: Atlas, line: MuscleLine) -> bool:
    """Whether the atlas still has what an earlier list names."""
    muscle = known.muscles.get(line.muscle)
    return muscle is not None and line.site in ("", *(site.id for site in muscle.sites))


def found_by(text: str, known: Atlas, rows: Sequence[MuscleFinding]) -> tuple[FoundMuscle, ...]:
    """The muscles that a name finds, each with the sides that are not on the list yet."""
    if not text.strip():
        return ()
    named = [each for each in names.found(known, text) if each.kind.slug == "muscle"]
    there = {(row.muscle, row.side) for row in rows}
    return tuple(
        FoundMuscle(
            each.name,
            tuple((f"{each.id}.{side}", side.capitalize()) for side in SIDES if (each.id, side) not in there),
        )
        for each in named[:MOST_FOUND]
    )


def typed(line: LineShown, sent: Sent, clash: tuple[tuple[str, str, str], ...] = ()) -> LineShown:
    """A line with what was typed and could not be kept."""
    return replace(line, values={**line.values, **sent.values}, wrong=sent.wrong, clash=clash)


def clash_of(row: MuscleFinding, sent: Sent) -> tuple[tuple[str, str, str], ...]:
    """(field, on record now, sent) wherever the two differ."""
    now = forms.values_of(row)
    shown = [name for name in forms.field_names() if now[name] != sent.values[name]]
    # A unit says nothing where nothing was measured.
    measured = any(sent.values[name] or now[name] for name in forms.trial_names())
    return tuple(
        (forms.label_of(name), forms.words_of(name, now[name]), forms.words_of(name, sent.values[name]))
        for name in shown
        if name != "unit" or measured
    )


def _current(lines: Sequence[LineShown], at: str) -> LineShown | None:
    chosen = next((line for line in lines if str(line.id) == at), None)
    unexamined = next((line for line in lines if not line.felt.is_examined), None)
    return chosen or unexamined or (lines[0] if lines else None)


def _figures(rows: Sequence[MuscleFinding], read: Told, known: Atlas) -> tuple[Figure, ...]:
    marks = placed([as_felt(row) for row in rows], known)
    lowest = max((float(mark.y) for mark in marks), default=0.0)
    box = picture.WHOLE if lowest > picture.UPPER_ENDS else picture.box_for([m.area for m in read.marks])
    return tuple(Figure(view, on_view(marks, view.view)) for view in picture.views_of(read.marks, box=box))
