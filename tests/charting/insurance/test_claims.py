"""What an insurer is told about an episode: who may write it, and what becomes of two at once."""

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied

from charting.insurance import services
from charting.insurance.models import Claim, WorkStatus
from charting.insurance.queries import cover_of
from charting.insurance.services import NotKept
from charting.versioning import Stale
from tests.charting import recorded
from tests.charting.insured import a_claim, a_policy


def work(who, episode, status="none", *, from_on, percent=None):
    said = {"status": status, "percent": percent, "limits": "", "from_on": from_on}
    return services.add_work_status(who=who, episode=episode, **said)


def certify(who, episode, *, begins, ends):
    said = {"certified_by": "Dr Vogt", "certified_on": begins, "how": "by fax"}
    return services.add_certification(who=who, episode=episode, **said, valid_from=begins, valid_until=ends)


def test_there_is_nothing_before_somebody_recorded_it(episode):
    assert cover_of(episode) is None


def test_it_keeps_what_was_told(episode, mara):
    a_claim(mara, episode)
    cover = cover_of(episode)
    assert cover.payer.name == "Northlake Mutual"
    assert cover.claim.injured_on == date(2026, 3, 5)


def test_the_first_of_two_who_begin_wins_and_the_second_sees_it(episode, mara, tom):
    policy = a_policy(episode.patient)
    a_claim(mara, episode, policy=policy)
    with pytest.raises(Stale) as told:
        a_claim(tom, episode, policy=policy, claim_number="CL-99")
    assert told.value.current.claim_number == "CL-88"


def test_the_same_sent_again_changes_nothing(episode, mara):
    claim = a_claim(mara, episode)
    again = a_claim(mara, episode, policy=claim.policy)
    assert again.version == claim.version == 1


def test_a_manager_writes_numbers_and_no_plan_of_care(episode, vera):
    services.save_claim(who=vera, episode=episode, version=0, claim_number="CL-88")
    with pytest.raises(PermissionDenied, match="Somebody who treats"):
        services.save_claim(who=vera, episode=episode, version=1, prior_function="Full work.")
    assert Claim.objects.get(episode=episode).prior_function == ""


def test_nobody_of_another_practice_writes_it(episode, ines):
    with pytest.raises(PermissionDenied):
        services.save_claim(who=ines, episode=episode, version=0, claim_number="CL-88")


def test_the_desk_writes_no_claim(episode, poll):
    with pytest.raises(PermissionDenied):
        services.save_claim(who=poll, episode=episode, version=0, claim_number="CL-88")


def test_it_takes_no_policy_of_somebody_else(episode, mara, practice):
    other = a_policy(recorded.patient(practice, 1043))
    with pytest.raises(NotKept, match="policy of this person"):
        a_claim(mara, episode, policy=other)


def test_the_work_status_of_a_day_is_the_last_that_began_by_then(episode, mara):
    work(mara, episode, from_on=date(2026, 3, 5))
    work(mara, episode, "limited", from_on=date(2026, 4, 1), percent=50)
    cover = cover_of(episode)
    assert cover.work_on(date(2026, 3, 4)) is None
    assert cover.work_on(date(2026, 3, 31)).status == "none"
    assert cover.work_on(date(2026, 4, 1)).percent == 50


def test_a_wrong_work_status_is_put_right_by_a_later_line_of_the_same_day(episode, mara):
    work(mara, episode, from_on=date(2026, 3, 5))
    work(mara, episode, "full", from_on=date(2026, 3, 5))
    assert cover_of(episode).work_on(date(2026, 3, 5)).status == "full"
    assert WorkStatus.objects.count() == 2


def test_a_double_tap_makes_one_line(episode, mara):
    first = work(mara, episode, from_on=date(2026, 3, 5))
    assert work(mara, episode, from_on=date(2026, 3, 5)) == first
    one = certify(mara, episode, begins=date(2026, 3, 5), ends=date(2026, 6, 5))
    assert certify(mara, episode, begins=date(2026, 3, 5), ends=date(2026, 6, 5)) == one


def test_per_cent_belong_to_limited_work(episode, mara):
    with pytest.raises(NotKept, match="only of limited work"):
        work(mara, episode, "full", from_on=date(2026, 3, 5), percent=50)


def test_a_certification_holds_on_both_of_its_ends(episode, mara):
    certify(mara, episode, begins=date(2026, 3, 5), ends=date(2026, 6, 5))
    cover = cover_of(episode)
    days = [date(2026, 3, 4), date(2026, 3, 5), date(2026, 6, 5), date(2026, 6, 6)]
    assert [bool(cover.certified_on(day)) for day in days] == [False, True, True, False]
