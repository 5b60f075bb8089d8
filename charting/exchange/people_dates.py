"""Birth dates of a list, in the one order that the person who brings it said."""

import re

ORDERS = (
    ("iso", "year, month, day: 1975-03-07"),
    ("day-first", "day, month, year: 7.3.1975 or 07/03/1975"),
    ("month-first", "month, day, year: 3/7/1975"),
)


class NotSo(ValueError):
    """The date is not written as was said; the text tells what to mend."""


def parts(text: str, order: str) -> tuple[str, str, str]:
    """(day, month, year) as written. Raises NotSo.

    A list that mixes orders was often changed by a spreadsheet, which swaps day and month in silence: so
    every other order is refused rather than guessed.
    """
    found = re.fullmatch(r"\s*(\w+)\s*[-./\s]\s*(\w+)\.?\s*[-./\s,]\s*(\w+)\s*", text)
    if not found:
        raise NotSo("This is no date. Write it as " + dict(ORDERS)[order] + ".")
    first, second, third = found.groups()
    if (len(first) == 4 and first.isdecimal()) != (order == "iso"):
        other = "not the year first" if order == "iso" else "the year first"
        raise NotSo(
            f"It is written {other}, against what was said of the file. A list with both may have been "
            "changed by a spreadsheet: look whether day and month are right everywhere."
        )
    if order == "iso":
        return third, second, first
    day, month = (first, second) if order == "day-first" else (second, first)
    if re.fullmatch(r"\d{1,2}", third):
        raise NotSo("Write the year with four figures.")
    return day, month, third
