"""What every test may lean on. Data is made by the tests' own cast, not here."""

import pytest
from django.db import connection
from django.db.backends.base.operations import BaseDatabaseOperations

from tests import guards, longest


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: longest.place(item.path))
    if connection.vendor == "postgresql":
        _leave_out(config, items)
    for item in items:
        if item.get_closest_marker("postgres") and connection.vendor != "postgresql":
            item.add_marker(pytest.mark.skip(reason="only means something on PostgreSQL"))


def _leave_out(config: pytest.Config, items: list[pytest.Item]) -> None:
    """What never asks for a database was tested beside the embedded file, and is the same on any other."""
    config.hook.pytest_deselected(items=[item for item in items if not _asks_for_a_database(item)])
    items[:] = [item for item in items if _asks_for_a_database(item)]


def _asks_for_a_database(item: pytest.Item) -> bool:
    fixtures = {"db", "transactional_db"} & set(getattr(item, "fixturenames", ()))
    marks = ("django_db", "postgres")
    return bool(fixtures) or any(item.get_closest_marker(mark) for mark in marks)


@pytest.fixture(autouse=True, scope="session")
def _emptying_between_tests() -> None:
    """Tests with real commits (transaction=True) end with an emptied database, append-only tables too."""
    BaseDatabaseOperations.execute_sql_flush = guards.allow_emptying(BaseDatabaseOperations)
