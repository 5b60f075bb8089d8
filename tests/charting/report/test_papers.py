"""Times in words."""

from datetime import UTC, date, datetime

import pytest
from django.utils import translation

from charting.report.papers import day, moment


@pytest.mark.parametrize(
    ("at", "zone", "words"),
    [
        ("2026-07-01 12:00", "UTC", "1 July 2026, 12:00 UTC"),
        ("2026-07-01 12:00", "Europe/Zurich", "1 July 2026, 14:00 CEST (UTC+02:00, Europe/Zurich)"),
        ("2026-01-01 02:00", "America/New_York", "31 December 2025, 21:00 EST (UTC-05:00, America/New_York)"),
        ("2026-01-01 02:00", "Asia/Kolkata", "1 January 2026, 07:30 IST (UTC+05:30, Asia/Kolkata)"),
        # The hour that comes twice, when summer time ends.
        ("2026-10-25 00:30", "Europe/Zurich", "25 October 2026, 02:30 CEST (UTC+02:00, Europe/Zurich)"),
        ("2026-10-25 01:30", "Europe/Zurich", "25 October 2026, 02:30 CET (UTC+01:00, Europe/Zurich)"),
    ],
)
def test_it_tells_a_time_with_its_zone(at, zone, words):
    assert moment(datetime.fromisoformat(at).replace(tzinfo=UTC), zone) == words


def test_it_writes_the_same_day_in_every_language():
    with translation.override("de"):
        assert day(date(2026, 3, 1)) == "1 March 2026"
