"""The page of muscles: how the list begins, what stands beside the hand, what a signed visit shows."""

import pytest
from django.urls import reverse
from django.utils import timezone

from bodymaps.reasoning import felt as signs
from bodymaps.reasoning import items
from charting.examination.joints import joint_with
from charting.examination.queries import muscles_of
from charting.screening.models import NeuroFinding
from charting.screening.sections import JOINT, NEURO, page_of
from charting.visits.models import Visit


def a_grade(key):
    """The normal grade of a test, or the least of its numbers."""
    item = items.findings().items[key]
    return f"{item.least:g}" if item.type == "number" else items.findings().scale_of(item).normal


def names(visit):
    return [f"{row.muscle}.{row.side}" for row in muscles_of(visit)]


def text_of(client, url):
    return client.get(url).content.decode()


def main_of(shown):
    """What stands in the page itself; the word before one is signed out stands after it."""
    return shown.partition("<main")[2].partition("</main>")[0]


def test_an_empty_list_invites_and_suggests_nothing_before_the_danger_screen(as_mara, url):
    shown = text_of(as_mara, url)
    assert "Which muscles do you want to feel?" in shown
    assert "The danger screen comes first" in shown
    assert "from the ranking" not in shown


def test_one_tap_takes_the_first_ten_of_the_ranking_and_proposes_what_is_next(visit, as_mara):
    url = reverse("muscles", args=[visit.pk])
    shown = text_of(as_mara, url)
    assert "Take the first 10 from the ranking" in shown
    assert "What to examine next" in shown and "what it would change" in shown
    answer = as_mara.post(reverse("muscles-add", args=[visit.pk]), {"from": "ranking"})
    assert answer.status_code == 302 and "#hand" in answer.headers["Location"]
    lines = as_mara.get(reverse("candidates", args=[visit.pk])).context["page"].lines
    assert names(visit) == [".".join(line.pick.split(".")[:2]) for line in lines[:10]]


def test_while_a_sign_of_danger_waits_nothing_is_suggested_and_what_was_felt_stays(
    visit, as_mara, listed, felt
):
    felt(
        listed("infraspinatus.right", visit=visit)[0],
        band="yes",
        spot="yes",
        referral="yes",
        recognised="yes",
    )
    visit.danger_answers.filter(question="bladder_bowel_saddle").update(answer="yes")
    url = reverse("muscles", args=[visit.pk])
    page = as_mara.get(url).context["page"]
    assert page.danger.holds_back, [question.question for question in visit.danger_answers.all()]
    shown = text_of(as_mara, url)
    assert "Muscles are not suggested yet" in shown and reverse("flags", args=[visit.pk]) in shown
    assert "from the ranking" not in shown and page.next is None
    assert "Active trigger point, 3 of 3" in shown
    as_mara.post(reverse("muscles-add", args=[visit.pk]), {"from": "ranking"})
    assert names(visit) == ["infraspinatus.right"]


def test_the_last_visits_list_is_repeated_and_says_what_was_found(blank, as_mara, mara, listed, felt, url):
    last = Visit.objects.create(patient=blank.patient, clinician=mara)
    Visit.objects.filter(pk=last.pk).update(started_at=blank.started_at - timezone.timedelta(days=8))
    last.refresh_from_db()
    rows = listed("masseter.left", "temporalis.left", visit=last)
    felt(rows[0], band="no", spot="no", referral="no")
    assert "Repeat the list of" in text_of(as_mara, url)
    as_mara.post(f"{url}add/", {"from": "last"})
    assert names(blank) == ["masseter.left", "temporalis.left"]
    assert "no trigger point" in as_mara.get(url).context["page"].lines[0].before


@pytest.mark.parametrize(
    ("typed", "found"), [("infrasp", "Infraspinatus"), ("SCM", "Sternocleidomastoid"), ("qqq", "")]
)
def test_a_muscle_is_found_by_name_and_by_its_other_names_without_script(as_mara, url, typed, found):
    page = as_mara.get(url, {"q": typed}).context["page"]
    assert (found or "None") in str([each.name for each in page.ways.found] or None)
    if found:
        assert page.ways.found[0].sides[0][1] == "Right"


def test_what_a_name_finds_is_told_without_ranking_anything(visit, as_mara, django_assert_max_num_queries):
    url = reverse("muscles", args=[visit.pk])
    with django_assert_max_num_queries(8):
        answer = as_mara.get(url, {"q": "masset", "piece": "found"}, headers={"HX-Request": "true"})
    assert "Add Masseter, right" in answer.content.decode()


def test_a_finding_changes_what_is_proposed_next(visit, as_mara):
    def proposed():
        next_ones = as_mara.get(reverse("muscles", args=[visit.pk])).context["page"].next.lines
        return [each.proposal for each in next_ones]

    first = next(each for each in proposed() if each.kind == "test" and page_of(each.id) in (NEURO, JOINT))
    assert first.outcomes
    NeuroFinding.objects.create(visit=visit, item=first.id, side=first.side, grade=a_grade(first.id))
    assert (first.id, first.side) not in [(each.id, each.side) for each in proposed()]


def test_what_is_proposed_of_a_joint_leads_to_that_joint(visit, as_mara):
    lines = as_mara.get(reverse("muscles", args=[visit.pk])).context["page"].next.lines
    joints = reverse("joints", args=[visit.pk])
    led = [(joint_with(each.proposal.id), each.url) for each in lines if each.url.startswith(joints)]
    assert led
    assert all(joint and url.startswith(f"{joints}?joint={joint}#") for joint, url in led)


def test_a_proposed_test_is_found_where_its_link_leads(visit, as_mara):
    lines = as_mara.get(reverse("muscles", args=[visit.pk])).context["page"].next.lines
    tests = [each for each in lines if each.proposal.kind == "test"]
    assert tests
    for each in tests:
        page, _, place = each.url.partition("#")
        assert f'id="{place}"' in as_mara.get(page).content.decode()


def test_beside_the_hand_stands_what_it_needs(as_mara, listed, url):
    listed("trapezius_upper.right", "infraspinatus.right")
    shown = text_of(as_mara, url)
    for words in ("Position", "Finding it", "Depth", "Beside it", "Attachments", "Structures at risk"):
        assert words in shown
    assert "dome of the pleura" in shown.lower()
    for sign in signs.load().signs:
        assert f'id="about-{sign.id}"' in shown and sign.ask in shown


def test_a_signed_visit_is_read_and_offers_nothing_to_tap(blank, as_mara, listed, felt, url):
    felt(listed("masseter.left")[0], band="yes", spot="yes", referral="yes", recognised="no", pain=4)
    Visit.objects.filter(pk=blank.pk).update(signed_at=timezone.now())
    shown = text_of(as_mara, url)
    assert "latent trigger point, 3 of 3" in shown and "pain 4 of 10 on pressing" in shown
    assert "<button" not in main_of(shown)


def test_reading_takes_as_many_queries_for_twelve_muscles_as_for_two(
    visit, as_mara, listed, url, django_assert_num_queries, django_assert_max_num_queries
):
    url = reverse("muscles", args=[visit.pk])
    listed("masseter.left", "temporalis.left", visit=visit)
    as_mara.get(url)
    with django_assert_max_num_queries(35) as few:
        as_mara.get(url)
        count = len(few)
    as_mara.post(reverse("muscles-add", args=[visit.pk]), {"from": "ranking"})
    with django_assert_num_queries(count):
        as_mara.get(url)


def test_another_visits_muscle_is_not_reached_through_this_one(visit, blank_of_anna, as_mara, listed):
    row = listed("masseter.left", visit=visit)[0]
    answer = as_mara.post(
        reverse("muscle-save", args=[blank_of_anna.pk, row.pk]), {"version": 1, "band": "yes"}
    )
    assert answer.status_code == 404


@pytest.fixture
def blank_of_anna(anna, mara):
    return Visit.objects.create(patient=anna, clinician=mara)
