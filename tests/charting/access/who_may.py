"""The table of who may use what, read and checked: who_may.txt beside this."""

from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("who_may.txt")
WHO = ("owner", "clinician", "trainee", "desk", "auditor", "site", "elsewhere", "nobody")
LET_IN, SIGN_IN = "yes", "sign-in"
ANSWERS = (LET_IN, "403", "404", SIGN_IN)
Key = tuple[str, str]


@dataclass(frozen=True)
class Table:
    """For each address and verb, in the order of the file: what becomes of each of WHO."""

    rows: dict[Key, tuple[str, ...]]

    def answer(self, name: str, verb: str, who: str) -> str:
        """One of ANSWERS. Raises LookupError that says which line is missing."""
        if (name, verb) not in self.rows:
            raise LookupError(f"{FILE.name} has no line for: {name} {verb}")
        return self.rows[name, verb][WHO.index(who)]


@cache
def table() -> Table:
    return read(FILE.read_text(encoding="utf-8"))


def read(text: str) -> Table:
    """Raises ValueError that names the lines: one that is not whole, an unknown answer, an address twice."""
    lines = [line.split() for line in text.splitlines() if line.strip() and not line.startswith("#")]
    wrong = [" ".join(line) for line in lines if not _is_row(line)]
    twice = [name for name, times in Counter(tuple(line[:2]) for line in lines).items() if times > 1]
    if wrong or twice:
        raise ValueError(f"{FILE.name}: not to be read: {wrong}; more than once: {twice}")
    return Table({(name, verb): tuple(answers) for name, verb, *answers in lines})


def _is_row(line: list[str]) -> bool:
    verb, *answers = line[1:]
    return verb in ("GET", "POST") and len(answers) == len(WHO) and all(each in ANSWERS for each in answers)
