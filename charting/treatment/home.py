"""What a home programme is made of, and its limits: none of them recommends a dose."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any

from charting.treatment.models import HomeProgramme

MOST_ITEMS = 8
LONGEST = {"title": 80, "how": 400, "dose": 120, "stop": 160}
LONGEST_WORDS = 2000


class WrongItem(ValueError):
    """What can't stay, by number of the item (from 1) and member."""

    def __init__(self, wrong: Mapping[tuple[int, str], str]) -> None:
        self.wrong = dict(wrong)
        super().__init__("; ".join(f"{number}, {name}: {words}" for (number, name), words in wrong.items()))


@dataclass(frozen=True)
class Item:
    """One thing to do: what, how, how often, and when to stop."""

    title: str = ""
    how: str = ""
    dose: str = ""
    stop: str = ""

    @property
    def is_empty(self) -> bool:
        return not any(asdict(self).values())

    @classmethod
    def of(cls, said: Mapping[str, Any]) -> "Item":
        """As typed, without spaces round it. A line break in the way it is done stays."""
        return cls(**{field.name: str(said.get(field.name, "") or "").strip() for field in fields(cls)})


@dataclass(frozen=True)
class Programme:
    items: tuple[Item, ...] = ()
    words: str = ""

    @property
    def is_empty(self) -> bool:
        return not self.items and not self.words


def programme_of(row: HomeProgramme | None) -> Programme:
    return Programme(tuple(Item.of(said) for said in row.items), row.words) if row else Programme()


def checked(items: Iterable[Item], words: str) -> Programme:
    """The items that hold anything, in their order. Raises WrongItem."""
    typed = list(items)
    wrong: dict[tuple[int, str], str] = {}
    for number, item in enumerate(typed, 1):
        if not item.is_empty and not item.title:
            wrong[number, "title"] = "Give it a name, or empty the whole line."
        for name, most in LONGEST.items():
            if len(getattr(item, name)) > most:
                wrong[number, name] = f"At most {most} characters."
    if sum(not item.is_empty for item in typed) > MOST_ITEMS:
        wrong[MOST_ITEMS + 1, "title"] = f"At most {MOST_ITEMS} things: more are not done."
    if len(words.strip()) > LONGEST_WORDS:
        wrong[0, "words"] = f"At most {LONGEST_WORDS} characters."
    if wrong:
        raise WrongItem(wrong)
    return Programme(tuple(item for item in typed if not item.is_empty), words.strip())
