"""What the person on the device is asked, part by part, and how far they are through all of it."""

from dataclasses import dataclass

from django.urls import reverse

from charting.handover.models import HandOver

SCORES, CHANGES, CONSENT = "scores", "changes", "consent:"
# Each part with the name of its address and what the person is told it is.
ADDRESSES = {
    "story": ("tell", "your story"),
    "drawing": ("board", "your drawing"),
    "areas": ("board-areas", "where it hurts"),
    "scores": ("intake-scores", "how you are doing"),
    "reading": ("intake-reading", "something to read"),
}
END = "board-done"
# How much of the whole each part is, for the bar that shows how far somebody is: our own judgement of the
# time.
WEIGHTS = {"story": 10, "drawing": 3, "areas": 2, "scores": 3, "reading": 4}


@dataclass(frozen=True)
class Place:
    """Where somebody is: the number of the part they are at, of how many; within it the screen they are at,
    of how many (1 of 1 for a part of one screen). The last screen of the last part is not yet the end.
    """

    number: int
    of: int
    title: str
    screen: int = 1
    screens: int = 1
    begun: float = 0.0
    share: float = 1.0

    @property
    def words(self) -> str:
        """ "Step 1 of 5: your story"."""
        return f"Step {self.number} of {self.of}: {self.title}"

    @property
    def within(self) -> str:
        """ "7 of 36", "" for a part of one screen."""
        return f"{self.screen} of {self.screens}" if self.screens > 1 else ""

    @property
    def percent(self) -> int:
        """Of all parts together: what is behind the person."""
        return round(100 * (self.begun + self.share * (self.screen - 1) / self.screens))


def parts_of(held: HandOver) -> tuple[str, ...]:
    """The parts of this hand-over in their order."""
    parts = ["story"] if held.tells else []
    parts += ["drawing", "areas"]
    parts += ["scores"] if SCORES in held.asks else []
    parts += ["reading"] if texts_of(held) else []
    return tuple(parts)


def texts_of(held: HandOver) -> tuple[str, ...]:
    """The ids of the consent texts to be read."""
    return tuple(ask.removeprefix(CONSENT) for ask in held.asks if ask.startswith(CONSENT))


def only_changes(held: HandOver) -> bool:
    """Whether of the story only what changes is asked."""
    return CHANGES in held.asks


def place_of(held: HandOver, part: str, screen: int = 1, screens: int = 1) -> Place:
    """`screen`: counted from 1."""
    parts = parts_of(held)
    title = "what has changed" if part == "story" and only_changes(held) else ADDRESSES[part][1]
    weights = [WEIGHTS[each] for each in parts]
    at, whole = parts.index(part), sum(weights)
    return Place(at + 1, len(parts), title, screen, screens, sum(weights[:at]) / whole, weights[at] / whole)


def has_more(held: HandOver, part: str) -> bool:
    return parts_of(held)[-1] != part


def after(held: HandOver, part: str) -> str:
    """The address where the next part begins; behind the last, where everything is done."""
    parts = parts_of(held)
    place = parts.index(part) + 1
    return reverse(ADDRESSES[parts[place]][0] if place < len(parts) else END)


def ways_back(held: HandOver) -> tuple[tuple[str, str], ...]:
    """(what it changes, its address) of every part that is answered or drawn, for who wants to change
    something.
    """
    words = {"story": "my answers", "drawing": "my drawing", "scores": "my scores", "reading": "my questions"}
    return tuple((words[part], reverse(ADDRESSES[part][0])) for part in parts_of(held) if part in words)


def before(held: HandOver, part: str) -> str:
    """The address of the part before, "" before the first."""
    place = parts_of(held).index(part)
    return reverse(ADDRESSES[parts_of(held)[place - 1]][0]) if place else ""
