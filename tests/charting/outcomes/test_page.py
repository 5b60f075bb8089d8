"""The page of scores: what fits first, nothing typed is lost, both of two savers are shown."""

import pytest
from django.utils import timezone

from charting.drafts.models import Draft
from charting.outcomes.models import OutcomeScore
from charting.outcomes.services import draft_key
from tests.charting import recorded
from tests.charting.outcomes.conftest import activities


@pytest.fixture
def url(course):
    return f"/visits/{course[2].pk}/outcomes/"


def saved(visit):
    return {row.instrument: row.answers for row in OutcomeScore.objects.filter(visit=visit)}


def first(answer):
    return [card.instrument.id for card in answer.context["page"].first]


def test_it_saves_what_was_tapped_and_typed(url, course, as_mara):
    sent = {
        "nprs_now": "4",
        "nprs_worst": "7",
        "psfs_name_1": "Stairs",
        "psfs_value_1": "3",
        "psfs_name_3": "Lifting",
        "psfs_value_3": "5",
        "peg_pain": "7",
        "pgic_impact": "3",
        "ndi_sum": "16",
        "ndi_answered": "9",
        "given": "paper",
    }
    answer = as_mara.post(url, sent, follow=True)
    assert answer.redirect_chain == [(url, 302)]
    assert saved(course[2]) == {
        "nprs": {"now": 4, "worst": 7},
        "psfs": activities(3, 5),
        "peg": {"pain": 7},
        "pgic": {"value": 3},
        "ndi": {"sum": 16, "answered": 9},
    }
    assert {row.said_by for row in OutcomeScore.objects.all()} == {"paper"}
    text = answer.content.decode()
    for words in (
        "17.8 of 50 (35.6 %)",
        "moderate",
        "Mean of 2 only",
        "all 3 are needed",
        "Scores are saved",
    ):
        assert words.lower() in text.lower()


def test_the_region_decides_which_licensed_scores_come_first(url, course, as_mara):
    assert first(as_mara.get(url)) == ["nprs", "psfs", "peg"]
    recorded.draw(course[2], recorded.NECK_PRESSURE)
    assert "ndi" in first(as_mara.get(url))
    assert "odi" not in first(as_mara.get(url))


def test_a_shoulder_calls_for_the_short_arm_score(url, course, as_mara):
    recorded.draw(course[2], recorded.SHOULDER_ACHE)
    assert "quickdash" in first(as_mara.get(url))
    assert "dash" not in first(as_mara.get(url))


def test_what_was_used_before_comes_first_with_its_last_score(url, course, score, as_mara):
    score(course[1], "odi", {"sum": 30, "answered": 10})
    answer = as_mara.get(url)
    assert {"odi", "pgic"} <= set(first(answer))
    assert "60 %" in answer.content.decode()


def test_activities_are_taken_over_with_empty_scores_and_not_saved_so(url, course, score, as_mara):
    score(course[1], "psfs", activities(3, 5, 4))
    page = as_mara.get(url).content.decode()
    assert 'value="Stairs"' in page
    assert "last 3" in page
    names = {f"psfs_name_{slot}": name for slot, name in enumerate(("Stairs", "Lifting", "Sleep"), 1)}
    as_mara.post(url, {**names, "nprs_now": "2"})
    assert saved(course[2]) == {"nprs": {"now": 2}}
    as_mara.post(url, {**names, "psfs_value_1": "6", "nprs_now": "2", "version_nprs": "1"})
    assert saved(course[2])["psfs"] == activities(6, None, None)


def test_a_new_activity_without_a_number_is_kept(url, course, as_mara):
    answer = as_mara.post(url, {"psfs_name_1": "Gardening"}, follow=True)
    assert saved(course[2]) == {"psfs": activities(None, names=["Gardening"])}
    assert "No activity is rated yet" in answer.content.decode()


def test_a_change_is_shown_with_both_rules_and_its_sources(url, course, score, as_mara):
    score(course[0], "nprs", {"average": 7})
    score(course[2], "nprs", {"average": 5})
    page = as_mara.get(url).content.decode()
    for words in (
        "2 points less (28.6 %), better",
        "ithin measurement error",
        "2 points: reached",
        "30 %: not reached",
        "Farrar JT and others",
        "level not stated",
        "(checked)",
        "(from memory)",
    ):
        assert words in page, words


# (sent, field, words)
WRONG = [
    ({"ndi_sum": "51", "ndi_answered": "10"}, "ndi_sum", "0 to 50"),
    ({"ndi_sum": "sixteen", "ndi_answered": "9"}, "ndi_sum", "0 to 45"),
    ({"dash_sum": "20", "dash_answered": "27"}, "dash_sum", "27 to 135"),
    ({"odi_sum": "20"}, "odi_answered", "how many items"),
    ({"odi_answered": "9"}, "odi_sum", "Enter the sum"),
    ({"nprs_now": "11"}, "nprs_now", "0 to 10"),
    ({"psfs_value_2": "4"}, "psfs_name_2", "Name the activity"),
    ({"psfs_name_4": "Stairs", "psfs_value_4": "40"}, "psfs_value_4", "0 to 10"),
    ({"psfs_name_1": "Stairs", "psfs_name_2": "stairs", "psfs_value_2": "1"}, "psfs_name_2", "named twice"),
    ({"pgic_impact": "2", "pgic_hurst": "6"}, "pgic_hurst", "not both"),
]


@pytest.mark.parametrize(("sent", "field", "words"), WRONG, ids=lambda value: str(value)[:40])
def test_what_is_wrong_is_named_and_nothing_typed_is_lost(sent, field, words, url, course, as_mara):
    answer = as_mara.post(url, {**sent, "nprs_best": "1"})
    assert answer.status_code == 422
    typed = answer.context["page"].typed
    assert words in typed.problem_of(field)
    assert typed.values == {**sent, "nprs_best": "1"}
    page = answer.content.decode()
    assert f'href="#{field}"' in page
    assert f'id="{field}"' in page
    for text in sent.values():
        assert f'value="{text}"' in page or text in ("11", "40")
    assert saved(course[2]) == {}


def test_of_two_savers_the_later_sees_both(url, course, score, as_mara):
    score(course[2], "nprs", {"now": 6})
    score(course[2], "ndi", {"sum": 16, "answered": 9})
    answer = as_mara.post(url, {"nprs_now": "2", "version_nprs": "0"})
    assert answer.status_code == 409
    page = answer.context["page"]
    assert ("Pain rating, 0 to 10", "now 6 of 10", "now 2 of 10") in page.clashes
    assert page.typed.values["nprs_now"] == "2"
    assert page.typed.values["ndi_sum"] == "16", "what was left open here takes over what is on record"
    again = {
        **page.typed.values,
        **{f"version_{name}": number for name, number in page.typed.versions.items()},
    }
    assert as_mara.post(url, again).status_code == 302
    assert saved(course[2]) == {"nprs": {"now": 2}, "ndi": {"sum": 16, "answered": 9}}


def test_a_draft_is_brought_back_and_forgotten_with_the_save(url, course, mara, as_mara):
    Draft.objects.create(user=mara, key=draft_key(course[2]), data={"nprs_now": ["4"], "ndi_sum": ["1x"]})
    page = as_mara.get(url).context["page"]
    assert page.typed.values == {"nprs_now": "4", "ndi_sum": "1x"}
    as_mara.post(url, {"nprs_now": "4"})
    assert not Draft.objects.exists()


def test_a_signed_visit_shows_its_scores_and_no_form(url, course, score, as_mara):
    score(course[2], "psfs", activities(3, 5, 4))
    course[2].signed_at = timezone.now()
    course[2].save()
    page = as_mara.get(url).content.decode()
    assert "Stairs: 3" in page
    assert 'name="psfs_value_1"' not in page
    assert as_mara.post(url, {"nprs_now": "4"}).status_code == 403


def test_the_words_of_no_licensed_item_are_on_the_page(url, as_mara):
    """Each licensed instrument asks for two numbers and nothing else."""
    page = as_mara.get(url).context["page"]
    for card in (*page.first, *page.more):
        if card.instrument.is_licensed:
            assert [field.field.partition("_")[2] for field in card.totals] == ["sum", "answered"]
            assert card.ratings == ()
