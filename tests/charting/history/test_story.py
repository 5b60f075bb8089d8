"""Complaint and history, in the clinician's words."""

from charting.history.models import Story


def url(visit):
    return f"/visits/{visit.pk}/story/"


def words(version, complaint, history=""):
    return {"version": version, "complaint": complaint, "history": history}


def test_it_saves_the_story_and_goes_on(blank, as_mara):
    response = as_mara.post(url(blank), {**words(0, "Pain.", "Long."), "next": "danger-screen"})
    assert response.headers["Location"].endswith("/danger-screen/")
    story = Story.objects.get()
    assert (story.complaint, story.history, story.version) == ("Pain.", "Long.", 1)


def test_it_counts_every_save(blank, as_mara):
    as_mara.post(url(blank), words(0, "One."))
    as_mara.post(url(blank), words(1, "Two."))
    assert (Story.objects.get().complaint, Story.objects.get().version) == ("Two.", 2)


def test_of_two_who_write_at_once_neither_loses_a_word(blank, as_mara, tom, client):
    client.force_login(tom)
    as_mara.post(url(blank), words(0, "Mara's words."))
    response = client.post(url(blank), words(0, "Tom's words."))
    text = response.content.decode()
    assert response.status_code == 409
    assert "Mara&#x27;s words." in text and text.count("Tom&#x27;s words.") == 2
    assert Story.objects.get().complaint == "Mara's words."
    version = response.context["page"].form["version"].value()
    client.post(url(blank), words(version, "Tom's words."))
    assert Story.objects.get().complaint == "Tom's words."


def test_it_does_not_change_once_the_visit_is_signed(blank, as_mara):
    type(blank).objects.filter(pk=blank.pk).update(signed_at=blank.started_at)
    assert as_mara.post(url(blank), words(0, "Late.")).status_code == 403
    assert not Story.objects.exists()


def test_it_refuses_more_than_the_field_holds_and_keeps_what_was_typed(blank, as_mara):
    response = as_mara.post(url(blank), words(0, "x" * 2001, "Long."))
    assert response.status_code == 422
    assert "x" * 2001 in response.content.decode() and "Long." in response.content.decode()
