"""Birth dates as people write them."""

import re
from collections.abc import Iterator
from datetime import date

MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)
# Nobody has been known to live longer; a slip of a century is caught.
OLDEST_YEARS = 125


class WrongPart(Exception):
    """One part of a date is wrong: "day", "month" or "year"; the text says what is."""

    def __init__(self, part: str, why: str) -> None:
        super().__init__(why)
        self.part = part


def month_number(text: str) -> int | None:
    """ "3", "03", "Mar", "march" -> 3; None for anything else. A name needs three letters or more."""
    text = text.strip().rstrip(".").casefold()
    if re.fullmatch(r"[0-9]{1,2}", text):
        return int(text) if 1 <= int(text) <= 12 else None
    if len(text) < 3:
        return None
    return next((number for number, name in enumerate(MONTHS, 1) if name.startswith(text)), None)


def birth_date(day: str, month: str, year: str, *, today: date) -> date:
    """The date of birth of three typed parts. Raises WrongPart naming the first part that is wrong."""
    numbers = _numbers(day, month, year)
    if numbers[2] < today.year - OLDEST_YEARS:
        raise WrongPart("year", f"The year must be {today.year - OLDEST_YEARS} or later.")
    born = _day_of(*numbers)
    if born > today:
        raise WrongPart("year", "The date of birth must not be in the future.")
    return born


def past_day(day: str, month: str, year: str, *, earliest: date, today: date, before: str) -> date:
    """Some day of three typed parts, from `earliest` to `today`. Raises WrongPart; `before` is for a
    day before `earliest`: what to say of it.
    """
    found = _day_of(*_numbers(day, month, year))
    if found > today:
        part = "year" if found.year > today.year else "day"
        raise WrongPart(part, "The day must not be in the future.")
    if found < earliest:
        raise WrongPart("year", before)
    return found


def _numbers(day: str, month: str, year: str) -> tuple[int, int, int]:
    for part, text in (("day", day), ("month", month), ("year", year)):
        if not text.strip():
            raise WrongPart(part, f"Enter the {part}.")
    if not re.fullmatch(r"[0-9]{1,2}", day.strip()) or not 1 <= int(day) <= 31:
        raise WrongPart("day", "The day must be a number from 1 to 31.")
    number = month_number(month)
    if number is None:
        raise WrongPart("month", "The month must be a number from 1 to 12 or a name, such as March.")
    if not re.fullmatch(r"[0-9]{4}", year.strip()):
        raise WrongPart("year", "The year must have four figures.")
    return int(day), number, int(year)


def _day_of(day: int, month: int, year: int) -> date:
    try:
        return date(year, month, day)
    except ValueError as problem:
        if year < date.min.year:
            raise WrongPart("year", "The year must have four figures.") from problem
        raise WrongPart("day", f"{MONTHS[month - 1].capitalize()} {year} has no day {day}.") from problem


def dates_meant(text: str, *, today: date) -> frozenset[date]:
    """Every birth date that `text` may stand for: 12.3.1975 is 12 March or 3 December.

    Reads day-month-year, month-day-year and year-month-day with any separator or none, month names,
    and two-figure years. Empty when the text is no date.
    """
    return frozenset(_readings(text.strip(), today))


def _readings(text: str, today: date) -> Iterator[date]:
    for day, month, year in _orders(text):
        for full_year in _years(year, today):
            try:
                yield birth_date(day, month, full_year, today=today)
            except WrongPart:
                continue


def _orders(text: str) -> Iterator[tuple[str, str, str]]:
    """(day, month, year) in every order that the writing allows."""
    if re.fullmatch(r"[0-9]{8}", text):
        yield text[6:], text[4:6], text[:4]
        yield text[:2], text[2:4], text[4:]
        yield text[2:4], text[:2], text[4:]
        return
    parts = re.findall(r"[0-9]+|[^\W\d_]+", text)
    if len(parts) != 3:
        return
    first, second, third = parts
    if len(first) == 4:
        yield third, second, first
        return
    yield first, second, third
    yield second, first, third


def _years(text: str, today: date) -> tuple[str, ...]:
    if re.fullmatch(r"[0-9]{2}", text):
        century = today.year // 100
        return f"{century}{text}", f"{century - 1}{text}"
    return (text,)
