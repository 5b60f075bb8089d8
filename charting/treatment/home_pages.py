"""What the page of the home programme may use, and how what was typed is read."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data, draft_of
from charting.staff.models import User
from charting.treatment.home import LONGEST, MOST_ITEMS, Item, Programme, programme_of
from charting.treatment.home_services import home_draft
from charting.treatment.models import HomeProgramme
from charting.visits.models import Visit
from charting.visits.queries import may_write

# So many empty lines are offered below what is there.
SPARE = 2


@dataclass(frozen=True)
class Typed:
    """The page as it was sent; `wrong` by name of the field."""

    items: tuple[Item, ...]
    words: str
    version: int
    wrong: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Row:
    """One line of the form, from 1."""

    number: int
    item: Item
    wrong: Mapping[str, str]


@dataclass(frozen=True)
class HomePage:
    """`now`: the programme as somebody else saved it meanwhile; `last`: of the visit before."""

    rows: tuple[Row, ...]
    words: str
    version: int
    wrong: Mapping[str, str]
    programme: Programme
    last: HomeProgramme | None
    now: Programme | None
    may_write: bool
    draft_key: str
    draft: Draft | None
    longest: Mapping[str, int]


def read(sent: Mapping[str, str]) -> Typed:
    """What stands in the fields, whatever it is."""
    items = tuple(
        Item.of({name: sent.get(f"{name}_{number}", "") for name in LONGEST})
        for number in range(1, MOST_ITEMS + SPARE + 1)
    )
    version = sent.get("version", "")
    words = sent.get("words", "")
    return Typed(items, words, int(version) if version.isdecimal() else 0)


def last_home(visit: Visit) -> HomeProgramme | None:
    """The programme of the last visit before this one that has one."""
    rows = HomeProgramme.objects.filter(
        visit__patient=visit.patient_id, visit__started_at__lt=visit.started_at
    )
    return rows.select_related("visit").order_by("-visit__started_at").first()


def home_page(
    visit: Visit,
    user: User,
    typed: Typed | None = None,
    *,
    clash: HomeProgramme | None = None,
    as_last: bool = False,
) -> HomePage:
    row = HomeProgramme.objects.filter(visit=visit).first()
    last = last_home(visit)
    draft = None if typed else draft_of(user, home_draft(visit))
    shown = typed or _shown(row, draft, last if as_last else None)
    return HomePage(
        rows=_rows(shown),
        words=shown.words,
        version=clash.version if clash else shown.version,
        wrong=shown.wrong,
        programme=programme_of(row),
        last=last,
        now=programme_of(clash) if clash else None,
        may_write=may_write(user, visit),
        draft_key=home_draft(visit),
        draft=draft,
        longest=LONGEST,
    )


def _shown(row: HomeProgramme | None, draft: Draft | None, last: HomeProgramme | None) -> Typed:
    version = row.version if row else 0
    if draft:
        typed = read(as_form_data(draft))
        return Typed(typed.items, typed.words, version)
    said = programme_of(last or row)
    return Typed(said.items, said.words, version)


def _rows(typed: Typed) -> tuple[Row, ...]:
    """Every line that holds anything, and some empty ones below."""
    filled = [number for number, item in enumerate(typed.items, 1) if not item.is_empty]
    count = min(MOST_ITEMS + SPARE, max(filled, default=0) + SPARE)
    items = [*typed.items, *(Item() for _ in range(count))][:count]
    return tuple(
        Row(number, item, {name: typed.wrong.get(f"{name}_{number}", "") for name in LONGEST})
        for number, item in enumerate(items, 1)
    )
