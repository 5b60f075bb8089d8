"""What a reading of range may hold, and what to mend where it may not. Limits: bodymaps.reasoning.ranges."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass

from bodymaps.reasoning import ranges
from bodymaps.reasoning.items import NOT_TESTED
from bodymaps.reasoning.ranges import ACTIVE, PASSIVE, Movement

LONGEST_REMARK = 200
MOST_PAIN = 10
DECIMALS = 1
HURTS = ("no", "yes", NOT_TESTED)
# The parts of a reading, as fields are called.
INSTRUMENT, END_FEEL, HURTING, PAIN, REMARK = "instrument", "end_feel", "hurts", "pain", "remark"


class WrongReading(ValueError):
    """A value that a reading can't hold; `part` names it, `words` what to mend."""

    def __init__(self, part: str, words: str) -> None:
        super().__init__(f"{part}: {words}")
        self.part, self.words = part, words


@dataclass(frozen=True)
class Taken:
    """One movement of one side as it was read, in the unit of the movement. "" and None: not recorded."""

    active: float | None = None
    passive: float | None = None
    instrument: str = ""
    end_feel: str = ""
    hurts: str = ""
    pain: int | None = None
    remark: str = ""

    @property
    def is_measured(self) -> bool:
        return self.active is not None or self.passive is not None

    @property
    def is_empty(self) -> bool:
        """Nothing was read; the instrument alone says nothing."""
        return not any(value not in ("", None) for name, value in asdict(self).items() if name != INSTRUMENT)


def check(movement: Movement, taken: Taken) -> None:
    """Raises WrongReading for the first part that can't stay."""
    for part, words in wrong(movement, taken):
        raise WrongReading(part, words)


def wrong(movement: Movement, taken: Taken) -> Iterator[tuple[str, str]]:
    """(part, what to mend) for everything that can't stay."""
    for how, value in ((ACTIVE, taken.active), (PASSIVE, taken.passive)):
        if value is not None and (words := _wrong_number(movement, value)):
            yield how, words
    if taken.is_measured and taken.instrument not in movement.instruments:
        named = ", ".join(ranges.load().instruments[each].title.lower() for each in movement.instruments)
        yield INSTRUMENT, f"Say with what it was measured: {named}."
    if taken.end_feel not in ("", *ranges.load().end_feels):
        yield END_FEEL, "Choose an end feel of the list."
    if taken.hurts not in ("", *HURTS):
        yield HURTING, "Choose painless, painful or not tested."
    yield from _wrong_pain(taken)
    if taken.hurts == NOT_TESTED and not taken.remark:
        yield REMARK, "Say why it was not tested."
    if len(taken.remark) > LONGEST_REMARK:
        yield REMARK, f"At most {LONGEST_REMARK} signs."


def _wrong_number(movement: Movement, value: float) -> str:
    if round(value, DECIMALS) != value:
        return f"Enter it with at most {DECIMALS} decimal."
    if not movement.least <= value <= movement.most:
        span = f"{movement.least:g} to {movement.with_unit(movement.most)}"
        return f"{movement.with_unit(value)} is outside {span}."
    return ""


def _wrong_pain(taken: Taken) -> Iterator[tuple[str, str]]:
    if taken.pain is None:
        return
    if not 0 <= taken.pain <= MOST_PAIN:
        yield PAIN, f"Pain is a whole number from 0 to {MOST_PAIN}."
    elif taken.hurts in ("no", NOT_TESTED) and taken.pain:
        yield PAIN, "Pain has a strength here, so it is not painless: choose painful, or clear the number."
