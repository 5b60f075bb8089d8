"""What a clinician wrote about one symptom area, in plain data: sources with certainty, and sentences."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

# What a sentence is about, in the order of the note.
SOURCE, RULED_OUT, OPEN, OWN = ABOUT = ("source", "ruled_out", "open", "own")
HEADINGS = {
    SOURCE: "What was found",
    RULED_OUT: "What was normal, or ruled out",
    OPEN: "What remains open",
    OWN: "In the clinician's own words",
}
OWN_KEY = "own:"

# (layer, id, side)
By = tuple[str, str, str]


@dataclass(frozen=True)
class Source:
    """A muscle, root, nerve, joint or organ that the clinician named. `layer` as in an order with evidence;
    `certainty` is an id of certainty.toml; `name` is what it was called when it was chosen.
    """

    layer: str
    id: str
    side: str
    certainty: str
    name: str

    @property
    def by(self) -> By:
        return self.layer, self.id, self.side


@dataclass(frozen=True)
class Sentence:
    """One sentence. `key` says which part of the record it tells of, "own:..." for one written by hand;
    `made_from` is how the record put it when it was taken. `out`: taken out again, it stands in no note and
    does not come back by itself.
    """

    key: str
    about: str
    text: str
    made_from: str = ""
    out: bool = False

    @property
    def is_own(self) -> bool:
        return self.key.startswith(OWN_KEY)

    @property
    def is_edited(self) -> bool:
        return self.text != self.made_from


@dataclass(frozen=True)
class Written:
    """Everything written about one area."""

    sources: tuple[Source, ...] = ()
    sentences: tuple[Sentence, ...] = ()

    @property
    def taken(self) -> tuple[Sentence, ...]:
        """What stands in the note."""
        return tuple(each for each in self.sentences if not each.out)

    @property
    def is_empty(self) -> bool:
        return not (self.sources or self.taken)

    def sentence(self, key: str) -> Sentence | None:
        return next((each for each in self.sentences if each.key == key), None)

    def source(self, by: By) -> Source | None:
        return next((each for each in self.sources if each.by == by), None)


def read(sources: Iterable[Mapping[str, Any]], sentences: Iterable[Mapping[str, Any]]) -> Written:
    """From the lists of a Conclusion."""
    return Written(
        tuple(Source(**each) for each in sources),
        tuple(Sentence(**each) for each in sentences),
    )
