"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

from collections.abc import Callable
from types import ModuleType
from typing import Any

from charting.notes import blocks_services, services
from charting.notes.models import TextBlock
from charting.notes.sentences_services import Said

WORDS = {"section": "plan", "title": "Looks again", "words": "Looks again in ten days."}


def add_a_block(who: Any, visit: Any) -> None:
    blocks_services.add_block(who=who, **WORDS)


def change_a_block(who: Any, visit: Any) -> None:
    as_it_stood = {**WORDS, "title": "Comes back"}
    block = TextBlock.objects.create(practice=who.practice, changed_by=who, **as_it_stood)
    said = {**as_it_stood, "words": "Comes back in a week."}
    blocks_services.change_block(who=who, block=block, version=1, **said, in_use=True)


def change_a_sentence(who: Any, visit: Any) -> None:
    said = Said("subjective", "story.history", "Six weeks.", "For six weeks.", was="Six weeks.")
    services.save_text(who=who, visit=visit, version=0, assessment="", plan="", sentences=[said])


CHANGES: dict[Callable[..., Any], ModuleType] = {
    add_a_block: blocks_services,
    change_a_block: blocks_services,
    change_a_sentence: services,
}
