"""What the page of a person says of complaints, and the pages that name, reopen and choose one."""

import pytest
from django.test import Client

from charting.episodes.models import Episode
from charting.visits.models import Visit
from tests.charting.episodes.cared import a_discharged_one, an_episode


def person(client: Client, patient) -> str:
    return client.get(f"/patients/{patient.pk}/").content.decode()


def test_visits_stand_by_complaint_what_is_open_first(anna, mara, as_mara):
    a_discharged_one(anna, mara, title="Left knee")
    an_episode(anna, mara, title="Right shoulder")
    page = person(as_mara, anna)
    assert page.index("Right shoulder") < page.index("Left knee") < page.index("Goals reached".lower())
    assert "Well again." in page and page.count("1 visit") == 1


def test_the_desk_sees_the_visits_and_no_complaint(anna, mara, as_poll):
    an_episode(anna, mara)
    page = person(as_poll, anna)
    assert "with Mara Steiner" in page and "Right shoulder" not in page and "Progress" not in page


def test_a_title_is_given_and_a_clash_shows_both(anna, mara, as_mara):
    episode = an_episode(anna, mara, title="")
    url = f"/episodes/{episode.pk}/title/"
    assert "Care since" in person(as_mara, anna)
    assert as_mara.post(url, {"version": 1, "title": ""}).status_code == 422
    as_mara.post(url, {"version": 1, "title": "Right shoulder"})
    answer = as_mara.post(url, {"version": 1, "title": "Neck"})
    text = answer.content.decode()
    assert answer.status_code == 409 and "Right shoulder" in text and 'value="Neck"' in text
    as_mara.post(url, {"version": 2, "title": "Neck"})
    assert Episode.objects.get().title == "Neck"


def test_reopening_asks_why_and_keeps_what_was_typed(anna, mara, as_mara):
    episode = a_discharged_one(anna, mara)
    url = f"/episodes/{episode.pk}/reopen/"
    assert "Well again." in as_mara.get(url).content.decode()
    assert as_mara.post(url, {"words": " "}).status_code == 422
    as_mara.post(url, {"words": "Back after a fall."})
    again = as_mara.post(url, {"words": "Once more."})
    assert again.status_code == 422 and "open already" in again.content.decode()
    assert "Reopened" not in again.content.decode() and Episode.objects.get().is_open


def test_words_to_reopen_it_come_back_after_the_tab_closed(anna, mara, as_mara):
    episode = a_discharged_one(anna, mara)
    as_mara.post("/drafts/keep/", {"draft_key": f"reopen:{episode.pk}", "words": "Back af"})
    assert "Back af" in as_mara.get(f"/episodes/{episode.pk}/reopen/").content.decode()


def test_a_person_who_was_discharged_is_asked_about_on_the_way_to_a_visit(anna, mara, as_mara, new_id):
    episode = a_discharged_one(anna, mara)
    url = f"/patients/{anna.pk}/visits/start/"
    assert f'href="{url}">Start a visit' in person(as_mara, anna)
    assert as_mara.post(url, {"id": new_id}).headers["Location"] == url
    sent = {"id": new_id, "asked": "1", "which": str(episode.pk), "words": "Back."}
    assert as_mara.post(url, sent).headers["Location"] == f"/visits/{new_id}/"
    assert Visit.objects.get(pk=new_id).episode == episode


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({}, "Choose what the visit is about."),
        ({"which": "new"}, "Give the new complaint a title."),
        ({"which": "nonsense"}, "Select a valid choice"),
    ],
)
def test_it_says_what_is_missing_and_begins_nothing(anna, mara, as_mara, new_id, sent, told):
    a_discharged_one(anna, mara)
    answer = as_mara.post(f"/patients/{anna.pk}/visits/start/", {"id": new_id, "asked": "1", **sent})
    assert answer.status_code == 422 and told in answer.content.decode()
    assert Visit.objects.count() == 1


def test_with_two_complaints_one_says_for_which(anna, mara, as_mara, new_id):
    first, _ = an_episode(anna, mara, title="Neck"), an_episode(anna, mara, title="Knee")
    assert '<option value="' in person(as_mara, anna)
    sent = {"id": new_id, "asked": "1", "which": str(first.pk)}
    as_mara.post(f"/patients/{anna.pk}/visits/start/", sent)
    assert Visit.objects.get(pk=new_id).episode == first


def test_an_open_visit_is_put_to_another_complaint_and_leaves_no_empty_one(anna, mara, as_mara, new_id):
    as_mara.post(f"/patients/{anna.pk}/visits/start/", {"id": new_id})
    assert "Care since" in as_mara.get(f"/visits/{new_id}/").content.decode()
    as_mara.post(f"/visits/{new_id}/complaint/", {"which": "new", "title": "Left knee"})
    assert Episode.objects.get().title == "Left knee"
    assert "Left knee" in as_mara.get(f"/visits/{new_id}/").content.decode()


def test_a_signed_visit_keeps_its_complaint(anna, mara, as_mara):
    episode = an_episode(anna, mara)
    visit = Visit.objects.get()
    answer = as_mara.post(f"/visits/{visit.pk}/complaint/", {"which": "new", "title": "Left knee"})
    visit.refresh_from_db()
    assert answer.status_code == 403 and visit.episode == episode and Episode.objects.count() == 1
