"""The patient answers alone: nothing is compulsory, all is kept as given, nothing of the chart shows."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.handover.models import HandOver
from charting.history.models import DangerAnswer, StandingFact, Story, StoryAnswer
from charting.staff.models import User
from charting.telling import screens
from charting.telling.models import Telling
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.telling.conftest import answer, handed_over, tap, told

# Of a person who could be pregnant, before anything is answered.
ELSEWHERE = {"sleep_position", "worry", "fear_moving", "expects"}
ALL = [each.id for each in screens.load().screens if each.id not in ELSEWHERE]


class TestTheWay:
    def test_after_the_name_is_confirmed_the_first_questions_come(self, blank, as_mara):
        as_mara.post(f"/visits/{blank.pk}/hand-over/", {"tells": "story"})
        assert "Is this you?" in as_mara.get("/board/").content.decode()
        assert as_mara.get("/board/story/", follow=True).redirect_chain[-1][0] == "/board/"
        to_first = as_mara.post("/board/confirm/", {"is_me": "yes"}, follow=True)
        assert to_first.redirect_chain[-1][0] == f"/board/story/{ALL[0]}/"

    def test_before_it_nothing_is_saved(self, blank, as_mara):
        as_mara.post(f"/visits/{blank.pk}/hand-over/", {"tells": "story"})
        assert answer(as_mara, "danger", chest="yes").status_code == 403
        assert not Telling.objects.exists()

    def test_next_leads_through_every_section_and_on_to_the_drawing(self, device):
        for here, to in zip(ALL, ALL[1:], strict=False):
            assert answer(device, here).headers["Location"] == f"/board/story/{to}/"
        assert answer(device, ALL[-1]).headers["Location"] == "/board/"
        assert "board" in device.get("/board/").context
        assert told().handed_in_at is not None

    def test_back_leads_back_and_keeps_what_was_answered(self, device):
        before = ALL[ALL.index("fever") - 1]
        to = answer(device, "danger", go="back", fever="no").headers["Location"]
        assert to == f"/board/story/{before}/"
        assert told().answers == {"fever": "no"}

    def test_one_may_stop_anywhere_and_draw(self, device):
        assert answer(device, "danger", go="draw", fever="no").headers["Location"] == "/board/"
        assert "board" in device.get("/board/").context

    def test_progress_is_said_in_words(self, device):
        page = device.get(f"/board/story/{ALL[1]}/").content.decode()
        assert f'aria-label="Step 1 of 3: your story, 2 of {len(ALL) + len(ELSEWHERE)}"' in page

    def test_the_board_has_a_way_back_and_the_last_page_too(self, device):
        answer(device, "moves", go="draw")
        assert device.get("/board/").context["board"]["urls"]["story"] == "/board/story/"
        assert "/board/story/" in device.get("/board/done/").content.decode()
        assert device.get("/board/story/").headers["Location"] == f"/board/story/{ALL[0]}/"

    def test_drawing_only_stays_as_it_was(self, blank, as_mara):
        as_mara.post(f"/visits/{blank.pk}/hand-over/")
        as_mara.post("/board/confirm/", {"is_me": "yes"})
        board = as_mara.get("/board/")
        assert "story" not in board.context["board"]["urls"]
        assert as_mara.get("/board/story/").headers["Location"] == "/board/"
        assert answer(as_mara, "danger", fever="no").status_code == 403
        assert not Telling.objects.exists()


class TestKept:
    def test_nothing_is_compulsory(self, device):
        for group in ALL:
            assert answer(device, group).status_code == 302
        assert told().answers == {} and told().version == 1

    def test_each_kind_of_answer_is_kept_in_the_shape_of_the_catalogue(self, device):
        answer(
            device, "beginning", onset="sudden", day_course=["night_wakes", "morning"], morning_stiffness="20"
        )
        answer(device, "load", work=" Baker ")
        said = told().answers
        assert said["onset"] == "sudden" and said["day_course"] == ["morning", "night_wakes"]
        assert said["morning_stiffness"] == 20 and said["work"] == "Baker"

    def test_a_tap_is_kept_at_once_and_counted(self, device):
        first = tap(device, "danger", chest="yes")
        assert first.json() == {"saved": 2, "next": "/board/story/chest/", "wrong": {}}
        assert tap(device, "danger", chest="yes").json()["saved"] == 2
        assert tap(device, "danger", chest="no").json()["saved"] == 3
        assert told().answers == {"chest": "no"}

    def test_an_answer_taken_back_is_gone(self, device):
        tap(device, "danger", chest="yes", fever="no")
        tap(device, "chest")
        assert told().answers == {"fever": "no"}

    @pytest.mark.parametrize("typed", ["601", "-1", "many", "1e9", "NaN"])
    def test_a_number_that_cannot_be_is_named_and_the_rest_is_kept(self, typed, device):
        page = answer(device, "beginning", onset="gradual", morning_stiffness=typed)
        assert page.status_code == 422
        body = page.content.decode()
        assert "Enter a number from 0 to 600, or leave it empty." in body and f'value="{typed}"' in body
        assert told().answers == {"onset": "gradual"} and told().at == "day_course"
        wrong = tap(device, "beginning", go="next", morning_stiffness=typed)
        assert wrong.status_code == 422 and set(wrong.json()["wrong"]) == {"morning_stiffness"}

    def test_a_made_up_choice_is_refused_with_what_to_mend(self, device):
        assert answer(device, "beginning", onset="by_magic").status_code == 422
        assert told().answers == {}

    def test_it_is_no_part_of_the_record(self, device, blank):
        answer(device, "danger", chest="yes")
        answer(device, "beginning", onset="sudden")
        answer(device, "standing", allergy="yes")
        for table in (DangerAnswer, StandingFact, Story, StoryAnswer):
            assert not table.objects.exists()

    def test_who_answered_and_when_it_was_handed_in_are_written_down_without_a_word_of_it(
        self, device, blank
    ):
        tap(device, "danger", chest="yes")
        answer(device, ALL[-1])
        answer(device, ALL[-1])
        rows = AuditEntry.objects.filter(object_id=str(blank.pk), action__in=("told", "handed in story"))
        assert [row.action for row in rows.order_by("pk")] == ["told", "handed in story"]
        assert {(row.actor, row.role) for row in rows} == {("Patient at the board", "patient")}
        assert "yes" not in str([row.detail for row in rows])


class TestResumed:
    def test_a_reload_or_a_dead_battery_resumes_at_the_same_screen(self, device):
        answer(device, ALL[0])
        answer(device, ALL[1])
        again = Client()
        again.cookies["board"] = device.cookies["board"].value
        assert again.get("/board/", follow=True).redirect_chain[-1][0] == f"/board/story/{ALL[2]}/"
        tap(again, "brings_on", brings_on=["reach"])
        assert again.get("/board/", follow=True).redirect_chain[-1][0] == "/board/story/brings_on/"

    def test_what_was_answered_stands_there_again(self, device):
        tap(device, "beginning", onset="sudden", morning_stiffness="20", day_course=["morning"])
        [onset] = device.get("/board/story/onset/").context["page"].questions
        assert [o.value for o in onset.options if o.is_chosen] == ["sudden"]
        [course] = device.get("/board/story/day_course/").context["page"].questions
        assert [o.value for o in course.options if o.is_chosen] == ["morning"]
        assert [q.value for q in course.follow] == [20]


class TestTwoDevices:
    def test_each_tells_apart(self, device, blank, tom):
        other = handed_over(blank, tom)
        answer(device, "beginning", onset="sudden")
        answer(other, "beginning", onset="gradual")
        assert sorted(each.answers["onset"] for each in Telling.objects.all()) == ["gradual", "sudden"]
        page = other.get("/board/story/onset/").context["page"]
        assert [o.value for q in page.questions for o in q.options if o.is_chosen] == ["gradual"]

    def test_one_visit_never_tells_into_another(self, device, anna, mara):
        other = Visit.objects.create(patient=anna, clinician=mara)
        answer(device, "beginning", onset="sudden")
        assert not Telling.objects.filter(visit=other).exists()


class TestClosed:
    @pytest.fixture(params=["ended", "expired", "denied", "signed in"])
    def over(self, request, device) -> Client:
        tap(device, "danger", fever="no")
        past = timezone.now() - timedelta(seconds=1)
        if request.param == "signed in":
            token = device.cookies["board"].value
            device.post("/sign-in/", {"username": "mara", "password": recorded.PASSWORD})
            thief = Client()
            thief.cookies["board"] = token
            return thief
        change = {"ended": "ended_at", "expired": "expires_at", "denied": "ended_at"}[request.param]
        HandOver.objects.update(**{change: past})
        return device

    def test_it_saves_nothing_and_says_so(self, over):
        refused = tap(over, "danger", fever="yes", chest="yes")
        assert refused.status_code == 403 and "over" in refused.json()["error"]
        page = answer(over, "danger", fever="yes")
        assert page.status_code == 403 and "give the device back" in page.content.decode()
        assert told().answers == {"fever": "no"}

    def test_it_shows_nothing_that_was_answered(self, over):
        for url in ("/board/story/", "/board/story/fever/"):
            page = over.get(url)
            assert page.status_code == 403
            assert "checked" not in page.content.decode() and "Keller" not in page.content.decode()

    def test_a_signed_visit_takes_no_more(self, device, blank):
        tap(device, "danger", fever="no")
        Visit.objects.filter(pk=blank.pk).update(signed_at=timezone.now())
        refused = tap(device, "danger", fever="yes")
        assert refused.status_code == 403 and "closed this visit" in refused.json()["error"]
        assert "closed this visit" in answer(device, "danger", fever="yes").content.decode()
        assert told().answers == {"fever": "no"}

    @pytest.mark.parametrize("closed", [{"settled_at": timezone.now()}, {"taken": ["fever"]}])
    def test_what_the_clinician_has_read_is_not_changed_behind_their_back(self, closed, device):
        tap(device, "danger", fever="no")
        Telling.objects.update(**closed)
        refused = tap(device, "danger", fever="yes")
        assert refused.status_code == 403 and "read your answers" in refused.json()["error"]
        page = answer(device, "danger", fever="yes")
        assert page.status_code == 403 and "read your answers" in page.content.decode()
        assert told().answers == {"fever": "no"}


class TestNothingOfTheChart:
    def test_no_screen_shows_a_word_of_the_record(self, visit, mara):
        recorded.answer_danger_screen  # noqa: B018 - the whole visit holds one
        StoryAnswer.objects.create(visit=visit, key="onset", value="after_injury")
        StandingFact.objects.create(
            patient=visit.patient, visit=visit, key="allergy_which", value="adhesive", confirmed_by=mara
        )
        DangerAnswer.objects.filter(visit=visit, question="fever").update(answer="yes", remark="39 degrees")
        device = handed_over(visit, mara)
        for group in ALL:
            page = device.get(f"/board/story/{group}/").content.decode()
            for word in (
                "Keller", "1978", "1042", "Pain in the front", "Infraspinatus", "adhesive", "39 degrees",
                "checked", "/visits/", "/patients/", "Sign out", "alarm",
            ):  # fmt: skip
                assert word not in page, (group, word)

    def test_a_yes_to_a_danger_question_raises_no_alarm_on_the_device(self, device):
        page = answer(device, "danger", chest="yes")
        assert page.status_code == 302
        again = device.get("/board/story/chest/").content.decode()
        assert "emergency" not in again.lower() and "alarm" not in again.lower()

    def test_the_clinicians_page_stays_shut_on_the_device(self, device, blank, mara):
        device.force_login(mara)
        assert device.get(f"/visits/{blank.pk}/told/").status_code == 403

    def test_a_token_made_up_opens_nothing(self, blank):
        client = Client()
        client.cookies["board"] = "made-up"
        assert client.get("/board/story/chest/").status_code == 403
        assert tap(client, "danger", fever="no").status_code == 403


def test_who_helps_is_told_that_you_means_the_patient(blank, mara):
    device = handed_over(blank, mara, drawn_by="helper", helper="daughter")
    assert "“you” means the person" in device.get("/board/story/chest/").content.decode()


def test_a_parent_who_answers_is_named(device):
    assert "“you” means" not in device.get("/board/story/chest/").content.decode()
    answer(device, "answering", who_answers="parent", who_answers_name="Rosa Keller")
    assert told().answers == {"who_answers": "parent", "who_answers_name": "Rosa Keller"}
    assert "“you” means the person" in device.get("/board/story/chest/").content.decode()


def test_the_assistant_hands_over_for_the_story_without_seeing_a_chart(blank, poll):
    assert poll.role == User.Role.DESK
    device = handed_over(blank, poll)
    assert answer(device, "danger", fever="no").status_code == 302
