"""Which reactions are still to be followed up, and when."""

from datetime import date

from django.utils import timezone

from charting.treatment.models import AdverseEvent, AdverseFollowUp
from charting.treatment.queries import open_reactions
from tests.charting import recorded

MAY_4, MAY_9 = date(2026, 5, 4), date(2026, 5, 9)


def reaction(patient, who, *, due=MAY_4, **more):
    said = {"what": "soreness", "severity": "mild", "words": "Sore.", "happened_at": timezone.now()}
    return AdverseEvent.objects.create(patient=patient, recorded_by=who, follow_up_on=due, **said, **more)


def followed_up(event, who, **said):
    return AdverseFollowUp.objects.create(event=event, words="Called.", done_by=who, **said)


def shown(user):
    return [(each.event, each.due) for each in open_reactions(user)]


def test_it_waits_until_the_day_that_was_set(anna, mara):
    event = reaction(anna, mara)
    assert shown(mara) == [(event, MAY_4)]


def test_one_without_a_day_is_nothing_to_follow_up(anna, mara):
    reaction(anna, mara, due=None)
    assert shown(mara) == []


def test_a_follow_up_settles_it_or_sets_the_next_day(anna, mara):
    event = reaction(anna, mara)
    followed_up(event, mara, settles=False, next_on=MAY_9)
    assert shown(mara) == [(event, MAY_9)]
    followed_up(event, mara, settles=True)
    assert shown(mara) == []


def test_the_newest_follow_up_counts_also_against_one_that_settled(anna, mara):
    event = reaction(anna, mara)
    followed_up(event, mara, settles=True)
    followed_up(event, mara, settles=False)
    assert shown(mara) == [(event, None)]


def test_the_line_that_corrects_one_stands_for_itself(anna, mara):
    wrong = reaction(anna, mara)
    right = reaction(anna, mara, due=MAY_9, corrects=wrong)
    assert shown(mara) == [(right, MAY_9)]


def test_the_longest_due_stands_first(anna, mara):
    later, sooner, none = (reaction(anna, mara, due=due) for due in (MAY_9, MAY_4, MAY_4))
    followed_up(none, mara, settles=False)
    assert [each.event for each in open_reactions(mara)] == [sooner, later, none]


def test_it_is_for_who_may_open_the_chart_here(anna, mara, poll, vera, ines):
    event = reaction(anna, mara)
    reaction(recorded.patient(ines.practice), ines)
    assert shown(poll) == [] and shown(vera) == [(event, MAY_4)] and len(shown(ines)) == 1


def test_it_is_one_query_for_any_number(anna, mara, django_assert_num_queries):
    for _ in range(20):
        reaction(anna, mara)
    with django_assert_num_queries(1):
        assert all(each.event.patient.name for each in open_reactions(mara))
