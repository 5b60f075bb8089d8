"""The practice review read from a copy that PostgreSQL's own streaming replication keeps.

`python -m tests.machines.replica`. The copy is made with pg_basebackup and follows by a socket file; then it
is held back, and killed, and each time the review is still answered.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.torture import postgres
from tests.torture.practice import folder_of_its_own, gather_static, place
from tests.torture.told import Told


@contextmanager
def following(first: postgres.Database) -> Iterator[postgres.Database]:
    """A copy in a folder of its own: base backup, standby.signal, streaming."""
    with tempfile.TemporaryDirectory(prefix="tautline-pg-", dir=place() or "/tmp") as name:  # noqa: S108
        copy = postgres.Database(Path(name))
        source = f"host={first.folder} port={postgres.PORT} user=postgres"
        words = ["-D", str(copy.data), "-d", source, "-R", "-X", "stream", "-c", "fast"]
        program = str(copy.programs / "pg_basebackup")
        subprocess.run([program, *words], check=True, cwd=copy.folder, user=copy.owner)
        assert (copy.data / "standby.signal").exists()
        copy.start()
        try:
            yield copy
        finally:
            copy.stop()


def main() -> int:
    told = Told()
    with postgres.running(place()) as first, following(first) as copy:
        os.environ["DATABASE_URL"] = first.url
        with folder_of_its_own(first.url), _with_copy(copy.url):
            gather_static()
            _try(told, copy)
    return told.end()


@contextmanager
def _with_copy(url: str) -> Iterator[None]:
    """As TAUTLINE_REPLICA_URL does it at the start of a server."""
    from django.db import connections, router

    from clinic.database import from_url
    from clinic.replicas import ReviewFromCopy

    connections.settings["replica"] = connections.configure_settings(
        {"default": connections.settings["default"], "replica": from_url(url, Path())}
    )["replica"]
    router.routers = [ReviewFromCopy()]
    try:
        yield
    finally:
        connections.close_all()


def _try(told: Told, copy: postgres.Database) -> None:
    from django.db import connections
    from django.test import Client

    from charting.review import copy as from_copy
    from tests.charting import recorded

    vera = recorded.member(recorded.practice(), "vera", role="owner")
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(vera)
    _until(from_copy.is_near)
    here, there = _asked(client)
    told.figure(f"the copy follows: {here} questions to the first database, {there} to the copy")
    told.promise("the review is read from the copy", there > 5)
    with connections["replica"].cursor() as cursor:
        cursor.execute("SELECT pg_is_in_recovery()")
        told.promise("the copy takes no writes", cursor.fetchone()[0])
        cursor.execute("SELECT pg_wal_replay_pause()")
    from_copy.MOST_BEHIND *= 0
    _look_written_down(client)
    _, there = _asked(client)
    told.promise("held back, it is asked how far it is and nothing else", there <= 1)
    copy.kill(all_of_it=True)
    connections["replica"].close()
    _, there = _asked(client)
    told.promise("killed, it is asked nothing, and the page stands", there == 0)


def _look_written_down(client) -> None:
    assert client.get("/").status_code == 200
    assert client.get("/review/").status_code == 200


def _asked(client) -> tuple[int, int]:
    """How many questions one look at the review put to either database. Raises unless it was answered."""
    from django.db import connections

    counts = {"default": 0, "replica": 0}

    def counting(alias: str) -> Callable:
        def count(execute, sql, params, many, context):
            counts[alias] += 1
            return execute(sql, params, many, context)

        return count

    with (
        connections["default"].execute_wrapper(counting("default")),
        connections["replica"].execute_wrapper(counting("replica")),
    ):
        answer = client.get("/review/")
    assert answer.status_code == 200, answer.status_code
    return counts["default"], counts["replica"]


def _until(reached: Callable[[], bool]) -> None:
    ends = time.monotonic() + 60
    while not reached() and time.monotonic() < ends:
        time.sleep(0.05)


if __name__ == "__main__":
    sys.exit(main())
