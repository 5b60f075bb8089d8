"""kill -9 of PostgreSQL under writing tablets, again and again: nothing that was acknowledged is lost.

`python -m tests.torture.kill_database [kills] [strokes]`. Every other time all its processes are killed with
the postmaster. The server of the practice goes on, and has to find its way back.
"""

import random
import sys
import time

from tests.torture import held, postgres
from tests.torture.kill import KILLS, MINUTES, STROKES, TABLETS, enough, tell_of_the_end, wait_for
from tests.torture.practice import boards, folder_of_its_own, gather_static, place
from tests.torture.served import Server
from tests.torture.tablets import STROKES_PER_BOARD, Kept, switched_off, switched_on
from tests.torture.told import Told


def main(kills: int = KILLS, strokes: int = STROKES) -> int:
    told = Told()
    with postgres.running(place()) as database, folder_of_its_own(database.url) as folder:
        gather_static()
        kept, server = Kept(), Server(folder / "server.log")
        server.start()
        made = boards(2 * strokes // STROKES_PER_BOARD + 2 * TABLETS)
        told.so_far("practice, server and boards stand")
        tablets = switched_on(TABLETS, server.port, made, kept)
        try:
            rounds = _rounds(told, database, kept, kills, strokes)
        finally:
            switched_off(tablets)
            server.kill()
        _tell(told, kept, rounds, kills, strokes)
        tell_of_the_end(told, kept, tablets)
    return told.end()


def _rounds(told: Told, database: postgres.Database, kept: Kept, kills: int, strokes: int) -> list[str]:
    """Kill and start; what was missing after each kill ("" for nothing)."""
    dice = random.Random(9)
    found: list[str] = []
    ends = time.monotonic() + MINUTES * 60
    while len(found) < kills and time.monotonic() < ends:
        wanted = strokes * (len(found) + 1) // kills
        wait_for(lambda: len(kept.acknowledged) >= wanted, ends)  # noqa: B023 - called here and now
        time.sleep(dice.uniform(0, 0.1))
        database.kill(all_of_it=len(found) % 2 == 0)
        with kept.lock:
            known = dict(kept.acknowledged)
        database.start()
        found.append(_missing(known))
        if not len(found) % 20:
            told.so_far(f"{len(found)} kills, {len(kept.acknowledged):,} strokes acknowledged")
    return found


def _missing(known: dict[str, str]) -> str:
    from django.db import connections

    try:
        gone = held.missing(known, held.stored())
    finally:
        connections.close_all()
    return "" if gone.none else f"{len(gone.lost)} lost, {len(gone.changed)} changed"


def _tell(told: Told, kept: Kept, rounds: list[str], kills: int, strokes: int) -> None:
    wrong = [each for each in rounds if each]
    told.figure(f"{len(rounds)} times kill -9 of PostgreSQL, {TABLETS} tablets drawing")
    told.promise(f"{kills} kills were made", len(rounds) == kills)
    told.promise(f"after each of them all that was acknowledged was there {wrong[:3] or ''}", not wrong)
    told.promise(
        f"{len(kept.acknowledged):,} strokes acknowledged (at least {strokes:,})", enough(kept, strokes)
    )


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
