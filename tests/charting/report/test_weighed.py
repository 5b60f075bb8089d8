"""The second order in the note: eight lines with their sum, what counts, and every source once."""

import re
from html import unescape

import pytest
from django.template.loader import render_to_string

from charting.notes.pages import figures_of
from charting.report import pdf
from charting.report.content import assemble
from charting.report.weighed import FIRST_TOLD, MOST_LINES
from tests.charting import recorded
from tests.charting.report import full, printed


@pytest.fixture
def told(visit):
    full.tell(visit, **full.MOVES)
    return visit


@pytest.fixture
def content(told):
    return assemble(told)


def test_its_lines_add_up_as_they_are_printed(content):
    lines = content["candidates"]["weighed"]["lines"]
    assert len(lines) == MOST_LINES
    for line in lines:
        sign = 1 if line["sign"] == "+" else -1
        total = round(100 * float(line["agreement"])) + sign * round(100 * float(line["evidence"]))
        assert total == round(100 * float(line["total"].replace("\N{MINUS SIGN}", "-"))), line


def test_the_story_moves_what_counts_and_not_the_order_by_place(visit):
    before = assemble(visit)["candidates"]
    full.tell(visit, **full.MOVES)
    after = assemble(visit)["candidates"]
    assert after["lines"] == before["lines"]
    said = [line["words"] for one in after["weighed"]["told"] for line in one["for"]]
    assert any(words.startswith("Brings it on: ") for words in said)
    assert after["weighed"]["lines"] != before["weighed"]["lines"]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_prints_for_and_against_and_says_that_it_is_no_probability(content, paper):
    whole = " ".join(printed.pages(pdf.render(content, paper=paper)))
    weighed = content["candidates"]["weighed"]
    assert len(weighed["told"]) == FIRST_TOLD
    for one in weighed["told"]:
        for line in (*one["for"], *one["against"]):
            assert f"{line['words']} {line['weight']} [{line['source']}]" in whole, line
    assert "Neither of the two orders is a probability" in whole
    assert f"what tells {len(weighed['same_areas'])} groups of the same area apart" in whole
    assert not any(" ".join(group["examine"]) in whole for group in weighed["same_areas"])


def test_the_page_shows_what_the_paper_only_counts(content):
    context = {"note": content, "figures": figures_of(content), "with_words": True}
    shown = unescape(render_to_string("notes/_recorded.html", context))
    for group in content["candidates"]["weighed"]["same_areas"]:
        assert " ".join(group["examine"]) in shown
    assert all(f"Area {area['number']} alone" in shown for area in content["candidates"]["areas"])


def test_it_says_what_counts_for_what_was_concluded_and_for_nothing_else(told):
    recorded.conclude(told)
    weighed = assemble(told)["candidates"]["weighed"]
    assert [(one["name"], one["side"]) for one in weighed["told"]] == [
        ("C6", "right"),
        ("Infraspinatus", "right"),
    ]
    assert weighed["told_of"] == "those named in the conclusions"


def test_every_number_leads_to_a_source_and_every_source_is_printed_once(content):
    pages = printed.pages(pdf.render(content, paper="a4"))
    whole = " ".join(pages)
    cited = {int(number) for number in re.findall(r"\[(\d+)\]", whole)}
    assert cited == set(range(1, len(content["sources"]) + 1))
    assert len(set(content["sources"])) == len(content["sources"])


def test_the_whole_order_is_kept_beside_what_is_printed(content):
    weighed = content["candidates"]["weighed"]
    order = weighed["whole"]["order_with_evidence"]
    assert len(order) == MOST_LINES + weighed["not_shown"]
    assert [one["place"] for one in order] == list(range(1, len(order) + 1))


def test_where_nothing_is_weighed_no_sum_of_nothing_is_printed(content):
    told = {
        **content["candidates"],
        "lines": [],
        "weighed": {**content["candidates"]["weighed"], "lines": []},
    }
    words = render_to_string("report/_suggested.html", {"note": {**content, "candidates": told}})
    assert "What to examine" in words
    assert "With story and findings" not in words and "Neither of the two orders" not in words
