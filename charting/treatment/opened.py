"""The one form that is open: what the page needs to show it."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse

from bodymaps.atlas import Atlas
from bodymaps.reasoning import consent_areas
from charting.drafts.models import Draft
from charting.treatment import fields, forms, techniques, where
from charting.treatment.allowed import Held
from charting.treatment.done import COUNT_IN, COUNT_OUT
from charting.treatment.fields import Choice, Shown
from charting.treatment.forms import Typed
from charting.treatment.gate_pages import GatesPanel
from charting.treatment.models import TreatmentEntry
from charting.treatment.techniques import Technique
from charting.visits.models import Visit

Clash = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class OpenForm:
    """`entry` is the one that is changed, None for a new one. `held`: what has to be done first; `panel`: all
    to know before a needle goes in; `carried`: the entry that filled the form; `hints`:
    what was found there today; `clash`: (field, on record now, sent) where two saved.
    """

    visit: Visit
    typed: Typed
    known: Atlas
    needs_way: bool
    draft_key: str
    entry: TreatmentEntry | None = None
    held: tuple[Held, ...] = ()
    panel: GatesPanel | None = None
    carried: TreatmentEntry | None = None
    draft: Draft | None = None
    clash: Clash = ()
    hints: tuple[str, ...] = ()

    @property
    def technique(self) -> Technique:
        found = techniques.load().get(self.typed.technique)
        assert found  # noqa: S101 - the view opens no form of an unknown one
        return found

    @property
    def level(self) -> int:
        """Of its heading: below that of a card, or a card of its own."""
        return 3 if self.entry else 4

    @property
    def place(self) -> str:
        return where.words_of(self.typed.at.spot, self.known)

    @property
    def token(self) -> str:
        return self.typed.at.spot.token

    @property
    def action(self) -> str:
        ids = [self.visit.pk, *([self.entry.pk] if self.entry else [])]
        return reverse("treatment-change" if self.entry else "treatment-add", args=ids)

    @property
    def wrong(self) -> tuple[tuple[str, str, str], ...]:
        return fields.wrong_lines(self.typed)

    @property
    def dose(self) -> tuple[Shown, ...]:
        return fields.dose_fields(self.typed)

    @property
    def sizes(self) -> tuple[Shown, ...]:
        return fields.size_fields(self.typed)

    @property
    def way(self) -> tuple[Shown, ...]:
        return fields.way_fields(self.typed, needed=self.needs_way)

    @property
    def counted(self) -> tuple[Shown, ...]:
        return fields.count_fields(self.typed)

    @property
    def counts_differ(self) -> bool:
        counted = [fields.first(self.typed.values, name) for name in (COUNT_IN, COUNT_OUT)]
        return all(counted) and counted[0] != counted[1]

    @property
    def pains(self) -> tuple[Shown, ...]:
        return fields.pain_fields(self.typed)

    @property
    def twitch(self) -> Shown:
        return fields.twitch_field(self.typed)

    @property
    def minutes(self) -> Shown:
        return fields.minutes_field(self.typed)

    @property
    def clock(self) -> tuple[Shown, ...]:
        return fields.clock_fields(self.typed)

    @property
    def remark(self) -> str:
        return fields.first(self.typed.values, "remark")

    @property
    def sites(self) -> tuple[Choice, ...]:
        return fields.site_choices(self.typed.at, self.typed, self.known)

    @property
    def lies_in(self) -> tuple[Choice, ...]:
        """Areas to choose from for a muscle that the practice added; () for any other."""
        if not self.typed.at.is_unplaced:
            return ()
        said = fields.first(self.typed.values, "lies_in")
        return tuple(Choice(each.id, each.label, each.id == said) for each in consent_areas.areas().values())


def clash_of(now: Typed, sent: Typed) -> Clash:
    """(field, on record now, sent) wherever the two differ."""
    names = forms.field_names(sent.technique)
    differ = [name for name in names if now.values.get(name, ()) != sent.values.get(name, ())]
    return tuple(
        (forms.label_of(sent.technique, name), *_both(sent.technique, name, now, sent)) for name in differ
    )


def _both(technique: str, name: str, now: Typed, sent: Typed) -> tuple[str, str]:
    said: Sequence[str] = sent.values.get(name, ())
    return forms.words_of(technique, name, now.values.get(name, ())), forms.words_of(technique, name, said)
