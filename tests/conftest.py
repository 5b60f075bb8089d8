"""What every test may lean on. Data is made by the tests' own cast, not here."""

import pytest
from django.db import connection
from django.db.backends.base.operations import BaseDatabaseOperations

from tests import guards


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.get_closest_marker("postgres") and connection.vendor != "postgresql":
            item.add_marker(pytest.mark.skip(reason="only means something on PostgreSQL"))


@pytest.fixture(autouse=True, scope="session")
def _emptying_between_tests() -> None:
    """Tests with real commits (transaction=True) end with an emptied database, append-only tables too."""
    BaseDatabaseOperations.execute_sql_flush = guards.allow_emptying(BaseDatabaseOperations)
