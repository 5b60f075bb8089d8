"""No room left: nothing is said to be kept that is not, the words are clear, and all is readable after.

`python -m tests.torture.full_disk`. The data of a practice (SQLite) lies on a small tmpfs of its own.
Mounting one needs root: where that is not permitted, it says so and fails.
"""

import http.client
import json
import os
import queue
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.torture import held
from tests.torture.kill import tell_of_the_end, wrong_with
from tests.torture.practice import boards, folder_of_its_own, gather_static
from tests.torture.served import Server
from tests.torture.tablets import Kept, Tablet
from tests.torture.told import Told

MEGABYTES = 48
TABLETS = 4
FULL_ANSWERS = 40
SECONDS = 90
WORDS = b"no room left"


@contextmanager
def small_disk() -> Iterator[Path]:
    """Raises CalledProcessError where mounting is refused."""
    with tempfile.TemporaryDirectory(prefix="tautline-disk-") as name:
        words = ["-t", "tmpfs", "-o", f"size={MEGABYTES}m,mode=700", "tmpfs", name]
        subprocess.run(["mount", *words], check=True, capture_output=True)
        try:
            yield Path(name)
        finally:
            subprocess.run(["umount", "--lazy", name], check=True)


def main() -> int:
    told = Told()
    try:
        with small_disk() as disk:
            _run(told, disk)
    except (OSError, subprocess.CalledProcessError) as problem:
        told.promise(f"a small disk could be made here ({problem})", False)
    return told.end()


def _run(told: Told, disk: Path) -> None:
    with folder_of_its_own(at=disk) as folder:
        gather_static()
        kept, server = Kept(), Server(folder / "server.log")
        server.start()
        made = boards(60)
        ballast = disk / "ballast"
        tablets = _draw_until_full(told, disk, ballast, kept, server, made)
        try:
            _tell_while_full(told, kept, server, tablets)
            known = dict(kept.acknowledged)
            ballast.unlink()
            _tell_with_room_again(told, kept, len(known))
        finally:
            for tablet in tablets:
                tablet.stop.set()
            for tablet in tablets:
                tablet.join(timeout=30)
            server.kill()
        wrong = wrong_with(folder / "tautline.sqlite3", dict(kept.acknowledged))
        told.promise(f"the file is whole and holds all that was acknowledged {wrong}", not wrong)
        tell_of_the_end(told, kept, tablets)


def _draw_until_full(told, disk, ballast, kept, server, made) -> list[Tablet]:  # type: ignore[no-untyped-def]
    """Tablets draw, then a large file takes the room that is left but for a little."""
    waiting: queue.Queue = queue.Queue()
    for each in made:
        waiting.put(each)
    tablets = [Tablet(number, server.port, waiting, kept) for number in range(TABLETS)]
    for tablet in tablets:
        tablet.start()
    _wait(lambda: len(kept.acknowledged) > 200)
    free = os.statvfs(disk)
    room = free.f_bavail * free.f_frsize
    with ballast.open("wb") as file:
        file.write(b"\0" * max(0, room - 256 * 1024))
    told.figure(f"a disk of {MEGABYTES} MB (tmpfs), filled while {TABLETS} tablets draw")
    return tablets


def _wait(holds) -> None:  # type: ignore[no-untyped-def]
    ends = time.monotonic() + SECONDS
    while not holds() and time.monotonic() < ends:
        time.sleep(0.02)


def refusals(kept: Kept) -> int:
    return sum(count for status, count in kept.answers.items() if status >= 500)


def _tell_while_full(told: Told, kept: Kept, server: Server, tablets: list[Tablet]) -> None:
    _wait(lambda: refusals(kept) >= FULL_ANSWERS)
    told.promise(
        f"{refusals(kept)} answers said that nothing was saved (at least {FULL_ANSWERS})",
        refusals(kept) >= FULL_ANSWERS,
    )
    unclear = [status for status in kept.answers if status >= 500 and status != 507]
    told.promise(f"all of them with 507 Insufficient Storage (RFC 4918, 11.5) {unclear or ''}", not unclear)
    known = dict(kept.acknowledged)
    gone = held.missing(known, held.stored())
    told.promise(f"all {len(known):,} acknowledged strokes are in the file that is full", gone.none)
    status, page = _ask(server, tablets[0], "/board/save/", json.dumps({"events": [], "waiting": 1}))
    told.figure(f"a save with nothing in it: {status}")
    status, page = _ask(server, tablets[0], "/sign-in/", "username=mara&password=wrong")
    told.promise(f"a page says so in plain words ({status})", status == 507 and WORDS in page)


def _ask(server: Server, tablet: Tablet, path: str, body: str) -> tuple[int, bytes]:
    line = http.client.HTTPConnection("127.0.0.1", server.port, timeout=30)
    token = tablet.cookies.get("csrf", "")
    head = {"Cookie": f"csrf={token}; board={tablet.cookies['board']}", "X-CSRFToken": token}
    kind = "application/json" if body.startswith("{") else "application/x-www-form-urlencoded"
    line.request("POST", path, body, {**head, "Content-Type": kind})
    answer = line.getresponse()
    told = answer.status, answer.read()
    line.close()
    return told


def _tell_with_room_again(told: Told, kept: Kept, before: int) -> None:
    _wait(lambda: len(kept.acknowledged) > before + 200)
    more = len(kept.acknowledged) - before
    told.promise(f"with room again the tablets go on by themselves: {more:,} more strokes", more > 200)


if __name__ == "__main__":
    sys.exit(main())
