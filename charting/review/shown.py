"""How counts of people are shown, so that nobody is found by holding two filters against each other.

Three rules, for every count of people alike (numbers: review.toml):
1. A group under five is blank. So is a somewhat larger one, by a key of the very people in it: the limit lies
   between five and eight, and nobody knows where for a given group. The same people always meet the same
   limit, so asking again in other words tells nothing new; and where a group is shown, every larger one that
   holds it is, for the limit follows from the least key of its people.
2. What is shown is a step of five ("10 to 14"), never the number itself.
3. None and few look alike.

What follows for somebody who takes parts away from a whole: where the parts exclude each other, as sexes and
ages do, no more is learned of a group under five than a span of at least four numbers
(tests/charting/review/test_shown.py tries every case). What remains possible: who asks for very many
selections that overlap and solves them together can narrow a span; a group of people who are all alike
tells of each of its members; and who knows all people of a group but one learns about that one. Whoever may
see the review may open every chart; these rules keep what is printed and passed on from naming anybody.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from uuid import UUID

from django.conf import settings

from bodymaps.heat import NO_KEY
from charting.review.numbers import load


@dataclass(frozen=True)
class Shown:
    """A count as it may be shown: from `least` to `most` people; both 0 where it is blank."""

    least: int
    most: int

    @property
    def is_blank(self) -> bool:
        return not self.least

    @property
    def words(self) -> str:
        return "too few" if self.is_blank else f"{self.least} to {self.most}"


NOBODY = Shown(0, 0)


def shown(people: int, key: int) -> Shown:
    """`key`: the least of the keys of these people (key_of), NO_KEY of nobody."""
    known = load()
    if people < known.least + sum(key > end for end in _ends()):
        return NOBODY
    least = people // known.step * known.step
    return Shown(least, least + known.step - 1)


def shown_of(people: Iterable[UUID | str]) -> Shown:
    """The same of people by their ids; one who is there twice counts once."""
    known = set(people)
    return shown(len(known), min((key_of(one) for one in known), default=NO_KEY))


@cache
def _ends() -> tuple[int, ...]:
    """Where the next limit begins among least keys, so that groups just above the least one meet all limits
    about equally often: of n people the least key is above a share t of all keys with a chance of (1-t)**n.
    """
    apart, size = load().apart, load().least + 1
    return tuple(int(NO_KEY * (1 - (1 - step / (apart + 1)) ** (1 / size))) for step in range(1, apart + 1))


def key_of(person: UUID | str) -> int:
    """A number below NO_KEY that nobody can guess without the secret of the practice's server."""
    secret = _secret(settings.SECRET_KEY)
    digest = hashlib.blake2b(str(person).encode(), digest_size=4, key=secret).digest()
    return int.from_bytes(digest)


@lru_cache(maxsize=1)
def _secret(of_server: str) -> bytes:
    return hashlib.sha256(f"review {of_server}".encode()).digest()
