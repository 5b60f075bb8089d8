"""Scores by the patient alone: one rating to a screen, in our own words, marked as the patient's."""

import pytest
from django.utils import timezone

from bodymaps.reasoning import outcomes
from charting.audit.models import AuditEntry
from charting.handover.models import HandOver
from charting.intake.scoring import screens_of
from charting.outcomes.models import OutcomeScore
from charting.telling.models import Telling
from charting.visits.models import Visit
from tests.charting.intake.conftest import ALL, rate
from tests.charting.telling.conftest import handed_over

FIRST_VISIT = ["nprs-average", "nprs-now", "nprs-best", "nprs-worst", "psfs-1", "psfs-2", "psfs-3"]


def score_of(visit, instrument) -> OutcomeScore:
    return OutcomeScore.objects.get(visit=visit, instrument=instrument)


@pytest.fixture
def later(blank, mara) -> Visit:
    """The visit after `blank`, about the same complaint, with two activities named and pain rated before."""
    named = [{"name": "Carrying shopping", "value": 3}, {"name": "Sleeping on the right", "value": 5}]
    OutcomeScore.objects.create(visit=blank, instrument="psfs", answers={"activities": named})
    return Visit.objects.create(patient=blank.patient, clinician=mara, episode=blank.episode)


class TestAsked:
    def test_one_screen_for_each_rating(self, blank):
        assert [each.id for each in screens_of(blank) if not each.more] == FIRST_VISIT

    def test_nothing_is_asked_that_may_not_be_answered_alone(self, later):
        asked = {each.instrument for each in screens_of(later)}
        alone = {each.id for each in outcomes.instruments().values() if each.alone}
        assert asked == alone
        assert not asked & {each.id for each in outcomes.instruments().values() if each.is_licensed}

    def test_the_change_since_the_first_visit_is_asked_at_a_further_one_only(self, blank, later):
        assert "pgic" not in {each.instrument for each in screens_of(blank)}
        assert "pgic" in {each.id for each in screens_of(later)}

    def test_activities_of_the_earlier_visit_are_named_and_more_can_be_added(self, later, mara):
        client = handed_over(later, mara, asks=["scores"])
        page = client.get("/board/scores/psfs-1/").content.decode()
        assert "Carrying shopping" in page and 'name="name"' not in page
        assert 'name="name"' in client.get("/board/scores/psfs-3/").content.decode()
        assert (
            rate(client, "psfs-3", 4, go="more", name="Reading").headers["Location"]
            == "/board/scores/psfs-4/"
        )
        assert 'name="name"' in client.get("/board/scores/psfs-4/").content.decode()

    def test_what_the_clinician_recorded_already_is_not_asked_again(self, blank, device):
        OutcomeScore.objects.create(visit=blank, instrument="nprs", answers={"now": 6})
        assert device.get("/board/scores/").headers["Location"] == "/board/scores/psfs-1/"
        assert rate(device, "nprs-now", 2).headers["Location"] == "/board/scores/"
        assert score_of(blank, "nprs").answers == {"now": 6}

    def test_a_device_without_scores_has_none(self, blank, mara):
        client = handed_over(blank, mara)
        assert client.get("/board/scores/").headers["Location"] == "/board/"
        assert rate(client, "nprs-now", 5).status_code == 403
        assert not OutcomeScore.objects.exists()


class TestKept:
    def test_each_rating_as_it_is_tapped_said_by_the_patient(self, device, blank):
        assert rate(device, "nprs-average", 5).headers["Location"] == "/board/scores/nprs-now/"
        rate(device, "nprs-worst", 8)
        row = score_of(blank, "nprs")
        assert row.answers == {"average": 5, "worst": 8} and row.said_by == "patient"
        shown = device.get("/board/scores/nprs-worst/").context["page"].numbers
        assert [number.value for number in shown if number.is_chosen] == ["8"]

    def test_zero_is_an_answer(self, device, blank):
        rate(device, "nprs-now", 0)
        assert score_of(blank, "nprs").answers == {"now": 0}
        shown = device.get("/board/scores/nprs-now/").context["page"].numbers
        assert [number.value for number in shown if number.is_chosen] == ["0"]

    def test_a_number_taken_back_is_gone(self, device, blank):
        rate(device, "nprs-now", 5)
        rate(device, "nprs-best", 2)
        rate(device, "nprs-now")
        assert score_of(blank, "nprs").answers == {"best": 2}

    def test_a_name_without_a_number_is_not_lost(self, device, blank):
        rate(device, "psfs-1", name="Carrying shopping")
        assert not OutcomeScore.objects.exists()
        assert device.get("/board/scores/psfs-1/").context["page"].name == "Carrying shopping"
        rate(device, "psfs-2", 4, name="Typing")
        rate(device, "psfs-1", 3, name="Carrying shopping")
        assert score_of(blank, "psfs").answers["activities"] == [
            {"name": "Carrying shopping", "value": 3},
            {"name": "Typing", "value": 4},
        ]

    def test_a_number_without_a_name_says_what_to_mend_and_stays_on_the_page(self, device):
        answered = rate(device, "psfs-1", 4)
        assert answered.status_code == 422 and "Say what it is" in answered.content.decode()
        assert 'value="4" id="number-4" autocomplete="off" checked' in answered.content.decode()

    def test_the_same_activity_twice_is_refused_with_the_reason(self, device, blank):
        rate(device, "psfs-1", 3, name="Typing")
        answered = rate(device, "psfs-2", 4, name="typing")
        assert answered.status_code == 422 and "named twice" in answered.content.decode()
        assert len(score_of(blank, "psfs").answers["activities"]) == 1

    @pytest.mark.parametrize("value", ["11", "-1", "2.5", "many"])
    def test_a_made_up_number_is_refused(self, value, device):
        assert rate(device, "nprs-now", value).status_code == 422
        assert not OutcomeScore.objects.exists()

    def test_who_answered_is_written_down_without_the_number(self, device, blank):
        rate(device, "nprs-now", 7)
        row = AuditEntry.objects.get(action="recorded score", object_id=str(blank.pk))
        assert (row.actor, row.role) == ("Patient at the board", "patient")
        assert "7" not in str({k: v for k, v in row.detail.items() if k != "hand_over"})

    def test_after_the_device_is_taken_back_nothing_is_kept(self, device, blank):
        HandOver.objects.update(ended_at=timezone.now())
        assert rate(device, "nprs-now", 5).status_code == 403
        assert not OutcomeScore.objects.exists()

    def test_a_signed_visit_takes_no_more(self, device, blank):
        Visit.objects.filter(pk=blank.pk).update(signed_at=timezone.now())
        assert "closed this visit" in rate(device, "nprs-now", 5).content.decode()
        assert not OutcomeScore.objects.exists()


class TestTheWay:
    def test_the_last_leads_on_to_the_reading_and_the_first_back_to_the_areas(self, device):
        assert rate(device, "psfs-3").headers["Location"] == "/board/reading/"
        assert rate(device, "nprs-average", go="back").headers["Location"] == "/board/areas/"

    def test_progress_over_all_parts_never_goes_back(self, device):
        shown = [device.get(f"/board/scores/{each}/").context["page"].place for each in FIRST_VISIT]
        assert shown[0].words == "Step 4 of 5: how you are doing"
        percents = [place.percent for place in shown]
        assert percents == sorted(percents) and percents[0] == 68 and percents[-1] < 82

    def test_all_parts_are_named_when_it_is_handed_over(self, device):
        held = HandOver.objects.get()
        assert held.tells and held.asks == ALL["asks"]

    def test_telling_is_no_telling_for_the_clinician_while_only_scores_are_given(self, blank, mara, as_mara):
        client = handed_over(blank, mara, asks=["scores"])
        rate(client, "nprs-now", 5)
        assert Telling.objects.get().at == "scores/nprs-best"
        assert "not read yet" not in as_mara.get(f"/visits/{blank.pk}/").content.decode()
