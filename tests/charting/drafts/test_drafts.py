"""What was typed is never lost: kept on the server, brought back, discarded, forgotten once it is saved."""

import pytest

from charting.audit.models import AuditEntry
from charting.drafts.models import Draft
from charting.drafts.services import MAX_BYTES, MAX_FIELDS, TooLarge, keep
from charting.history.models import Story
from tests.charting.addresses import about, danger_answers

BROUGHT_BACK = "not yet saved was brought back"


def story(visit):
    return f"/visits/{visit.pk}/story/"


def type_into(client, key, **typed):
    return client.post("/drafts/keep/", {"draft_key": key, "csrfmiddlewaretoken": "x", **typed})


def test_it_says_what_it_kept_and_when(blank, as_mara, mara):
    told = type_into(as_mara, f"story:{blank.pk}", complaint="Half a sent").json()
    kept = Draft.objects.get(user=mara)
    assert told["kept"] == f"story:{blank.pk}"
    assert told["at"] == f"{kept.saved_at.astimezone(mara.practice.zone):%H:%M}"
    assert kept.data == {"complaint": ["Half a sent"]}


def test_it_brings_back_what_was_typed_and_says_so(blank, as_mara):
    type_into(as_mara, f"story:{blank.pk}", complaint="Half a sent", version="0")
    text = as_mara.get(story(blank)).content.decode()
    assert "Half a sent" in text and BROUGHT_BACK in text


def test_it_keeps_what_is_on_record_where_the_draft_says_nothing(blank, as_mara):
    Story.objects.create(visit=blank, complaint="On record.", history="Also on record.")
    type_into(as_mara, f"story:{blank.pk}", complaint="Typed.")
    text = as_mara.get(story(blank)).content.decode()
    assert "Typed." in text and "Also on record." in text and ">\nOn record." not in text


def test_it_discards_a_draft_and_goes_back_to_the_form(blank, as_mara):
    type_into(as_mara, f"story:{blank.pk}", complaint="Half a sent")
    sent = {"draft_key": f"story:{blank.pk}", "back": story(blank)}
    assert as_mara.post("/drafts/forget/", sent).headers["Location"] == story(blank)
    text = as_mara.get(story(blank)).content.decode()
    assert "Half a sent" not in text and BROUGHT_BACK not in text


def test_it_does_not_send_anybody_to_another_site(blank, as_mara):
    sent = {"draft_key": "x", "back": "https://elsewhere.example/"}
    assert as_mara.post("/drafts/forget/", sent).headers["Location"] == "/"


def test_it_forgets_a_draft_once_it_is_saved(blank, as_mara):
    type_into(as_mara, f"story:{blank.pk}", complaint="Half")
    as_mara.post(story(blank), {"version": 0, "complaint": "Whole.", "history": ""})
    assert not Draft.objects.exists()


@pytest.mark.parametrize(
    ("key", "url", "data"),
    [
        (
            "patient:new",
            "/patients/new/",
            lambda visit: about(visit.patient, family_name="New", given_names="N"),
        ),
        ("patient:{patient}", "/patients/{patient}/edit/", lambda visit: about(visit.patient)),
        ("danger:{visit}", "/visits/{visit}/danger-screen/", danger_answers),
    ],
)
def test_it_forgets_the_draft_of_every_form(key, url, data, blank, as_mara):
    ids = {"visit": blank.pk, "patient": blank.patient_id}
    type_into(as_mara, key.format(**ids), words="typed")
    assert as_mara.post(url.format(**ids), data(blank)).status_code == 302
    assert not Draft.objects.exists()


def test_it_brings_back_the_boxes_of_a_date(blank, as_mara):
    type_into(as_mara, "patient:new", birth_date_day="7", birth_date_month="Mar", family_name="Vogt")
    text = as_mara.get("/patients/new/").content.decode()
    assert 'value="Mar"' in text and 'value="Vogt"' in text


def test_it_shows_nobody_the_draft_of_somebody_else(blank, as_mara, tom, client):
    type_into(as_mara, f"story:{blank.pk}", complaint="Half a sent")
    client.force_login(tom)
    assert "Half a sent" not in client.get(story(blank)).content.decode()
    client.post("/drafts/forget/", {"draft_key": f"story:{blank.pk}"})
    assert Draft.objects.count() == 1


def test_a_draft_typed_on_an_older_version_does_not_overwrite_the_newer_one(blank, as_mara):
    Story.objects.create(visit=blank, complaint="First.", version=1)
    type_into(as_mara, f"story:{blank.pk}", complaint="Typed on the first.", version="1")
    Story.objects.filter(visit=blank).update(complaint="Second.", version=2)
    form = as_mara.get(story(blank)).context["page"].form
    assert str(form["version"].value()) == "1"
    sent = {"version": 1, "complaint": "Typed on the first.", "history": ""}
    assert as_mara.post(story(blank), sent).status_code == 409
    assert Story.objects.get().complaint == "Second."


def test_it_refuses_more_than_a_form_can_hold(mara):
    keep(who=mara, key="full", data={"a": ["x" * (MAX_BYTES - 1)]})
    with pytest.raises(TooLarge):
        keep(who=mara, key="full", data={"a": ["x" * MAX_BYTES]})
    keep(who=mara, key="wide", data={f"{n:03d}": [""] for n in range(MAX_FIELDS)})
    with pytest.raises(TooLarge):
        keep(who=mara, key="wide", data={f"{n:03d}": [""] for n in range(MAX_FIELDS + 1)})


def test_it_refuses_a_draft_without_a_key(as_mara):
    assert type_into(as_mara, "").status_code == 400
    assert type_into(as_mara, "k" * 121).status_code == 400


def test_it_keeps_no_password_and_no_signature(as_mara):
    type_into(as_mara, "note:x", text="Half", password="secret-4711", ink="[[[1, 2]]]")
    assert Draft.objects.get().data == {"text": ["Half"]}


def test_it_is_no_part_of_the_record(blank, as_mara):
    before = AuditEntry.objects.count()
    type_into(as_mara, f"story:{blank.pk}", complaint="Half a sent")
    assert AuditEntry.objects.count() == before
    assert not Story.objects.exists()
