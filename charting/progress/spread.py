"""How much the extent of two drawings of the same pain differs by itself (progress.toml), checked on load."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "progress.toml"
STATUSES = ("checked", "from memory", "common practice")


class SpreadError(ValueError):
    """The file cannot be used; the message names the entry and what to mend."""


@dataclass(frozen=True)
class Spread:
    """`share`: half the width of the limits of agreement, as a share of the mean of two drawings."""

    share: float
    minutes: int
    people: str
    source: str
    status: str

    @property
    def words(self) -> str:
        apart = f"{self.minutes} minute{'' if self.minutes == 1 else 's'} apart"
        said = f"by up to {round(100 * self.share)} % of their mean in 95 of 100 cases"
        cited = f"({self.people}; {self.source}; {self.status})"
        return f"Two drawings of the same pain {apart} differed {said} {cited}."

    def holds(self, first: float, last: float) -> bool:
        """Whether two extents differ no more than that."""
        return abs(last - first) <= self.share * (first + last) / 2


@cache
def of_extent() -> Spread:
    return read(tomllib.loads(FILE.read_text()))


def read(data: dict[str, Any]) -> Spread:
    said = data.get("extent", {})
    for name in ("apart", "means"):
        pair = said.get(name)
        if not (
            isinstance(pair, list) and len(pair) == 2 and all(isinstance(one, int | float) for one in pair)
        ):
            raise SpreadError(f"{FILE.name}: [extent] {name}: write two numbers.")
    low, high = said["apart"]
    mean = sum(said["means"]) / 2
    if not (low < high and mean > 0):
        raise SpreadError(f"{FILE.name}: [extent]: `apart` rises and `means` are above 0.")
    for name in ("people", "source"):
        if not isinstance(said.get(name), str) or not said[name].strip():
            raise SpreadError(f"{FILE.name}: [extent] {name}: say it in words.")
    if said.get("status") not in STATUSES:
        raise SpreadError(f"{FILE.name}: [extent] status: one of {', '.join(STATUSES)}.")
    if not isinstance(said.get("minutes"), int) or said["minutes"] < 1:
        raise SpreadError(f"{FILE.name}: [extent] minutes: a whole number.")
    share = (high - low) / 2 / mean
    return Spread(share, said["minutes"], said["people"], said["source"], said["status"])
