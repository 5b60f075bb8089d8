"""The sources a note leans on: each once, numbered in the order they are first named."""

from dataclasses import dataclass, field

from bodymaps.words import sentence_case


@dataclass
class Sources:
    """Collects while a note is put together."""

    _numbers: dict[str, int] = field(default_factory=dict)

    def number(self, source: str, status: str = "") -> int:
        """The number of a source, counted from 1. `status` says whether it was checked, "" when unknown."""
        said = f"{source} ({status})" if status and status not in source else source
        return self._numbers.setdefault(sentence_case(said), len(self._numbers) + 1)

    def listed(self) -> list[str]:
        """Every source in the order of the numbers."""
        return list(self._numbers)
