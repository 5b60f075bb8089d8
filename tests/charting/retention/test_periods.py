"""How long a record is kept. Dates worked by hand; the periods are those of periods.toml (sources there)."""

from datetime import date

import pytest

from charting.retention.periods import Periods, load

TEN = Periods(adult_years=10, minor_years=10, majority=18)


@pytest.mark.parametrize(
    ("born", "last", "due"),
    [
        (date(1978, 5, 3), date(2014, 6, 30), date(2024, 6, 30)),
        # Twelve at the last visit: of age in 2020, ten years more.
        (date(2002, 5, 3), date(2014, 6, 30), date(2030, 5, 3)),
        # Of age already: the last entry counts.
        (date(1990, 5, 3), date(2014, 6, 30), date(2024, 6, 30)),
        (date(1980, 1, 1), date(2012, 2, 29), date(2022, 3, 1)),
    ],
)
def test_a_record_is_kept_until_the_later_of_two_days(born, last, due):
    assert TEN.due_on(born, last) == due


def test_periods_may_be_longer_and_never_shorter():
    assert load().longer(30, None).adult_years == 30
    with pytest.raises(ValueError, match="at least"):
        load().longer(1, None)
