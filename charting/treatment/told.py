"""An entry in words, for page, note and progress: plain data made from one row, without a query."""

from dataclasses import dataclass
from typing import Any

from bodymaps.atlas import Atlas
from charting.treatment import clock, counts, techniques, where
from charting.treatment.models import TreatmentEntry
from charting.treatment.techniques import Ask

TWITCHES = {"yes": "twitch", "no": "no twitch", "NT": "twitch not looked for"}
STILL_IN = "not counted out yet"


@dataclass(frozen=True)
class Told:
    """One entry. `where`: "Infraspinatus, right"; `site`: where in it, in the words of the atlas; `dose`,
    `needles`, `found`: what is said of each, in the order of reading; `counts`: counts.EQUAL or another of
    them.
    """

    where: str
    site: str
    technique: str
    dose: tuple[str, ...]
    needles: tuple[str, ...]
    found: tuple[str, ...]
    minutes: int | None
    clock: str
    remark: str
    counts: str

    @property
    def done(self) -> str:
        """ "Dry needling, 0.25 × 40 mm to 20 mm, medially, 3 in, 3 out": what was done, without where."""
        return ", ".join((self.technique, *self.dose, *self.needles))

    @property
    def doing(self) -> str:
        """The same within a sentence: "dry needling, ..."."""
        return f"{self.done[:1].lower()}{self.done[1:]}"

    @property
    def minutes_words(self) -> str:
        return "" if self.minutes is None else "1 minute" if self.minutes == 1 else f"{self.minutes} minutes"

    @property
    def response(self) -> str:
        """ "twitch; pain 6 to 3; 14:05 to 14:09, 4 minutes": what it did, how long it took; "" when neither
        is on record.
        """
        took = ", ".join(filter(None, (self.clock, self.minutes_words)))
        return "; ".join(filter(None, (*self.found, took)))

    @property
    def sentence(self) -> str:
        """The whole entry in one line, without the remark."""
        return "; ".join(filter(None, (f"{self.where}: {self.doing}", self.response)))


def told(row: TreatmentEntry, known: Atlas) -> Told:
    at = where.of(row)
    return Told(
        where=where.words_of(at, known),
        site=where.site_words(at, known),
        technique=techniques.label_of(row.technique),
        dose=dose_words(row.technique, row.dose),
        needles=needle_words(row.needles),
        found=tuple(filter(None, (TWITCHES.get(row.twitch, ""), _pain(row)))),
        minutes=row.minutes,
        clock=clock.words(row.began_at, row.ended_at),
        remark=row.remark,
        counts=counts.state_of(row),
    )


def in_words(row: TreatmentEntry, known: Atlas) -> str:
    """ "Infraspinatus, right: dry needling, 0.25 × 40 mm to 20 mm, medially, 3 in, 3 out; twitch; pain 6 to
    3; 4 minutes".
    """
    return told(row, known).sentence


def as_data(row: TreatmentEntry, known: Atlas) -> dict[str, Any]:
    """All a paper says of an entry, fit for JSON: it prints the same whatever becomes of lists and atlas."""
    said = told(row, known)
    return {
        "where": said.where,
        "site": said.site,
        "technique": said.technique,
        "technique_id": row.technique,
        "done": said.done,
        "dose": list(said.dose),
        "needles": list(said.needles),
        "found": list(said.found),
        "minutes": said.minutes,
        "clock": said.clock,
        "remark": said.remark,
        "counts": said.counts,
        "sentence": said.sentence,
    }


def dose_words(technique: str, dose: dict[str, Any]) -> tuple[str, ...]:
    """("60 s held", "3 times"), in the order in which it is asked; what is asked no more comes last."""
    known = techniques.load().get(technique)
    asks = known.asks if known else ()
    said = [_value_words(ask, dose[ask.id]) for ask in asks if ask.id in dose]
    other = [
        f"{name.replace('_', ' ')}: {dose[name]}" for name in dose if name not in {ask.id for ask in asks}
    ]
    return (*said, *other)


def _value_words(ask: Ask, value: Any) -> str:
    values = value if isinstance(value, list) else [value]
    return ask.brief.format(", ".join(str(ask.choices.get(each, each)) for each in values))


def needle_words(said: dict[str, Any]) -> tuple[str, ...]:
    """("0.25 × 40 mm to 20 mm", "medially", "3 in", "3 out")"""
    if not said:
        return ()
    depth = f" to {said['depth_mm']} mm" if said.get("depth_mm") else ""
    out = said.get("count_out")
    return tuple(
        filter(
            None,
            (
                f"{said['gauge_mm']:.2f} × {said['length_mm']} mm{depth}",
                said.get("direction", ""),
                f"{said['count_in']} in",
                STILL_IN if out is None else f"{out} out",
            ),
        )
    )


def _pain(row: TreatmentEntry) -> str:
    before, after = row.pain_before, row.pain_after
    if before is not None and after is not None:
        return f"pain {before} to {after}"
    if before is not None:
        return f"pain {before} before"
    return f"pain {after} after" if after is not None else ""
