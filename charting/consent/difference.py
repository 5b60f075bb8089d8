"""Two versions of a text held against each other, word by word."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import groupby
from typing import Literal

Kind = Literal["same", "gone", "new"]
BREAK = "\n\n"
# A paragraph break, or a word with what sticks to it.
TOKENS = re.compile(r"\n\n|\S+")


@dataclass(frozen=True)
class Piece:
    """Words that stand in both texts, in the earlier alone ("gone"), or in the later alone ("new")."""

    kind: Kind
    words: str


@dataclass(frozen=True)
class Paragraph:
    pieces: tuple[Piece, ...]

    @property
    def is_changed(self) -> bool:
        return any(piece.kind != "same" for piece in self.pieces)


def between(before: str, after: str) -> tuple[Paragraph, ...]:
    """Every paragraph of both, in order.

    >>> [piece for each in between("A mild risk.", "A rare risk.") for piece in each.pieces]
    [Piece(kind='same', words='A'), Piece(kind='gone', words='mild'), Piece(kind='new', words='rare'), \
Piece(kind='same', words='risk.')]
    """
    paragraphs: list[list[tuple[Kind, str]]] = [[]]
    for kind, token in _compared(before, after):
        if token == BREAK:
            paragraphs.append([])
        else:
            paragraphs[-1].append((kind, token))
    return tuple(Paragraph(_joined(tokens)) for tokens in paragraphs if tokens)


def changes(before: str, after: str) -> tuple[Paragraph, ...]:
    """The paragraphs that are not the same in both; () when nothing differs."""
    return tuple(each for each in between(before, after) if each.is_changed)


def _compared(before: str, after: str) -> Iterator[tuple[Kind, str]]:
    old, new = TOKENS.findall(before), TOKENS.findall(after)
    for what, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if what == "equal":
            yield from (("same", token) for token in old[a:b])
        else:
            yield from (("gone", token) for token in old[a:b])
            yield from (("new", token) for token in new[c:d])


def _joined(tokens: list[tuple[Kind, str]]) -> tuple[Piece, ...]:
    return tuple(
        Piece(kind, " ".join(token for _, token in run))
        for kind, run in groupby(tokens, key=lambda each: each[0])
    )
