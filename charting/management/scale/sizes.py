"""How large a practice is made."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Sizes:
    """`drawings`: how many of the last visits have a drawing. `years`: how far back the visits reach."""

    patients: int = 50_000
    visits: int = 500_000
    drawings: int = 100_000
    clinicians: int = 20
    years: int = 10

    def __post_init__(self) -> None:
        """Raises ValueError that names what to mend."""
        if min(self.patients, self.visits, self.clinicians, self.years) < 1 or self.drawings < 0:
            raise ValueError("Each size is a whole number above nothing.")
        if self.visits < self.patients:
            raise ValueError("There is at least one visit for each person: --visits is too small.")
        if self.drawings > self.visits:
            raise ValueError("There is at most one drawing for each visit: --drawings is too large.")
