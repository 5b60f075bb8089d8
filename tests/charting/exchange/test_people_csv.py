"""A list of people is read as spreadsheets and other systems write it; what is wrong is named by line."""

import pytest

from charting.exchange import columns
from charting.exchange.columns import ColumnsError
from charting.exchange.people_csv import read
from charting.exchange.people_dates import NotSo, parts

# RFC 4180, section 2, rule 6 and 7 (checked): a field with a comma or line break stands in quotes, a quote
# within it is doubled.
QUOTED = (
    'Family name,Given names,Date of birth,Address\r\nKeller,"Anna ""Anni""",1978-05-03,"Lane 4,\r\nTown"\r\n'
)


def cells(text, encoding="utf-8"):
    sheet = read(text.encode(encoding))
    assert not sheet.refused, sheet.refused
    return [row.cells for row in sheet.rows]


def test_it_reads_quotes_commas_and_line_breaks_as_rfc_4180_has_them():
    (row,) = cells(QUOTED)
    assert (row["given_names"], row["address"]) == ('Anna "Anni"', "Lane 4,\r\nTown")


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_it_finds_out_what_divides_the_columns(delimiter):
    heads, row = ["Surname", "First name", "DOB"], ["Keller", "Anna", "1978-05-03"]
    (found,) = cells("\n".join(delimiter.join(line) for line in (heads, row)))
    assert found == {"family_name": "Keller", "given_names": "Anna", "birth_date": "1978-05-03"}


@pytest.mark.parametrize(("encoding", "told"), [("utf-8-sig", "UTF-8"), ("cp1252", "Windows-1252")])
def test_it_reads_accents_in_either_encoding_and_says_which(encoding, told):
    sheet = read("surname;first name;born\nMüller;Zoë;1.2.1990".encode(encoding))
    assert sheet.rows[0].cells["family_name"] == "Müller"
    assert told in sheet.told[0]


def test_it_counts_lines_as_an_editor_does_even_after_a_cell_of_two_lines():
    sheet = read((QUOTED + "\r\nshort,row\r\n").encode())
    assert [row.line for row in sheet.rows] == [2]
    assert sheet.refused[0].where == "Line 5"
    assert "has 2 columns, the first line 4" in sheet.refused[0].why


def test_it_names_the_columns_that_it_does_not_read():
    sheet = read(b"surname,first name,born,Shoe size\nKeller,Anna,1978-05-03,39\n")
    assert "Shoe size" in sheet.told[1]


@pytest.mark.parametrize(
    ("content", "where", "why"),
    [
        (b"", "The file", "nothing in it"),
        (b"\xff\xfeN\x00a\x00", "The file", "UTF-16"),
        (b"surname,first name\nKeller,Anna", "The first line", "column is missing"),
        (b"surname,last name,first name,born\na,b,c,d", "The first line", "mean the same"),
        (b'surname,first name,born\nKel"ler,"An"na,x', "Line 2", "quotation mark"),
        (b'surname,first name,born\nKeller,"Anna,1978-05-03\n', "Line 2", "quotation mark"),
        (b"PK\x03\x04\x81\x8d", "The file", "Is it a CSV"),
    ],
)
def test_what_can_not_be_read_is_told_with_what_to_mend(content, where, why):
    (refused,) = read(content).refused
    assert refused.where == where and why in refused.why


@pytest.mark.parametrize(
    ("text", "order", "found"),
    [
        ("1975-03-07", "iso", ("07", "03", "1975")),
        ("7.3.1975", "day-first", ("7", "3", "1975")),
        ("07/03/1975", "day-first", ("07", "03", "1975")),
        ("7 March 1975", "day-first", ("7", "March", "1975")),
        ("3/7/1975", "month-first", ("7", "3", "1975")),
    ],
)
def test_a_date_is_taken_in_the_order_that_was_said(text, order, found):
    assert parts(text, order) == found


@pytest.mark.parametrize(
    ("text", "order"),
    [("1975-03-07", "day-first"), ("7.3.1975", "iso"), ("7.3.75", "day-first"), ("soon", "iso"), ("", "iso")],
)
def test_a_date_written_another_way_is_refused_not_guessed(text, order):
    with pytest.raises(NotSo):
        parts(text, order)


@pytest.mark.parametrize(
    ("entry", "data"),
    [
        ("shoe", {"column": [{"name": "shoe", "words": []}]}),
        ("phone", {"column": [{"name": "phone", "words": ["tel", "Tel."]}]}),
        ("sex", {"column": [], "sex": {"fem": ["f"]}}),
        ("limits.people", {"column": [], "sex": {}, "limits": {"megabytes": 1, "alike": 1}}),
    ],
)
def test_a_wrong_file_of_columns_is_refused_with_entry_and_reason(entry, data):
    with pytest.raises(ColumnsError, match=f"columns.toml: {entry}"):
        columns.read(data)
