"""How long a record is kept: read from periods.toml, with its sources."""

import tomllib
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path

FILE = Path(__file__).parent / "periods.toml"


@dataclass(frozen=True)
class Periods:
    """Whole years: after the last entry, and after coming of age at `majority`."""

    adult_years: int
    minor_years: int
    majority: int

    def due_on(self, born: date, last_entry: date) -> date:
        """The first day on which the record may go: the later of the two."""
        of_age = _years_after(born, self.majority)
        return max(
            _years_after(last_entry, self.adult_years),
            _years_after(of_age, self.minor_years),
        )

    def longer(self, adult_years: int | None, minor_years: int | None) -> "Periods":
        """The same with longer periods. Raises ValueError for a shorter one."""
        adult, minor = adult_years or self.adult_years, minor_years or self.minor_years
        if adult < self.adult_years or minor < self.minor_years:
            raise ValueError(
                f"Records are kept at least {self.adult_years} years after the last entry and "
                f"{self.minor_years} after coming of age (charting/retention/periods.toml)."
            )
        return replace(self, adult_years=adult, minor_years=minor)


@cache
def load() -> Periods:
    return Periods(**tomllib.loads(FILE.read_text(encoding="utf-8"))["periods"])


def _years_after(day: date, years: int) -> date:
    """The same day so many years later; for 29 February, 1 March."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 3, 1)
