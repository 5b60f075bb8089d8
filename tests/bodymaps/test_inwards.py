"""How far down a limb pain is drawn, before and after: what was seen, and nothing of what follows."""

import pytest

from bodymaps.inwards import CENTRAL, LimbMove, limbs
from bodymaps.marks import Mark
from tests.bodymaps import drawn


def shaded(*region_ids: str, side: str = "right") -> tuple[Mark, ...]:
    return drawn.marks(side=side, **{name.replace(":", "__"): 0.8 for name in region_ids})


LEG = shaded(
    "back:lumbar_paraspinal", "back:buttock_upper", "back:thigh_posterior_upper", "back:calf_central"
)


def one(before: tuple[Mark, ...], after: tuple[Mark, ...]) -> LimbMove:
    found = limbs(before, after)
    assert len(found) == 1
    return found[0]


def test_pain_that_draws_back_up_the_leg_is_told_so():
    found = one(LEG, shaded("back:lumbar_paraspinal", "back:buttock_upper"))
    assert (found.limb, found.side, found.direction) == ("leg", "right", "towards")
    assert (found.before, found.after) == ("lower leg", "buttock, hip or groin")
    assert "Pain in the low back is still drawn." in found.words and CENTRAL in found.words


def test_the_trades_word_needs_pain_that_stays_near_the_spine():
    found = one(LEG, shaded("back:buttock_upper"))
    assert found.direction == "towards" and CENTRAL not in found.words
    assert CENTRAL not in one(shaded("back:lumbar_paraspinal"), LEG).words


def test_pain_that_runs_farther_down_the_arm():
    found = one(
        shaded("back:neck_posterior", "front:arm_anterior"),
        shaded("front:thumb_palmar", "front:arm_anterior"),
    )
    assert found.direction == "away"
    assert found.words == "Right arm: drawn as far as the upper arm before, now as far as the wrist and hand."


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        (LEG, LEG, "Right leg: drawn as far as the lower leg both times."),
        (shaded("back:calf_central"), (), "Right leg: drawn as far as the lower leg before, now not at all."),
        (
            (),
            shaded("back:calf_central"),
            "Right leg: drawn as far as the lower leg now, and not at all before.",
        ),
    ],
)
def test_it_says_where_it_ended_and_ends(before, after, words):
    assert one(before, after).words == words


def test_limbs_without_pain_are_not_spoken_of():
    back = shaded("back:lumbar_paraspinal")
    assert limbs(back, back) == ()
    both = limbs((*LEG, *shaded("back:calf_central", side="left")), back)
    assert [(move.limb, move.side) for move in both] == [("leg", "right"), ("leg", "left")]
