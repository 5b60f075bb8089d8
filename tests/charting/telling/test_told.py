"""The clinician reads what was told beside what is on record, and takes it over or sets it aside."""

import pytest
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.history.models import DangerAnswer, StandingFact, Story, StoryAnswer
from charting.history.queries import case_of, is_complete, screen_of, state_of
from charting.telling import services
from charting.telling.models import Telling
from tests.charting import recorded
from tests.charting.people import signed_in
from tests.charting.telling.conftest import answer, handed_over, tap, told


@pytest.fixture
def telling(device) -> Telling:
    """Six answers and two dangers, handed in."""
    answer(device, "beginning", onset="sudden", day_course=["morning"], morning_stiffness="20")
    answer(device, "danger", chest="yes", fever="no")
    answer(device, "load", work="Baker")
    answer(device, "standing", go="draw", allergy="yes", allergy_which="latex")
    return told()


def url(visit):
    return f"/visits/{visit.pk}/told/"


def sent(telling, act, *ticked, story=0, version=None, **changed):
    """The form of the page as a browser sends it: every value as told, but for those changed."""
    own = f"t{telling.pk}"
    values = {f"{own}-{key}": value for key, value in {**telling.answers, **changed}.items()}
    versions = {f"{own}-version": version or telling.version, f"{own}-story": story}
    return {"telling": telling.pk, "act": act, f"{own}-take": ticked, **values, **versions}


def danger_sent(telling, visit, state=None, version=None, **answers):
    own = f"d{telling.pk}"
    said = {f"{own}-{key}": value for key, value in answers.items()}
    known = {"telling": telling.pk, "version": version or telling.version, "act": "danger"}
    return {**known, f"{own}-state": state or state_of(visit), **said}


def every_danger(visit, **others):
    return {each.question.id: "no" for each in screen_of(visit)} | others


class TestReading:
    def test_it_stands_beside_what_is_on_record(self, telling, blank, as_mara):
        StoryAnswer.objects.create(visit=blank, key="onset", value="gradual")
        page = as_mara.get(url(blank)).context["page"]
        [one] = page.unread
        rows = {row.key: row for part in one.parts for row in part.rows}
        assert (rows["onset"].told, rows["onset"].on_record) == ("suddenly", "little by little")
        assert (rows["work"].told, rows["work"].on_record) == ("Baker", "")
        dangers = {row.topic: row for row in one.dangers}
        assert [row.told for row in dangers.values() if row.is_raised] == ["Yes"]

    def test_the_overview_says_that_it_is_not_read_yet(self, telling, blank, as_mara):
        page = as_mara.get(f"/visits/{blank.pk}/").content.decode()
        assert "Story told by the patient, not read yet" in page and url(blank) in page
        as_mara.post(url(blank), {"telling": telling.pk, "version": telling.version, "act": "aside"})
        assert "not read yet" not in as_mara.get(f"/visits/{blank.pk}/").content.decode()

    def test_it_is_said_where_the_same_would_be_asked_again(self, telling, blank, as_mara):
        for page in ("story", "danger-screen"):
            assert url(blank) in as_mara.get(f"/visits/{blank.pk}/{page}/").content.decode()

    def test_a_device_where_nothing_was_answered_is_no_telling(self, device, blank, as_mara):
        answer(device, "danger")
        assert "not read yet" not in as_mara.get(f"/visits/{blank.pk}/").content.decode()
        assert "Nothing was told" in as_mara.get(url(blank)).content.decode()

    def test_reading_takes_nothing_over(self, telling, blank, as_mara):
        as_mara.get(url(blank))
        assert not StoryAnswer.objects.exists() and not DangerAnswer.objects.exists()
        assert told().settled_at is None

    def test_a_manager_reads_and_has_no_button(self, telling, blank, as_vera):
        page = as_vera.get(url(blank))
        assert b"suddenly" in page.content and b'name="act"' not in page.content
        assert as_vera.post(url(blank), sent(telling, "all")).status_code == 403
        assert not StoryAnswer.objects.exists()

    def test_the_chart_itself_lets_a_manager_set_nothing_aside(self, telling, vera):
        with pytest.raises(PermissionDenied):
            services.set_aside(who=vera, telling=telling, version=telling.version)
        assert told().settled_at is None

    def test_nobody_else_finds_it(self, telling, blank, as_ines, as_poll):
        for client in (as_ines, as_poll):
            assert client.get(url(blank)).status_code == 404
            assert client.post(url(blank), sent(telling, "all")).status_code == 404
        assert not StoryAnswer.objects.exists()

    def test_the_telling_of_another_visit_is_not_taken_here(self, telling, anna, mara, as_mara):
        other = recorded.Visit.objects.create(patient=anna, clinician=mara)
        assert as_mara.post(url(other), sent(telling, "all")).status_code == 404


class TestTaking:
    def test_all_of_it(self, telling, blank, as_mara):
        assert as_mara.post(url(blank), sent(telling, "all")).status_code == 302
        case = case_of(blank)
        assert case["onset"] == "sudden" and case["day_course"] == ("morning",)
        assert case["morning_stiffness"] == 20 and case["work"] == "Baker"
        assert set(StoryAnswer.objects.values_list("told_by", flat=True)) == {"patient"}
        assert StandingFact.objects.get(key="allergy_which").value == "latex"

    def test_it_never_takes_a_danger_answer_along(self, telling, blank, as_mara):
        as_mara.post(url(blank), sent(telling, "all"))
        assert not DangerAnswer.objects.exists()
        assert told().settled_at is None and {"chest", "fever"} & set(told().taken) == set()

    def test_one_by_one(self, telling, blank, as_mara):
        as_mara.post(url(blank), sent(telling, "ticked", "onset"))
        assert list(StoryAnswer.objects.values_list("key", flat=True)) == ["onset"]
        assert told().taken == ["onset"] and told().settled_at is None
        as_mara.post(url(blank), sent(telling, "ticked", "work", story=Story.objects.get().version))
        assert told().taken == ["onset", "work"]

    def test_changed_before_it_is_taken(self, telling, blank, as_mara):
        as_mara.post(url(blank), sent(telling, "all", onset="gradual", work="Baker, night shift"))
        assert case_of(blank)["onset"] == "gradual"
        assert told().changed == ["onset", "work"]

    def test_what_was_told_stays_as_it_was_told(self, telling, blank, as_mara):
        before = telling.answers
        as_mara.post(url(blank), sent(telling, "all", onset="gradual"))
        as_mara.post(url(blank), danger_sent(telling, blank, **every_danger(blank)))
        assert told().answers == before and told().version == telling.version
        [one] = as_mara.get(url(blank)).context["page"].read
        rows = {row.key: row for part in one.parts for row in part.rows}
        assert rows["onset"].told == "suddenly" and rows["onset"].is_changed

    def test_nothing_ticked_takes_nothing_and_says_so(self, telling, blank, as_mara):
        answered = as_mara.post(url(blank), sent(telling, "ticked"))
        assert answered.status_code == 422 and b"Tick what is to be taken" in answered.content
        assert not StoryAnswer.objects.exists()

    def test_a_value_that_cannot_be_is_named_and_what_was_typed_stays(self, telling, blank, as_mara):
        page = as_mara.post(url(blank), sent(telling, "all", morning_stiffness="700", work="Miller"))
        assert page.status_code == 422
        assert b"from 0 to 600" in page.content and b'value="Miller"' in page.content
        assert not StoryAnswer.objects.exists() and told().taken == []

    def test_what_was_emptied_is_not_taken_for_an_answer(self, telling, blank, as_mara):
        page = as_mara.post(url(blank), sent(telling, "ticked", "work", work=" "))
        assert page.status_code == 422 and b"Nothing is left of this" in page.content

    def test_it_is_written_down(self, telling, blank, as_mara, mara):
        as_mara.post(url(blank), sent(telling, "ticked", "work"))
        row = AuditEntry.objects.get(action="took told answers")
        assert (row.actor_id, row.object_id, row.detail["keys"]) == (mara.pk, str(blank.pk), ["work"])
        assert "Baker" not in str(row.detail)

    def test_a_signed_visit_takes_nothing(self, telling, blank, as_mara):
        type(blank).objects.filter(pk=blank.pk).update(signed_at=timezone.now())
        assert as_mara.post(url(blank), sent(telling, "all")).status_code == 403
        assert not StoryAnswer.objects.exists()


class TestDangers:
    def test_they_do_not_count_before_the_clinician_confirms_them(self, telling, blank):
        assert "chest" not in case_of(blank) and not is_complete(blank)

    def test_the_form_holds_what_the_patient_said(self, telling, blank, as_mara):
        [one] = as_mara.get(url(blank)).context["page"].unread
        values = {row.asked.question.id: row.asked.answer.value() for row in one.dangers}
        assert values["chest"] == "yes" and values["fever"] == "no" and not values["cancer"]

    def test_a_yes_of_the_patient_stands_above_a_no_on_record(self, telling, blank, as_mara):
        recorded.answer_danger_screen(blank, fever="yes")
        [one] = as_mara.get(url(blank)).context["page"].unread
        values = {row.asked.question.id: row.asked.answer.value() for row in one.dangers}
        assert values["chest"] == "yes" and values["fever"] == "yes"

    def test_confirmed_they_are_the_danger_screen(self, telling, blank, as_mara):
        answered = danger_sent(telling, blank, **every_danger(blank, chest="yes"))
        assert as_mara.post(url(blank), answered).status_code == 302
        assert is_complete(blank) and case_of(blank)["chest"] == "yes"
        assert "on the device: yes" in DangerAnswer.objects.get(question="chest").remark
        assert DangerAnswer.objects.get(question="cancer").remark == ""
        assert AuditEntry.objects.filter(action="took told dangers").count() == 1
        assert set(told().taken) == {"chest", "fever"}

    def test_one_that_is_not_answered_is_named_and_nothing_is_saved(self, telling, blank, as_mara):
        some = every_danger(blank, chest="yes")
        del some["cancer"]
        page = as_mara.post(url(blank), danger_sent(telling, blank, **some))
        assert page.status_code == 422 and b"Choose yes, no or not sure." in page.content
        assert not DangerAnswer.objects.exists()

    def test_two_saves_at_once_show_both(self, telling, blank, as_mara):
        old = state_of(blank)
        recorded.answer_danger_screen(blank, cancer="yes")
        typed = danger_sent(telling, blank, state=old, **every_danger(blank, chest="yes"))
        page = as_mara.post(url(blank), typed)
        assert page.status_code == 409 and b"Somebody else saved this meanwhile" in page.content
        assert DangerAnswer.objects.get(question="cancer").answer == "yes"
        assert DangerAnswer.objects.get(question="chest").answer == "no"


class TestStale:
    def test_a_story_saved_meanwhile_is_shown_beside_what_was_to_be_taken(self, telling, blank, as_mara):
        Story.objects.create(visit=blank, complaint="Chest.", history="")
        StoryAnswer.objects.create(visit=blank, key="onset", value="gradual")
        page = as_mara.post(url(blank), sent(telling, "all", work="Miller"))
        assert page.status_code == 409
        [one] = page.context["page"].unread
        assert ("Onset", "little by little", "suddenly") in one.clashes
        assert b'value="Miller"' in page.content
        assert StoryAnswer.objects.get().value == "gradual" and told().taken == []

    def test_saving_again_replaces_it(self, telling, blank, as_mara):
        Story.objects.create(visit=blank, complaint="Chest.", history="")
        StoryAnswer.objects.create(visit=blank, key="onset", value="gradual")
        as_mara.post(url(blank), sent(telling, "all", story=1))
        assert StoryAnswer.objects.get(key="onset").value == "sudden"

    def test_what_the_patient_changed_meanwhile_is_read_again_first(self, telling, device, blank, as_mara):
        answer(device, "load", work="Miller")
        page = as_mara.post(url(blank), sent(telling, "all"))
        assert page.status_code == 409 and b"Read it again" in page.content
        assert b"Miller" in page.content and not StoryAnswer.objects.exists()
        for act in ("aside", "danger"):
            old = danger_sent(telling, blank, **every_danger(blank)) | {"act": act}
            assert as_mara.post(url(blank), old).status_code == 409
        assert told().settled_at is None and not DangerAnswer.objects.exists()

    def test_a_colleague_who_took_it_first(self, telling, blank, as_mara, tom):
        signed_in(tom).post(url(blank), {"telling": telling.pk, "version": telling.version, "act": "aside"})
        assert as_mara.post(url(blank), sent(telling, "all")).status_code == 409
        assert not StoryAnswer.objects.exists()


class TestSetAside:
    def test_it_is_kept_as_it_was_told_and_settled(self, telling, blank, as_mara, mara):
        as_mara.post(url(blank), {"telling": telling.pk, "version": telling.version, "act": "aside"})
        row = told()
        assert row.answers == telling.answers and row.taken == [] and row.settled_by == mara
        assert not StoryAnswer.objects.exists() and not DangerAnswer.objects.exists()
        assert b"suddenly" in as_mara.get(url(blank)).content
        assert AuditEntry.objects.get(action="set told answers aside").object_id == str(blank.pk)

    def test_all_taken_settles_it_by_itself(self, telling, blank, as_mara):
        as_mara.post(url(blank), danger_sent(telling, blank, **every_danger(blank)))
        as_mara.post(url(blank), sent(telling, "all"))
        assert told().settled_at is not None


class TestSeenAtOnce:
    def test_a_yes_alone_is_seen_on_the_overview_and_the_day_page(self, device, blank, as_mara):
        tap(device, "danger", chest="yes", fever="unsure", cord="no")
        for page in ("/", f"/visits/{blank.pk}/", "/told/now/"):
            words = as_mara.get(page).content.decode()
            assert "Anna Keller answered yes to: Heart, and not sure to: Infection." in words
            assert "Read it now" in words and "Spinal cord" not in words

    def test_who_may_not_read_charts_learns_that_and_not_what(self, device, as_poll):
        answer(device, "danger", chest="yes")
        for page in ("/", "/told/now/"):
            words = as_poll.get(page).content.decode()
            assert "Tell the clinician now" in words and "Heart" not in words and "Read it now" not in words

    def test_another_practice_sees_nothing(self, device, as_ines):
        answer(device, "danger", chest="yes")
        for page in ("/", "/told/now/"):
            assert b"Keller" not in as_ines.get(page).content

    def test_no_and_nothing_raise_nothing(self, device, as_mara):
        answer(device, "danger", chest="no")
        assert b"Read it now" not in as_mara.get("/told/now/").content

    def test_it_is_gone_once_confirmed_and_once_set_aside(self, device, blank, as_mara):
        answer(device, "danger", chest="yes")
        as_mara.post(url(blank), danger_sent(told(), blank, **every_danger(blank, chest="yes")))
        assert b"Read it now" not in as_mara.get("/told/now/").content

    def test_of_one_visit_alone_when_asked_so(self, device, blank, anna, mara, as_mara):
        answer(device, "danger", chest="yes")
        other = recorded.Visit.objects.create(patient=anna, clinician=mara)
        assert b"Read it now" in as_mara.get(f"/told/now/?visit={blank.pk}").content
        assert b"Read it now" not in as_mara.get(f"/told/now/?visit={other.pk}").content
        assert b"Read it now" not in as_mara.get("/told/now/?visit=nonsense").content

    def test_two_devices_are_said_in_one_line(self, device, blank, tom, as_mara):
        answer(device, "danger", chest="yes")
        answer(handed_over(blank, tom), "danger", chest="unsure", cancer="yes")
        words = as_mara.get("/told/now/").content.decode()
        assert words.count("Read it now") == 1 and "Heart" in words and "Cancer" in words


class TestAllOrNothing:
    """Without its row in the audit trail a change is not made."""

    @pytest.fixture(autouse=True)
    def no_room(self, telling, monkeypatch):
        def fails(**what):
            raise RuntimeError("no room on the disk")

        monkeypatch.setattr(services, "record", fails)

    def test_taking(self, telling, mara):
        with pytest.raises(RuntimeError, match="no room"), transaction.atomic():
            services.take(
                who=mara, telling=telling, version=telling.version, story=0, answers={"onset": "sudden"}
            )
        assert not StoryAnswer.objects.exists() and told().taken == []

    def test_confirming_dangers(self, telling, blank, mara):
        said = {key: (value, "") for key, value in every_danger(blank).items()}
        state = state_of(blank)
        with pytest.raises(RuntimeError, match="no room"), transaction.atomic():
            services.take_danger(
                who=mara, telling=telling, version=telling.version, state=state, answers=said
            )
        assert not DangerAnswer.objects.exists() and told().taken == []

    def test_setting_aside(self, telling, mara):
        with pytest.raises(RuntimeError, match="no room"), transaction.atomic():
            services.set_aside(who=mara, telling=telling, version=telling.version)
        assert told().settled_at is None

    def test_answering_on_the_device(self, telling, device):
        with pytest.raises(RuntimeError, match="no room"), transaction.atomic():
            answer(device, "danger", cancer="yes")
        assert told().answers == telling.answers
