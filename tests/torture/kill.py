"""kill -9 of the whole server under writing tablets, again and again: nothing that was acknowledged is lost.

`python -m tests.torture.kill [kills] [strokes]`. SQLite as a practice runs it (WAL, synchronous FULL). What
it does not prove: a power cut. The operating system outlives the server here and writes what it still holds.
"""

import random
import sqlite3
import sys
import time
from pathlib import Path

from tests.torture import held
from tests.torture.practice import boards, folder_of_its_own, gather_static, place
from tests.torture.served import Server
from tests.torture.tablets import STROKES_PER_BOARD, Kept, Tablet, switched_off, switched_on
from tests.torture.told import Told, percentile

KILLS, STROKES = 200, 50_000
TABLETS = 8
MINUTES = 40  # A hand-over lasts 45.


def main(kills: int = KILLS, strokes: int = STROKES) -> int:
    told = Told()
    with folder_of_its_own(at=place()) as folder:
        gather_static()
        kept = Kept()
        server = Server(folder / "server.log")
        told.so_far("the practice stands")
        server.start()
        # Twice as many boards as the strokes fill: tablets never wait for one.
        told.so_far("the server stands")
        made = boards(2 * strokes // STROKES_PER_BOARD + 2 * TABLETS)
        told.so_far("the boards are handed over")
        tablets = switched_on(TABLETS, server.port, made, kept)
        try:
            rounds = _rounds(told, server, folder, kept, kills, strokes)
        finally:
            switched_off(tablets)
            server.kill()
        _tell(told, kept, rounds, kills, strokes)
        tell_of_the_end(told, kept, tablets)
    return told.end()


def _rounds(told: Told, server: Server, folder: Path, kept: Kept, kills: int, strokes: int) -> list[str]:
    """Kill and start; what was wrong with the file after each kill ("" for nothing)."""
    dice = random.Random(9)
    found: list[str] = []
    ends = time.monotonic() + MINUTES * 60
    while len(found) < kills and time.monotonic() < ends:
        wanted = strokes * (len(found) + 1) // kills
        wait_for(lambda: len(kept.acknowledged) >= wanted, ends)  # noqa: B023 - called here and now
        time.sleep(dice.uniform(0, 0.1))
        server.kill()
        with kept.lock:
            known = dict(kept.acknowledged)
        found.append(wrong_with(folder / "tautline.sqlite3", known))
        server.start()
        if not len(found) % 20:
            told.so_far(f"{len(found)} kills, {len(kept.acknowledged):,} strokes acknowledged")
    return found


def wait_for(holds: object, ends: float) -> None:
    while not holds() and time.monotonic() < ends:  # type: ignore[operator]
        time.sleep(0.005)


def wrong_with(file: Path, known: dict[str, str]) -> str:
    """Opens the file as the killed server left it: is it whole, is every acknowledged stroke in it?"""
    line = sqlite3.connect(file)
    try:
        integrity = line.execute("PRAGMA integrity_check").fetchone()[0]
        foreign = line.execute("PRAGMA foreign_key_check").fetchall()
        rows = dict(line.execute("SELECT event_id, body_sha256 FROM charting_storedstroke"))
    finally:
        line.close()
    gone = held.missing({name.replace("-", ""): sha256 for name, sha256 in known.items()}, rows)
    if integrity != "ok" or foreign:
        return f"integrity {integrity}, {len(foreign)} broken keys"
    return "" if gone.none else f"{len(gone.lost)} lost, {len(gone.changed)} changed"


def _tell(told: Told, kept: Kept, rounds: list[str], kills: int, strokes: int) -> None:
    wrong = [each for each in rounds if each]
    told.figure(f"{len(rounds)} times kill -9 of the server with its workers, {TABLETS} tablets drawing")
    told.promise(f"{kills} kills were made", len(rounds) == kills)
    told.promise(
        f"after each of them the file was whole and held all that was acknowledged {wrong[:3] or ''}",
        not wrong,
    )
    told.promise(
        f"{len(kept.acknowledged):,} strokes acknowledged (at least {strokes:,})", enough(kept, strokes)
    )


def enough(kept: Kept, strokes: int) -> bool:
    return len(kept.acknowledged) >= strokes


def tell_of_the_end(told: Told, kept: Kept, tablets: list[Tablet]) -> None:
    """Everything once more at the end, by whole content, and the trail."""
    rows = held.stored()
    gone = held.missing(kept.acknowledged, rows)
    told.promise(
        f"0 of {len(kept.acknowledged):,} acknowledged strokes lost: {len(gone.lost)}", not gone.lost
    )
    unlike = held.points_differ(rows) + len(gone.changed)
    told.promise(f"0 strokes whose points are not those that were drawn: {unlike}", not unlike)
    told.promise(f"no stroke refused {kept.refused[:1] or ''}", not kept.refused)
    batches, told_of = held.drew_rows()
    told.promise(
        f"{batches:,} rows of the trail tell of them, {told_of:,} with those that were sent again",
        told_of >= len(rows),
    )
    wrong = held.chain_problems()
    told.promise(f"the chain of the trail is whole {wrong[:2] or ''}", not wrong)
    told.figure(f"requests cut off and sent again: {kept.cut:,}")
    told.figure(f"answers by status: {dict(sorted(kept.answers.items()))}")
    told.figure(
        f"a save takes {1000 * percentile(kept.seconds, 0.5):.0f} ms (half), "
        f"{1000 * percentile(kept.seconds, 0.95):.0f} ms (95 of 100), "
        f"{1000 * percentile(kept.seconds, 0.99):.0f} ms (99 of 100)"
    )


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
