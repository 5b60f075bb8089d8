"""What a section of the page of rules is made of."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Told:
    """One rule as a person reads it: what it is called, `lines` of (what, words), who says so."""

    id: str
    title: str
    lines: tuple[tuple[str, str], ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Section:
    """Rules of one kind. `file`: where they are written."""

    id: str
    title: str
    about: str
    file: str
    version: str
    rules: tuple[Told, ...]

    def counted(self, status: str) -> int:
        """How many of the rules name a source of this status."""
        return sum(any(f"({status})" in source for source in rule.sources) for rule in self.rules)

    @property
    def checked(self) -> int:
        return self.counted("checked")

    @property
    def from_memory(self) -> int:
        return self.counted("from memory")

    @property
    def practice(self) -> int:
        return self.counted("common practice")


def cited(*sources: tuple[str, str]) -> tuple[str, ...]:
    """Each (source, status) once, as the page reads it: "work (checked)"."""
    return tuple(dict.fromkeys(f"{source} ({status})" for source, status in sources))
