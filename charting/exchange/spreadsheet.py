"""Rows as a CSV file that a spreadsheet opens as text and numbers, never as formulas."""

import csv
import io
from collections.abc import Iterable, Sequence

# What may begin a formula: OWASP ASVS 5.0, 1.2.10 (equals, plus, minus, at, tab, null), with the line breaks
# and the wide forms that spreadsheets of East Asia take for the same.
BEGINS_FORMULA = ("=", "+", "-", "@", "\t", "\0", "\r", "\n", "＝", "＋", "－", "＠")  # noqa: RUF001
# A mark of byte order, by which spreadsheets know the encoding.
ENCODING = "utf-8-sig"

Value = str | int | float | None


def as_csv(rows: Iterable[Sequence[Value]]) -> bytes:
    """UTF-8 with a mark of byte order, commas, lines ended and quotes doubled as in RFC 4180.

    A text that begins like a formula gets an apostrophe in front; a number stays a number.
    """
    made = io.StringIO(newline="")
    csv.writer(made, lineterminator="\r\n").writerows([neutral(value) for value in row] for row in rows)
    return made.getvalue().encode(ENCODING)


def neutral(value: Value) -> str | int | float:
    """The value as it may stand in a cell."""
    if value is None:
        return ""
    if not isinstance(value, str):
        return value
    text = value.replace("\0", "")
    first = value.lstrip(" ")[:1]
    return f"'{text}" if first and first in BEGINS_FORMULA else text
