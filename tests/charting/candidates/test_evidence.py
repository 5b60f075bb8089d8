"""What speaks for and against each candidate on the ranked page, beside and after the order by place."""

import re

import pytest
from django.urls import reverse
from django.utils.html import escape

from charting.candidates import queries, weighing
from charting.flags.queries import state_of
from charting.history.models import StoryAnswer
from charting.screening.models import NeuroFinding
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.candidates import invented
from tests.charting.flags.conftest import decide
from tests.charting.people import signed_in

EVIDENCE = "?order=evidence"
HTMX = {"HTTP_HX_REQUEST": "true"}
# No rule says of burning skin that it speaks for or against a muscle.
BURNING = ("front", "burning", ("humeral_head", "deltoid_insertion", "biceps_mid"), 46)
CAPPED = "no more than +0.60 counts"


@pytest.fixture
def told(blank):
    """The visit of one of the four people: told(invented.C6)."""
    return lambda person: invented.record(blank, person)


@pytest.fixture
def ask(as_mara, blank):
    def answer(query: str = "", of: Visit = blank, **headers: str):
        return as_mara.get(reverse("candidates", args=[of.pk]) + query, **headers)

    return answer


def page_of(response):
    return response.context["page"]


def text(response) -> str:
    return response.content.decode()


def line(page, name, side="right"):
    return next(each for each in page.judged if (each.name, each.side) == (name, side))


def decide_all(mara, visit):
    for flag in state_of(visit).open_flags:
        decide(mara, visit, flag.id)


def test_the_order_by_place_is_the_one_that_was_there_before_story_and_findings(ask, told, blank):
    invented.draw(blank, invented.C6)
    recorded.answer_danger_screen(blank)
    before = page_of(ask("?all=1"))
    for key, said in invented.C6.story.items():
        StoryAnswer.objects.create(visit=blank, key=key, value=list(said), told_by="clinician")
    recorded.examine(blank, strength__C6="4")
    NeuroFinding.objects.filter(item="touch:C6", side="right").update(grade="0")
    after = page_of(ask("?all=1"))
    assert (before.lines, before.roots, before.others) == (after.lines, after.roots, after.others)
    assert [each.counts for each in before.roots] != [each.counts for each in after.roots]


def test_a_real_link_leads_to_the_order_with_evidence_and_back_and_takes_the_pick_along(ask, told):
    told(invented.C6)
    by_place = page_of(ask("?pick=C6.right"))
    assert [(each.label, each.is_chosen) for each in by_place.orders] == [
        ("By place", True),
        ("With evidence", False),
    ]
    assert 'href="?order=evidence&amp;pick=C6.right"' in text(ask("?pick=C6.right"))
    with_evidence = page_of(ask(by_place.orders[1].query))
    assert (with_evidence.order, with_evidence.picked.pick) == ("evidence", "C6.right")
    assert with_evidence.orders[0].query == "?pick=C6.right"
    assert with_evidence.keeps.endswith("&order=evidence")
    assert page_of(ask("?order=nonsense")).order == ""


def test_each_order_says_what_it_is_and_that_it_is_no_probability(ask, told):
    told(invented.SCALENE)
    for query, name in (("", "By place:"), (EVIDENCE, "With evidence:")):
        said = re.search(rf"<strong>{name}</strong>[^\n]*", text(ask(query)))
        assert said and "No probability." in said.group(0)


def test_the_scalenes_are_named_before_the_root_when_the_screen_is_normal(ask, told):
    """Hand on the head eases, light touch, strength and reflexes are normal."""
    told(invented.SCALENE)
    page = page_of(ask(f"{EVIDENCE}&pick=scalenus_medius.right"))
    assert page.judged[0].name.startswith("Scalenus")
    said = [each.because for each in page.picked.panel.speaks_for]
    assert any("hand on the head" in each for each in said)
    assert any("tested and normal" in each for each in said)
    against = page_of(ask(f"{EVIDENCE}&pick=C6.right")).picked
    assert against.panel is None or against.panel.against


def test_a_cluster_of_four_puts_the_root_first_and_the_sum_is_capped(ask, told):
    """Four of four: ratio 30.3 (Wainner et al., Spine 2003;28:52-62), more than any sum may count."""
    told(invented.C6)
    response = ask(f"{EVIDENCE}&pick=C6.right")
    page = page_of(response)
    assert (page.judged[0].name, page.judged[0].side, page.judged[0].layer) == ("C6", "right", "nerve root")
    assert page.judged[0].sum.evidence == "0.60"
    panel = page.picked.panel
    assert "30.3" in " ".join(each.words for each in panel.speaks_for) and CAPPED in panel.capped
    assert panel.not_again and not any(each.counted for each in panel.not_again)
    assert "not counted again" in text(response)
    assert [(each.side, "30.3" in each.reading) for each in page.clusters] == [("right", True)]
    assert text(response).count("Before the tests") == 1, "the panel of the neuro screen is not repeated"
    assert page_of(ask()).lines[0].name not in ("C6",)


def test_the_order_differs_where_there_is_evidence(ask, told):
    told(invented.SCALENE)
    by_place = [(each.name, each.side) for each in page_of(ask("?all=1")).lines]
    judged = page_of(ask(f"{EVIDENCE}&all=1")).judged
    muscles = [(each.name, each.side) for each in judged if each.layer == "muscle"]
    assert sorted(muscles) == sorted(by_place) and muscles != by_place
    moved = line(page_of(ask(f"{EVIDENCE}&all=1")), *muscles[1])
    assert moved.moved == f"{weighing.ordinal(by_place.index(muscles[1]) + 1)} of the muscles by place, " + (
        "2nd with evidence"
    )


def test_without_evidence_both_orders_agree_for_muscles(ask, blank):
    """A drawing whose kind says nothing, no story, no findings."""
    recorded.draw(blank, BURNING)
    recorded.answer_danger_screen(blank)
    found = queries.ranked(blank)
    assert found.evidence
    judged = [one for one in found.evidence.order if one.layer == "muscle"]
    assert judged and not any(one.lines for one in judged)
    assert [(one.id, one.side) for one in judged] == [(one.muscle, one.side) for one in found.ranking.muscles]


@pytest.mark.parametrize("person", [invented.SCALENE, invented.C6], ids=["scalene", "C6"])
def test_sums_add_up_as_printed_and_fall(ask, told, person):
    told(person)
    judged = page_of(ask(f"{EVIDENCE}&all=1")).judged
    totals = []
    for each in judged:
        agreement, evidence, total = (
            round(100 * float(number.replace(weighing.MINUS, "-")))
            for number in (each.sum.agreement, each.sum.evidence, each.sum.total)
        )
        assert agreement + (evidence if each.sum.sign == "+" else -evidence) == total
        totals.append(total)
    assert totals == sorted(totals, reverse=True)
    assert [each.place for each in judged] == list(range(1, len(judged) + 1))


@pytest.mark.parametrize("order", ["", EVIDENCE[1:]])
def test_every_line_of_both_lists_has_a_panel(ask, told, order):
    told(invented.C6)
    page = page_of(ask(f"?all=1&{order}"))
    picks = [each.pick for each in (page.lines or page.judged)] + [each.pick for each in page.roots]
    picks += [each.pick for group in page.others for each in group.lines]
    assert len(picks) > 15
    for pick in picks[:6] + picks[-9:]:
        piece = text(ask(f"?pick={pick}&{order}", **HTMX))
        assert 'class="said small"' in piece, pick


def test_each_line_of_a_panel_names_what_it_rests_on_and_its_source(ask, told):
    told(invented.C6)
    piece = text(ask("?pick=C6.right", **HTMX))
    panel = page_of(ask("?pick=C6.right")).picked.panel
    for each in (*panel.speaks_for, *panel.against, *panel.not_again):
        assert each.because and each.status
        for said in (each.words, each.because, each.source):
            assert escape(said) in piece


def test_the_piece_of_a_pick_says_the_same_as_the_page(ask, told):
    told(invented.SCALENE)
    piece, whole = text(ask("?pick=infraspinatus.right", **HTMX)), text(ask("?pick=infraspinatus.right"))
    panel = re.search(r'<section class="said small".*?</section>', piece, re.DOTALL)
    assert panel and panel.group(0) in whole


def test_it_says_so_when_nothing_speaks_for_or_against(ask, blank):
    recorded.draw(blank, BURNING)
    recorded.answer_danger_screen(blank)
    first = page_of(ask()).lines[0]
    piece = text(ask(f"?pick={first.pick}", **HTMX))
    assert "Nothing recorded speaks for or against it yet" in piece
    for step in ("story", "neuro-screen"):
        assert f'href="{reverse(step, args=[blank.pk])}"' in piece


def test_lines_carry_the_counts_of_what_counts(ask, told):
    told(invented.C6)
    root = page_of(ask()).roots[0]
    panel = page_of(ask("?pick=C6.right")).picked.panel
    assert root.counts == f"{len(panel.speaks_for)} for"
    assert f'<span class="tally">{root.counts}</span>' in text(ask())


def test_candidates_of_the_same_area_come_with_what_tells_them_apart(ask, told):
    told(invented.SCALENE)
    response = ask("?pick=scalenus_medius.right")
    page = page_of(response)
    group = next(each for each in page.same_areas if each.id == "scalenes_root_cuff")
    assert group in page.picked.panel.same_areas
    shown = text(response)
    assert shown.count(escape(group.examine[0])) == 2, "under the list, and at the candidate"
    assert escape(group.source[1:]) in shown
    assert page.picked.panel.shares_with.endswith(" others")
    assert 'id="same-areas"' in text(ask(EVIDENCE))


def test_an_area_alone_keeps_to_place(ask, told):
    told(invented.SCALENE)
    page = page_of(ask(f"{EVIDENCE}&area=2&pick=infraspinatus.right"))
    assert (page.order, page.judged, page.same_areas, page.clusters) == ("", (), (), ())
    assert page.picked.panel is None and page.picked.no_panel == weighing.OF_THE_WHOLE
    assert not any(each.counts for each in page.lines)
    assert "said of the whole" in page.evidence_waits
    assert "panel" not in text(ask("?area=2&pick=infraspinatus.right", **HTMX))
    assert weighing.OF_THE_WHOLE in text(ask("?area=2&pick=infraspinatus.right", **HTMX))


def test_the_heart_waits_for_a_decision_and_then_stands_first(ask, told, blank, mara):
    """Pressure over the chest and an ache down the arm that come with effort."""
    told(invented.CHEST)
    held = page_of(ask(f"{EVIDENCE}&pick=cardiac_ischaemia.left"))
    assert held.order == "" and held.judged == () and held.picked.panel is None
    assert held.picked.heading.startswith("Heart"), "the organ itself can be looked at"
    assert held.picked.no_panel == weighing.HELD_BACK
    decide_all(mara, blank)
    page = page_of(ask(EVIDENCE))
    assert page.judged[0].name.startswith("Heart") and page.judged[0].is_urgent
    assert "exclude first" in text(ask(EVIDENCE))
    assert any("Effort" in each.because or "effort" in each.because for each in _for(ask, page.judged[0]))


def _for(ask, judged):
    return page_of(ask(f"{EVIDENCE}&pick={judged.pick}")).picked.panel.speaks_for


@pytest.mark.parametrize("person", [invented.CHEST, invented.CAUDA], ids=["chest", "cauda"])
@pytest.mark.parametrize("headers", [{}, HTMX], ids=["page", "piece"])
def test_nothing_of_the_evidence_stands_while_a_sign_of_danger_is_open(
    ask, told, blank, mara, person, headers
):
    told(person)
    muscle = queries.ranked(blank).ranking.muscles[0]
    for query in (EVIDENCE, f"{EVIDENCE}&all=1&pick={muscle.muscle}.{muscle.side}", "?pick=S1.right"):
        shown = text(ask(query, **headers))
        assert escape(muscle.name) not in shown.lower() and escape(muscle.name) not in shown
        for piece in ('class="said small"', "with-evidence", 'id="same-areas"', "tally", "cluster-line"):
            assert piece not in shown, (query, piece)
    assert queries.ranked(blank).evidence is None
    decide_all(mara, blank)
    assert queries.ranked(blank).evidence
    assert "with-evidence" in text(ask(EVIDENCE))


def test_it_is_closed_to_another_practice(told, ask, blank, ines):
    told(invented.C6)
    for query, headers in ((EVIDENCE, {}), ("?order=evidence&pick=C6.right", HTMX)):
        response = signed_in(ines).get(reverse("candidates", args=[blank.pk]) + query, **headers)
        assert response.status_code == 404 and "nerve root" not in text(response)


def test_story_findings_and_order_ask_the_database_no_more_often(
    ask, told, blank, visit, as_mara, django_assert_max_num_queries
):
    told(invented.C6)
    ask()
    counts = []
    for query in ("", EVIDENCE, f"{EVIDENCE}&pick=C6.right&all=1"):
        for which in (blank, visit):
            with django_assert_max_num_queries(40) as asked:
                ask(query, of=which)
            counts.append(len(asked))
    assert len(set(counts)) == 1


@pytest.mark.parametrize(
    ("number", "said"),
    [(1, "1st"), (2, "2nd"), (3, "3rd"), (4, "4th"), (11, "11th"), (12, "12th"), (23, "23rd")],
)
def test_places_are_said_in_words(number, said):
    assert weighing.ordinal(number) == said
