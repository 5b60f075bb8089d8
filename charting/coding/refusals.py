"""Why a code is not taken, in words, and what can be taken in its place."""

from charting.coding import search, table
from charting.coding.cautions import Caution
from charting.coding.excludes import Pair
from charting.coding.search import Found, Hit
from charting.coding.table import Entry

LONGEST_SHOWN = 40


class Refusal(Exception):
    """`words`: what to mend. `code`: as the list writes it, or as it was typed. `better`: what can be taken
    instead.
    """

    def __init__(self, words: str, code: str, better: Found = Found()) -> None:  # noqa: B008 - frozen
        super().__init__(words)
        self.words, self.code, self.better = words, code, better

    def __str__(self) -> str:
        return self.words


class Unknown(Refusal):
    def __init__(self, code: str) -> None:
        shown, known = code[:LONGEST_SHOWN], table.load()
        above = _nearest(table.dotted(shown))
        words = f"The list of {known.release} has no code “{shown}”."
        if above:
            super().__init__(f"{words} Choose one of those at {above.code}.", shown, search.find(above.code))
        else:
            super().__init__(f"{words} Look for it by words.", shown)


class NotBillable(Refusal):
    """There are codes below it that say more: these are named."""

    def __init__(self, entry: Entry) -> None:
        words = (
            f"{entry.code} ({entry.title}) is not specific enough: it can't be billed. "
            "Choose one of the codes below it."
        )
        super().__init__(words, entry.code, search.find(entry.code))


class Excluded(Refusal):
    """An Excludes1 note of the list keeps it from standing beside a code that is chosen."""

    def __init__(self, entry: Entry, pairs: tuple[Pair, ...]) -> None:
        others = [pair.other if pair.one == entry else pair.one for pair in pairs]
        said = " ".join(
            f"{entry.code} ({entry.title}) and {other.code} ({other.title}) may not stand together: "
            f"Excludes1 {pair.words}."
            for other, pair in zip(others, pairs, strict=True)
        )
        super().__init__(f"{said} Take one of them out first, if the other is meant.", entry.code)
        self.pairs = pairs


class NeedsReason(Refusal):
    """Something speaks against it: it can be kept with a reason."""

    def __init__(self, entry: Entry, cautions: tuple[Caution, ...]) -> None:
        better = dict.fromkeys(one for each in cautions for one in each.better)
        said = " ".join(each.words for each in cautions)
        super().__init__(said, entry.code, Found(tuple(Hit(one) for one in better)))
        self.entry, self.cautions = entry, cautions


class TooLong(NeedsReason):
    def __init__(self, entry: Entry, cautions: tuple[Caution, ...], length: int) -> None:
        super().__init__(entry, cautions)
        self.words = f"Say the reason in at most 500 signs; here are {length}."


class Gone(Refusal):
    def __init__(self, code: str) -> None:
        super().__init__(f"{code[:LONGEST_SHOWN]} is not among the codes any more.", code[:LONGEST_SHOWN])


def _nearest(code: str) -> Entry | None:
    """The longest code that it begins with."""
    held = (table.load().entry(code[:length].rstrip(".")) for length in range(len(code), 2, -1))
    return next(filter(None, held), None)
