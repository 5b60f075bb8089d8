"""A paper opens the product's own files and nothing else, whatever a text asks for."""

from copy import deepcopy

import pytest

from charting.report import pdf
from charting.report.pdf import FIGURE, STATIC, OwnFiles
from tests.charting.report import printed


@pytest.mark.parametrize("path", [STATIC / "css" / "sheet.css", FIGURE / "front.png"])
def test_it_opens_our_own_files(path):
    assert OwnFiles().fetch(path.as_uri()).read() == path.read_bytes()


@pytest.mark.parametrize(
    "url",
    [
        "file:///etc/passwd",
        STATIC.as_uri() + "/../manage.py",
        STATIC.as_uri() + "/%2e%2e/manage.py",
        "http://127.0.0.1:9/x.png",
        "https://example.org/x.css",
        "ftp://example.org/x",
    ],
)
def test_it_refuses_everything_else(url):
    with pytest.raises(ValueError):
        OwnFiles().fetch(url)


def test_it_prints_markup_as_the_words_it_is(content):
    """Typed text is text: it opens no file and makes no element."""
    typed = '<img src="file:///etc/passwd"><b>bold</b> & "quoted"'
    typed_in = deepcopy(content)
    typed_in["soap"]["sections"][2]["own"] = typed
    made = pdf.render(typed_in, paper="a4")
    assert '<b>bold</b> & "quoted"' in " ".join(printed.pages(made))
