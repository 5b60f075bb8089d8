"""Three servers on one PostgreSQL behind a proxy, one killed while tablets draw and a clinician reads.

`python -m tests.machines.three [strokes]`. Nothing acknowledged is lost, and nobody meets an error beyond the
requests that were on their way at that moment.
"""

import http.client
import sys
import threading
import time

from tests.machines import proxy
from tests.torture import held, postgres
from tests.torture.practice import boards, folder_of_its_own, gather_static, place
from tests.torture.served import Server
from tests.torture.tablets import STROKES_PER_BOARD, Kept, switched_off, switched_on
from tests.torture.told import Told

SERVERS, TABLETS, STROKES = 3, 8, 6_000
MINUTES = 4.0


class Reader(threading.Thread):
    """A clinician who opens charts, each on whichever server comes next."""

    def __init__(self, port: int, session: str, pages: list[str]) -> None:
        super().__init__(daemon=True)
        self.port, self.session, self.pages = port, session, pages
        self.answers: dict[int, int] = {}
        self.stop = threading.Event()

    def run(self) -> None:
        turn = 0
        while not self.stop.is_set():
            line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
            try:
                line.request("GET", self.pages[turn % len(self.pages)], headers={"Cookie": self.session})
                status = line.getresponse().status
            except (OSError, http.client.HTTPException):
                status = 0
            finally:
                line.close()
            self.answers[status] = self.answers.get(status, 0) + 1
            turn += 1


def main(strokes: int = STROKES) -> int:
    told = Told()
    with postgres.running(place()) as database, folder_of_its_own(database.url) as folder:
        gather_static()
        servers = [Server(folder / f"server-{number}.log") for number in range(SERVERS)]
        try:
            for server in servers:
                server.start()
            _work(told, servers, strokes)
        finally:
            for server in servers:
                server.kill()
    return told.end()


def _work(told: Told, servers: list[Server], strokes: int) -> None:
    kept = Kept()
    made = boards(2 * strokes // STROKES_PER_BOARD + 2 * TABLETS)
    with proxy.before([server.port for server in servers]) as (port, shared):
        reader = Reader(port, *_clinician([board.visit_id for board in made]))
        tablets = switched_on(TABLETS, port, made, kept)
        reader.start()
        try:
            _until(lambda: len(kept.acknowledged) >= strokes // 2)
            at_the_kill = len(kept.acknowledged)
            servers[1].kill()
            _until(lambda: len(kept.acknowledged) >= strokes)
        finally:
            reader.stop.set()
            switched_off(tablets)
            reader.join(timeout=40)
    _tell(told, kept, reader, shared, at_the_kill)
    told.promise(f"at least {strokes:,} strokes were acknowledged", len(kept.acknowledged) >= strokes)


def _clinician(visits: list) -> tuple[str, list[str]]:
    """A session of somebody signed in, and the charts she opens."""
    from django.conf import settings
    from django.db import connections
    from django.test import Client

    from charting.staff.models import User

    client = Client()
    client.force_login(User.objects.get(username="mara"))
    cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
    connections.close_all()
    return f"{settings.SESSION_COOKIE_NAME}={cookie}", [f"/visits/{visit}/" for visit in visits]


def _until(reached, minutes: float = MINUTES) -> None:
    ends = time.monotonic() + 60 * minutes
    while not reached() and time.monotonic() < ends:
        time.sleep(0.02)


def _tell(told: Told, kept: Kept, reader: Reader, shared: proxy.Shared, at_the_kill: int) -> None:
    from django.db import connections

    gone = held.missing(kept.acknowledged, held.stored())
    connections.close_all()
    seconds = sorted(kept.seconds)
    told.figure(f"{SERVERS} servers, {TABLETS} tablets, one reader; one killed after {at_the_kill:,} strokes")
    told.figure(
        f"answers to tablets {kept.answers}, to the reader {reader.answers}, by server {shared.answered}"
    )
    told.figure(f"{shared.asked_again} went to another server, {shared.given_up} were cut in flight")
    told.figure(f"saves: median {1000 * seconds[len(seconds) // 2]:.0f} ms, p95 {_p95(seconds):.0f} ms")
    told.promise(f"none of {len(kept.acknowledged):,} acknowledged strokes is lost or changed", gone.none)
    # Threads of two workers: no more can have been in its hands.
    told.promise("no more were cut than one server can hold", shared.given_up <= 8)
    told.promise("tablets met no other error", set(kept.answers) <= {200, 302, 502})
    told.promise("the reader met no error at all", set(reader.answers) == {200})
    told.promise("both that were left went on", sum(count > 0 for count in shared.answered.values()) == 3)


def _p95(seconds: list[float]) -> float:
    return 1000 * seconds[int(0.95 * (len(seconds) - 1))]


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
