"""What can be learned of a group that is left blank. Groups under five are common practice of health
statistics; the rest is worked out here, case by case, as somebody with pencil and paper would.
"""

import random
import uuid
from itertools import product

import pytest

from bodymaps.heat import NO_KEY
from charting.review.numbers import load
from charting.review.shown import NOBODY, Shown, key_of, shown, shown_of

# A key for each of the four limits: 5, 6, 7, 8.
KEYS = {
    limit: next(
        key
        for key in range(0, NO_KEY, NO_KEY // 100)
        if not shown(limit, key).is_blank and shown(limit - 1, key).is_blank
    )
    for limit in (5, 6, 7, 8)
}
HIGHEST_BLANK = load().least + load().apart - 1


def could_be(told: Shown) -> tuple[int, int]:
    """From the outside: how few and how many there may be."""
    return (0, HIGHEST_BLANK) if told.is_blank else (told.least, told.most)


def learned(told: list[Shown], whole: Shown, of: int) -> tuple[int, int]:
    """What the parts of a whole that exclude each other tell of one of them."""
    spans = [could_be(one) for one in told]
    low, high = spans.pop(of)
    all_low, all_high = could_be(whole)
    return (
        max(low, all_low - sum(most for _, most in spans)),
        min(high, all_high - sum(least for least, _ in spans)),
    )


def check(parts: tuple[int, ...], limits: tuple[int, ...]) -> None:
    """The least key of a whole is the least of those of its parts, as far as there is anybody in them."""
    keys = [KEYS[limit] if count else NO_KEY for count, limit in zip(parts, limits, strict=True)]
    told = [shown(count, key) for count, key in zip(parts, keys, strict=True)]
    whole = shown(sum(parts), min(keys))
    for place, count in enumerate(parts):
        if count < 5:
            assert told[place].is_blank
            low, high = learned(told, whole, place)
            assert low <= count <= high, "what is shown is never wrong"
            assert high - low >= 3, (parts, limits, low, high)


def test_two_parts_of_a_whole_never_give_a_small_one_away():
    for parts in product(range(22), repeat=2):
        for limits in product(KEYS, repeat=2):
            check(parts, limits)


def test_three_parts_never_give_a_small_one_away():
    for parts in product(range(11), repeat=3):
        for limits in ((5, 5, 5), (8, 8, 8), (5, 8, 6), (8, 7, 8)):
            check(parts, limits)


def test_many_parts_never_give_a_small_one_away():
    dice = random.Random(7)
    for _ in range(20_000):
        parts = tuple(
            dice.choice((0, 1, 3, 4, 4, 5, 6, 7, 8, 9, 9, 14, 19)) for _ in range(dice.randint(4, 8))
        )
        check(parts, tuple(dice.choice(list(KEYS)) for _ in parts))


def test_a_limit_that_is_the_same_for_every_group_would_give_it_away():
    # Five bands of age, four people in each: a whole of "20 to 24" with five blanks under five leaves 4 each.
    assert shown(20, KEYS[5]).least == 20
    assert 20 - 4 * 4 == 4
    # With limits nobody knows the same page leaves a span.
    assert learned([NOBODY] * 5, shown(20, KEYS[5]), 0) == (0, 7)


@pytest.mark.parametrize("key", [0, 1, 2**20, 2**31, NO_KEY - 1])
def test_under_five_nobody_is_shown_whatever_the_key(key):
    assert [shown(count, key) for count in range(5)] == [NOBODY] * 5
    assert shown(8, key) == Shown(5, 9) and shown(10, key).words == "10 to 14"


def test_none_and_few_look_alike():
    assert shown_of([]) == shown_of([uuid.uuid4()]) == NOBODY
    assert NOBODY.words == "too few"


def test_five_visits_of_one_person_are_one():
    assert shown_of([uuid.UUID(int=7)] * 500) == NOBODY


def test_the_same_people_are_told_alike_however_they_are_found():
    for size in (5, 6, 7):
        people = [uuid.UUID(int=number) for number in range(size)]
        assert shown_of(people) == shown_of(reversed(people)) == shown_of([*people, *people])


def test_who_is_shown_is_shown_in_every_larger_group_too():
    """Else a blank whole beside a part that is shown would leave the rest no room."""
    dice = random.Random(11)
    for _ in range(2000):
        people = [uuid.UUID(int=dice.getrandbits(64)) for _ in range(9)]
        told = [not shown_of(people[:size]).is_blank for size in range(10)]
        assert told == sorted(told)


def test_groups_of_one_size_meet_all_limits():
    """Else a blank would tell how many are in it. Four limits, met about equally often by six people."""
    dice = random.Random(5)
    groups = [[uuid.UUID(int=dice.getrandbits(64)) for _ in range(6)] for _ in range(2000)]
    blank = sum(shown_of(group).is_blank for group in groups) / 2000
    assert blank == pytest.approx(0.5, abs=0.05)


def test_nobody_without_the_secret_knows_a_key(settings):
    before = key_of(uuid.UUID(int=1))
    settings.SECRET_KEY = "another server's secret, long enough for a key"
    assert key_of(uuid.UUID(int=1)) != before
