"""What the page of rules may use: every rule that reasons about a person, with its source."""

from dataclasses import dataclass
from functools import cache

from charting.patterns.queries import atlas_for
from charting.rules.sections import (
    danger,
    drawings,
    evidence,
    following,
    hands,
    needles,
    nerves,
    outcomes,
    scales,
    tests,
)
from charting.rules.sections.told import Section
from charting.staff.models import User


@dataclass(frozen=True)
class RulesPage:
    sections: tuple[Section, ...]


def rules_page(user: User) -> RulesPage:
    return RulesPage((*_general(), *evidence.sections(atlas_for(user.practice))))


@cache
def _general() -> tuple[Section, ...]:
    """What does not depend on the atlas of a practice."""
    parts = (danger, tests, nerves, hands, following, needles, outcomes, drawings, scales)
    return tuple(section for one in parts for section in one.sections())
