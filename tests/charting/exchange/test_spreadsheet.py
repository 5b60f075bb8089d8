"""CSV that no spreadsheet takes for formulas, and that comes back as it went."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from charting.exchange.spreadsheet import as_csv

# OWASP ASVS 5.0, 1.2.10 (checked): a field that begins with one of these is escaped with a single quote.
OWASP = ("=", "+", "-", "@", "\t")
TEXTS = st.text(st.characters(exclude_characters="\0", exclude_categories=("Cs",)), max_size=30)


def back(made: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(made.decode("utf-8-sig"), newline="")))


@pytest.mark.parametrize("begins", [*OWASP, "\r", "\n", "\0", "\uff1d", "  ="])
def test_a_text_that_begins_like_a_formula_is_a_text(begins):
    [[cell]] = back(as_csv([[f'{begins}HYPERLINK("http://example.org","x")']]))
    assert cell.startswith("'")


def test_numbers_stay_numbers_below_zero_too():
    assert as_csv([[-3, 2.5, None, "plain"]]) == b"\xef\xbb\xbf-3,2.5,,plain\r\n"


def test_quotes_commas_and_lines_are_kept_as_in_rfc_4180():
    # RFC 4180, 2.6 and 2.7 (checked): fields with commas, quotes or line breaks are quoted, quotes doubled.
    assert as_csv([['a "b", c', "two\r\nlines"]]) == b'\xef\xbb\xbf"a ""b"", c","two\r\nlines"\r\n'


@given(st.lists(st.lists(TEXTS, min_size=1, max_size=4), max_size=5))
def test_whatever_is_written_comes_back_and_begins_like_no_formula(rows):
    read = back(as_csv(rows))
    for row, told in zip(rows, read, strict=False):
        for text, cell in zip(row, told, strict=True):
            assert cell in (text, f"'{text}")
            assert not cell.lstrip(" ").startswith(OWASP)
