"""The page of treatment: what to treat, the form that opens there, what stands on record."""

import pytest
from django.urls import reverse
from django.utils import timezone

from charting.drafts.models import Draft
from charting.treatment.models import NeedleIncident, TreatmentEntry
from charting.treatment.queries import entries_of
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.recorded import NEEDLES

HTMX = {"HX-Request": "true"}
NEEDLED = {
    "place": "rhomboidei.right",
    "technique": "needling",
    "gauge_mm": "0.25",
    "length_mm": "40",
    "depth_mm": "20",
    "direction": "flat, away from the lung",
    "count_in": "3",
    "count_out": "",
    "pain_before": "6",
    "remark": "lying on the left side",
}


@pytest.fixture
def url(visit):
    return reverse("treatment", args=[visit.pk])


def text_of(client, url, **asked):
    return client.get(url, asked).content.decode()


def main_of(shown):
    """What stands in the page itself; the word before one is signed out stands after it."""
    return shown.partition("<main")[2].partition("</main>")[0]


def page_of(client, url, **asked):
    return client.get(url, asked).context["page"]


def titles(page):
    return [card.title for card in page.cards]


def a_last_visit(visit, *entries):
    row = Visit.objects.create(patient=visit.patient, clinician=visit.clinician)
    Visit.objects.filter(pk=row.pk).update(started_at=visit.started_at - timezone.timedelta(days=8))
    row.refresh_from_db()
    return [recorded.treat(row, *said, **more) for *said, more in entries]


# What to treat


def test_muscles_with_findings_today_come_first_then_those_of_last_time(visit, as_mara, url):
    recorded.feel(visit)
    a_last_visit(visit, ("stretch", "masseter.left", {}), ("pressure", "infraspinatus.right", {}))
    page = page_of(as_mara, url)
    assert titles(page)[:2] == ["Infraspinatus, right", "Supraspinatus, right"]
    assert titles(page)[-2:] == ["Masseter, left", "The person as a whole"]
    card = page.cards[0]
    assert "active trigger point" in card.found[0] and "pain 7 of 10 on pressing" in card.found[0]
    assert card.before == ("Manual pressure",)


def test_a_muscle_in_which_nothing_was_found_is_not_offered(visit, as_mara, url):
    recorded.feel(visit, (("masseter", "left", "", "no no no no", None, {}, ""),))
    assert titles(page_of(as_mara, url)) == ["The person as a whole"]


def test_any_muscle_is_found_by_name_and_any_area_is_opened(visit, as_mara, url):
    shown = text_of(as_mara, url, q="rhomb")
    assert 'aria-label="Treat Rhomboid major and minor, right"' in shown
    assert titles(page_of(as_mara, url, place="rhomboidei.right"))[0] == "Rhomboid major and minor, right"
    page = page_of(as_mara, url, place="area:shoulder.left")
    assert titles(page)[0] == "Shoulder, left"
    assert "needling" not in [chip.technique.id for chip in page.cards[0].chips]
    assert "Nothing of that name" in text_of(as_mara, url, q="qqqq")


# The form


def test_a_technique_opens_its_form_and_for_htmx_only_the_form(agreed, as_mara, url):
    asked = {"place": "infraspinatus.right", "technique": "pressure"}
    assert 'name="dose_seconds"' in text_of(as_mara, url, **asked)
    piece = as_mara.get(url, {**asked, "piece": "form"}, headers=HTMX).content.decode()
    assert 'name="dose_seconds"' in piece and "<html" not in piece and "This waits" not in piece


def test_what_is_no_place_or_technique_opens_nothing(agreed, as_mara, url):
    for asked in (
        {"place": "infraspinatus.right", "technique": "magic"},
        {"place": "nothing.right", "technique": "pressure"},
        {"place": "area:low_back", "technique": "needling"},
        {"entry": "999999"},
    ):
        assert as_mara.get(url, asked).context["form"] is None
        assert as_mara.get(url, {**asked, "piece": "form"}, headers=HTMX).status_code == 204


def test_needling_shows_what_is_at_risk_before_any_field(agreed, as_mara, url):
    shown = text_of(as_mara, url, place="rhomboidei.right", technique="needling")
    risk, field = shown.index("At risk under the needle"), shown.index('name="gauge_mm"')
    assert risk < field and shown.index("pneumothorax") < field


def test_what_waits_is_said_before_anything_is_typed(visit, as_mara, url):
    shown = text_of(as_mara, url, place="infraspinatus.right", technique="pressure")
    assert "This waits" in shown and reverse("consents", args=[visit.pk]) in shown


def test_the_form_begins_with_what_was_done_there_last_and_never_with_what_it_did(agreed, as_mara, url):
    more = {"dose": {"seconds": 45}, "minutes": 7, "pain_before": 6, "pain_after": 2, "twitch": "yes"}
    a_last_visit(
        agreed,
        ("pressure", "infraspinatus.right", more),
        ("needling", "infraspinatus.right", {"needles": NEEDLES}),
    )
    shown = text_of(as_mara, url, place="infraspinatus.right", technique="pressure")
    assert 'name="dose_seconds" value="45"' in shown and "Filled in as on" in shown
    values = (
        as_mara.get(url, {"place": "infraspinatus.right", "technique": "pressure"})
        .context["form"]
        .typed.values
    )
    assert not {"minutes", "pain_before", "pain_after", "twitch"} & {
        name for name, said in values.items() if said
    }


def test_depth_and_direction_come_only_from_the_same_place_and_never_over_the_lung(agreed, as_mara, url):
    a_last_visit(
        agreed,
        *(("needling", f"{name}.right", {"needles": NEEDLES}) for name in ("brachialis", "rhomboidei")),
    )
    here, there, lung = (
        as_mara.get(url, {"place": place, "technique": "needling"}).context["form"].typed.values
        for place in ("brachialis.right", "biceps_brachii.right", "rhomboidei.right")
    )
    assert here["depth_mm"] == ("20",) and here["direction"] == ("medially",)
    for other in (there, lung):
        assert other["gauge_mm"] == ("0.25",) and other["length_mm"] == ("40",)
        assert not other.get("depth_mm") and not other.get("direction")
    assert not here.get("count_in") and not here.get("count_out")


def test_the_same_on_the_other_side_takes_the_dose_of_that_entry(agreed, as_mara, url, add):
    add("pressure", "infraspinatus.right", dose={"seconds": 90}, minutes=4)
    (entry,) = page_of(as_mara, url).done.entries
    form = as_mara.get(entry.other.partition("#")[0]).context["form"]
    assert form.token == "infraspinatus.left"
    assert form.typed.values["dose_seconds"] == ("90",) and not form.typed.values["minutes"]


# Saving


def test_an_entry_is_recorded_and_said_in_words(agreed, as_mara, url):
    answer = as_mara.post(f"{url}add/", NEEDLED)
    assert answer.headers["Location"] == f"{url}?place=rhomboidei.right#card-rhomboidei-right"
    (row,) = entries_of(agreed)
    assert row.needles["direction"] == "flat, away from the lung" and row.needles["count_out"] is None
    shown = text_of(as_mara, url)
    assert "3 in, not counted out yet" in shown and "Needles to count" in shown and "Give the advice" in shown


def test_what_cant_be_comes_back_as_it_was_typed_with_what_to_mend(agreed, as_mara, url):
    answer = as_mara.post(f"{url}add/", {**NEEDLED, "depth_mm": "much", "direction": "", "count_in": "0"})
    shown = answer.content.decode()
    assert answer.status_code == 422 and not entries_of(agreed)
    assert 'value="much"' in shown and 'value="lying on the left side"' in shown
    for words in (
        "Depth: Enter a whole number",
        "Direction: Needed for this muscle",
        "Needles in: Enter a whole",
    ):
        assert words in shown


def test_past_a_gate_nothing_is_saved_and_nothing_typed_is_lost(visit, as_mara, url):
    recorded.asked_before_needles(visit)
    answer = as_mara.post(f"{url}add/", NEEDLED)
    assert answer.status_code == 422 and "is not signed" in answer.content.decode()
    assert not entries_of(visit) and Draft.objects.get().data["remark"] == ["lying on the left side"]
    assert "Begun and not saved" in text_of(as_mara, url)
    again = text_of(as_mara, url, place="rhomboidei.right", technique="needling")
    assert 'value="lying on the left side"' in again and 'value="flat, away from the lung"' in again
    recorded.agree(visit, "needling", "upper_back")
    as_mara.post(f"{url}add/", NEEDLED)
    assert len(entries_of(visit)) == 1 and not Draft.objects.exists()


def test_a_stop_of_needling_is_shown_where_the_form_stands(visit, as_mara, url):
    recorded.agree(visit, "needling", "upper_back")
    recorded.asked_before_needles(visit, needle_reaction="yes")
    answer = as_mara.post(f"{url}add/", NEEDLED)
    assert answer.status_code == 422 and "Fear of needles" in answer.content.decode()
    assert 'value="lying on the left side"' in answer.content.decode() and not entries_of(visit)


def test_two_people_at_one_entry_both_see_what_the_other_wrote(agreed, as_mara, url, add, change, tom):
    row = add("pressure", "infraspinatus.right", minutes=4)
    change(row, who=tom, minutes=5)
    sent = {"place": "infraspinatus.right", "technique": "pressure", "version": "1", "minutes": "9"}
    answer = as_mara.post(f"{url}{row.pk}/", sent)
    shown = answer.content.decode()
    assert answer.status_code == 409 and "Somebody else changed this entry" in shown
    assert "<td>5</td><td>9</td>" in shown and 'name="version" value="2"' in shown
    as_mara.post(f"{url}{row.pk}/", {**sent, "version": "2"})
    assert TreatmentEntry.objects.get(pk=row.pk).minutes == 9


def test_an_entry_opens_with_what_stands_on_record(agreed, as_mara, url, add):
    row = add("pressure", "infraspinatus.right", minutes=4, pain_before=6)
    shown = text_of(as_mara, url, entry=row.pk)
    assert "Save the change" in shown and 'name="minutes" value="4"' in shown
    assert 'name="pain_before" value="6" checked' in shown


def test_needles_are_counted_out_in_one_tap_and_unequal_ones_stand_out_in_words(agreed, as_mara, url, add):
    row = add("needling", "rhomboidei.right", needles={**NEEDLES, "count_out": None})
    as_mara.post(f"{url}{row.pk}/count/", {"version": "1", "count_out": "2"})
    shown = text_of(as_mara, url)
    assert "3 in, 2 out: they differ." in shown and "Needles differ" in shown
    assert reverse("needle-incident", args=[agreed.pk]) in shown
    as_mara.post(f"{url}{row.pk}/count/", {"version": "2", "count_out": "3"})
    assert "they differ" not in text_of(as_mara, url) and "As many out as in" in text_of(as_mara, url)


def test_a_count_that_is_none_is_said_and_changes_nothing(agreed, as_mara, url, add):
    row = add("needling", "rhomboidei.right", needles={**NEEDLES, "count_out": None})
    answer = as_mara.post(f"{url}{row.pk}/count/", {"version": "1", "count_out": "all"}, follow=True)
    assert "Needles out: Enter a whole number" in answer.content.decode()
    answer = as_mara.post(f"{url}{row.pk}/count/", {"version": "7", "count_out": "3"}, follow=True)
    assert "Somebody changed this entry" in answer.content.decode()
    assert TreatmentEntry.objects.get(pk=row.pk).needles["count_out"] is None


def test_removing_ordering_and_repeating_go_back_to_the_list(agreed, as_mara, url, add):
    one, two = add("pressure", "infraspinatus.right"), add("stretch", "infraspinatus.right")
    as_mara.post(f"{url}{two.pk}/move/", {"to": "up"})
    assert entries_of(agreed) == (two, one)
    assert (
        "The entry is removed"
        in as_mara.post(f"{url}{one.pk}/remove/", {"version": 1}, follow=True).content.decode()
    )
    (last,) = a_last_visit(agreed, ("stretch", "supraspinatus.right", {"dose": {"seconds": 30}}))
    assert "Tick what was done again" in as_mara.post(f"{url}repeat/", follow=True).content.decode()
    as_mara.post(f"{url}repeat/", {"entry": last.pk})
    assert [row.muscle for row in entries_of(agreed)] == ["infraspinatus", "supraspinatus"]
    assert "on today's list" in text_of(as_mara, url).replace("&#x27;", "'")


def test_what_may_not_be_repeated_is_said_and_stays_ticked(visit, as_mara, url):
    (last,) = a_last_visit(visit, ("stretch", "supraspinatus.right", {}))
    answer = as_mara.post(f"{url}repeat/", {"entry": last.pk})
    shown = answer.content.decode()
    assert answer.status_code == 422 and "Nothing was recorded" in shown
    assert f'value="{last.pk}" checked' in shown


# Reading


def test_a_signed_visit_is_read_and_offers_nothing_to_tap(agreed, as_mara, url, add):
    add("needling", "rhomboidei.right", needles=NEEDLES, minutes=4, pain_before=6, pain_after=3)
    Visit.objects.filter(pk=agreed.pk).update(signed_at=timezone.now())
    shown = text_of(as_mara, url)
    assert "3 in, 3 out; pain 6 to 3; 4 minutes" in shown
    assert "<button" not in main_of(shown) and "<form" not in main_of(shown)


def test_the_manager_reads_and_nobody_from_elsewhere_does(agreed, as_vera, as_ines, url, add):
    add("pressure", "infraspinatus.right")
    assert "manual pressure" in text_of(as_vera, url)
    assert as_ines.get(url).status_code == 404


def test_an_entry_of_another_visit_is_not_reached_through_this_one(agreed, blank, as_mara, add):
    row = add("pressure", "infraspinatus.right")
    for act in ("", "count/", "remove/", "move/"):
        assert as_mara.post(f"/visits/{blank.pk}/treatment/{row.pk}/{act}", {"version": 1}).status_code == 404


def test_twenty_entries_take_no_more_queries_than_one(
    agreed, as_mara, url, add, django_assert_num_queries, django_assert_max_num_queries
):
    asked = {"place": "rhomboidei.right", "technique": "needling"}
    add("needling", "rhomboidei.right", needles=NEEDLES)
    as_mara.get(url, asked)
    with django_assert_max_num_queries(36) as few:
        as_mara.get(url, asked)
        count = len(few)
    for _ in range(20):
        recorded.treat(agreed, "pressure", "infraspinatus.right", minutes=1)
    with django_assert_num_queries(count):
        as_mara.get(url, asked)


def rail_of(client, visit):
    rail = (
        text_of(client, reverse("visit", args=[visit.pk]))
        .partition('class="steps"')[2]
        .partition("</nav>")[0]
    )
    return rail.partition("Treatment")[2].partition("</li>")[0]


def test_the_rail_says_how_many_entries_and_that_needles_wait(agreed, as_mara, add):
    add("exercise", "whole", dose={"which": "Bridge"})
    assert "1 entry<" in rail_of(as_mara, agreed)
    add("needling", "rhomboidei.right", needles=NEEDLES)
    assert "2 entries<" in rail_of(as_mara, agreed)
    add("needling", "rhomboidei.right", needles={**NEEDLES, "count_out": 2})
    assert "needles to count<" in rail_of(as_mara, agreed)
    said = {"shown": [], "words": "Broke.", "done": "Taken out.", "told_patient": True}
    NeedleIncident.objects.create(visit=agreed, recorded_by=agreed.clinician, **said)
    assert "3 entries<" in rail_of(as_mara, agreed)
    add("needling", "rhomboidei.right", needles={**NEEDLES, "count_out": None})
    assert "needles to count<" in rail_of(as_mara, agreed)
