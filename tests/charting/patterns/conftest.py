"""The cast of the chart, and mara with the right to write patterns."""

import pytest

from charting.staff.models import User


@pytest.fixture
def writer(mara) -> User:
    """Mara, to whom an owner has given the right."""
    User.objects.filter(pk=mara.pk).update(writes_patterns=True)
    mara.refresh_from_db()
    return mara
