"""A note of an older format says, word for word, what it said when it was signed, on paper and on the page.

The .txt files hold the words as the code of their time printed them: the paper in the first line, the page in
the second.
"""

import json
import re
from html import unescape
from pathlib import Path

import pytest
from django.template.loader import render_to_string

from charting.notes.pages import figures_of
from charting.report import content, pdf

HERE = Path(__file__).parent
OLD = (1, 2, 3, 4, 5, 6)


def old_note(number):
    return json.loads((HERE / f"visit-note-{number}.json").read_text(encoding="utf-8"))


def words_then(number):
    return (HERE / f"visit-note-{number}.txt").read_text(encoding="utf-8").splitlines()


def words_in(html):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html.split("</head>")[-1])).split())


@pytest.mark.parametrize("number", OLD)
def test_its_paper_says_word_for_word_what_it_said(number, signature):
    old = old_note(number)
    context = pdf._context(old, pdf.SIZES["a4"], signature, content.fingerprint(old), ())
    assert words_in(render_to_string("report/sheet.html", context)) == words_then(number)[0]


@pytest.mark.parametrize("number", OLD)
def test_its_page_says_word_for_word_what_it_said(number):
    old = old_note(number)
    context = {"note": old, "figures": figures_of(old), "with_words": True}
    assert words_in(render_to_string("notes/_recorded.html", context)) == words_then(number)[1]
