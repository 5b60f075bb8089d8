"""Complaint and history, in the clinician's words."""

import pytest

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


# Height and weight: optional, of the day of the visit.


def sized(version, height="", weight=""):
    return {**words(version, "Pain."), "height_cm": height, "weight_kg": weight}


def sizes():
    story = Story.objects.get()
    return (str(story.height_cm), str(story.weight_kg))


def test_it_keeps_height_and_weight_typed_with_a_point_or_a_comma(blank, as_mara):
    as_mara.post(url(blank), sized(0, "172", "72,5"))
    assert sizes() == ("172.0", "72.5")
    page = as_mara.get(url(blank)).content.decode()
    assert 'value="172"' in page and 'value="72.5"' in page


def test_height_and_weight_may_stay_empty_and_be_taken_out_again(blank, as_mara):
    as_mara.post(url(blank), sized(0))
    assert sizes() == ("None", "None")
    as_mara.post(url(blank), sized(1, "172", "72.5"))
    as_mara.post(url(blank), sized(2))
    assert sizes() == ("None", "None")


@pytest.mark.parametrize(
    ("height", "weight", "named"),
    [
        ("1.72", "70", "Enter the height in cm, from 40 to 260"),
        ("tall", "70", "Enter the height in cm, from 40 to 260"),
        ("172.55", "70", "Enter the height in cm, from 40 to 260"),
        ("172", "7000", "Enter the weight in kg, from 2 to 400"),
        ("172", "NaN", "Enter the weight in kg, from 2 to 400"),
        ("172", "-70", "Enter the weight in kg, from 2 to 400"),
    ],
)
def test_it_says_what_size_to_mend_and_keeps_what_was_typed(blank, as_mara, height, weight, named):
    response = as_mara.post(url(blank), sized(0, height, weight))
    text = response.content.decode()
    assert response.status_code == 422
    assert sum(len(errors) for errors in response.context["page"].form.errors.values()) == 1
    assert named in text
    assert f'value="{height}"' in text and f'value="{weight}"' in text and "Pain." in text
    assert not Story.objects.exists()


def test_of_two_who_weigh_at_once_both_numbers_are_shown(blank, as_mara, tom, client):
    client.force_login(tom)
    as_mara.post(url(blank), sized(0, "172", "72"))
    response = client.post(url(blank), sized(0, "172", "75"))
    assert response.status_code == 409
    assert response.context["page"].clashes == (("Weight in kg", "72", "75"),)
    assert sizes() == ("172.0", "72.0")


def test_who_may_only_read_sees_the_sizes(blank, as_mara, as_vera):
    as_mara.post(url(blank), sized(0, "172", "72.5"))
    assert "Height 172 cm, weight 72.5 kg" in as_vera.get(url(blank)).content.decode()
