"""Scores keep within their scale and rise with their answers, whatever these are."""

from hypothesis import given
from hypothesis import strategies as st

from bodymaps.reasoning.outcomes import change, instruments, score, wrong_in

TOTALS = [one for one in instruments().values() if one.total]
RATING = st.integers(0, 10)


@st.composite
def totals(draw):
    """An instrument, and a sum with enough answers that can be."""
    of = draw(st.sampled_from(TOTALS))
    answered = draw(st.integers(of.total.least, of.total.items))
    said = draw(st.integers(answered * of.total.item_low, answered * of.total.item_high))
    return of, said, answered


@given(totals())
def test_a_total_stays_within_its_scale_and_rises_with_the_sum(drawn):
    of, said, answered = drawn
    found = score(of, {"sum": said, "answered": answered})
    assert of.low <= found.value <= of.high
    assert found.band or of.bands is None
    more = score(of, {"sum": said + 1, "answered": answered})
    assert more.value is None if said == answered * of.total.item_high else more.value > found.value


@given(totals(), st.integers(-400, 400))
def test_a_sum_is_scored_exactly_when_nothing_is_wrong_with_it(drawn, said):
    of, _, answered = drawn
    answers = {"sum": said, "answered": answered}
    assert (score(of, answers).value is None) == bool(wrong_in(of, answers))


@given(st.lists(RATING, min_size=1, max_size=5))
def test_activities_lie_between_their_least_and_their_greatest(values):
    named = [{"name": str(number), "value": value} for number, value in enumerate(values)]
    assert min(values) <= score("psfs", {"activities": named}).value <= max(values)


@given(RATING, RATING)
def test_a_change_and_its_way_back_differ_in_direction_alone(before, after):
    there = change("nprs", {"now": before}, {"now": after})
    back = change("nprs", {"now": after}, {"now": before})
    assert there.points == -back.points
    assert there.verdict == back.verdict
    assert {there.direction, back.direction} in ({"same"}, {"better", "worse"})


@given(RATING, RATING)
def test_a_larger_change_never_falls_back_within_error(before, after):
    near = change("nprs", {"now": before}, {"now": after}, parts=["neck"])
    if 0 <= 2 * after - before <= 10:
        far = change("nprs", {"now": before}, {"now": 2 * after - before}, parts=["neck"])
        order = ("same", "within", "unsure", "beyond")
        assert order.index(far.verdict) >= order.index(near.verdict)


@given(
    st.dictionaries(
        st.text(max_size=8), st.one_of(st.none(), st.text(), st.floats(), st.lists(st.integers()))
    )
)
def test_whatever_is_sent_nothing_breaks(answers):
    for of in instruments().values():
        for form in (of.forms[0].id if of.forms else "", "other"):
            assert score(of, answers, form).value is None or not wrong_in(of, answers, form)
