"""The first questions about danger, asked before any muscle is suggested: from the catalogue (history.toml,
page "danger"), each with what a yes to it raises by itself, by the rules of flags.toml.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from bodymaps.reasoning import flag_rules, flags, items
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.flags import Flag
from bodymaps.reasoning.items import Item

PAGE = "danger"
UNSURE = "Not sure counts as a yes until you have cleared it."
LOCAL_RULES = "Your local rules and emergency numbers come first."


class DangerScreenError(Exception):
    """A question that leads nowhere; the text names it and what to mend."""


@dataclass(frozen=True)
class Question:
    """One question. `flags`: what a yes alone raises, the most urgent first; never empty."""

    id: str
    topic: str
    question: str
    flags: tuple[Flag, ...]

    @property
    def why(self) -> str:
        return self.flags[0].why

    @property
    def on_yes(self) -> str:
        return self.flags[0].action

    @property
    def urgency(self) -> str:
        return self.flags[0].level

    @property
    def urgency_words(self) -> str:
        return self.flags[0].level_words

    @property
    def sources(self) -> tuple[str, ...]:
        return self.flags[0].sources


@dataclass(frozen=True)
class DangerScreen:
    version: str
    unsure: str
    local_rules: str
    questions: tuple[Question, ...]


@cache
def load() -> DangerScreen:
    """The screen of this release. Raises DangerScreenError."""
    asked = [item for group in items.history().on_page(PAGE) for item in group.items]
    version = f"{items.history().version}, {flag_rules.flags().version}"
    return DangerScreen(version, UNSURE, LOCAL_RULES, questions_of(asked))


def questions_of(asked: Iterable[Item]) -> tuple[Question, ...]:
    """The items as questions. Raises DangerScreenError for one that is asked but never acted on."""
    return tuple(_question(item) for item in asked)


def _question(item: Item) -> Question:
    if item.type != "yes_no" or not item.ask:
        raise DangerScreenError(f"{item.key}: the danger screen asks for yes, no or not sure, in words")
    raised = flags.raised(Facts(Case(history={item.key: "yes"}), Drawn()))
    if not raised:
        raise DangerScreenError(f"{item.key}: a yes raises nothing by the rules of flags.toml")
    return Question(item.key, item.label, item.ask, raised)
