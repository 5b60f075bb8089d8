"""The courses of the invented patients, written beside the server after the first start of the demo practice.

They take some five minutes, for every signed visit makes its papers; nobody waits for that. What is left of
them when the server stops is written after the next start: the file TO_WRITE stands until all of it is.
"""

import fcntl
import os
import subprocess
import sys
import traceback
from pathlib import Path

TO_WRITE, LOG, LOCK = "courses-to-write", "courses.log", "courses.lock"
WORDS = "The courses of twelve invented patients are being written, one after the other: some five minutes."
# The server comes first.
NICE = 10


def want(data: Path) -> None:
    """They belong to the demo practice that was just made. TAUTLINE_COURSES=no: not wanted."""
    if os.environ.get("TAUTLINE_COURSES") != "no":
        (data / TO_WRITE).touch()


def are_left(data: Path) -> bool:
    return (data / TO_WRITE).exists() and os.environ.get("TAUTLINE_COURSES") != "no"


def begin(data: Path) -> None:
    """Write what is left, in a process of its own that ends with the server which this process becomes."""
    command = [sys.executable, "-m", "clinic.courses", str(data), str(os.getpid())]
    subprocess.run(command, check=False)  # noqa: S603 - our own module; it goes on behind its own back


def main(data: Path, server: int) -> None:
    """No child of the server's, which takes every child of its own for a worker."""
    if os.fork():
        os._exit(0)
    os.setsid()
    os.nice(NICE)
    with (data / LOG).open("a") as log, (data / LOCK).open("w") as lock:
        for stream in (1, 2):
            os.dup2(log.fileno(), stream)
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            print("Somebody else is writing them already.", flush=True)
            return
        try:
            write(data, server)
        except Exception:  # noqa: BLE001 - nobody is there to catch it; the next start tries again
            traceback.print_exc()


def write(data: Path, server: int) -> None:
    """Until all of them stand, or the server is gone."""
    import django

    django.setup()
    from charting.management import courses

    def say(words: str) -> None:
        print(words, flush=True)

    courses.write_all(say, go_on=lambda: is_running(server))
    if courses.left():
        say("The server stopped; the rest is written after the next start.")
    else:
        (data / TO_WRITE).unlink(missing_ok=True)
        say("All courses are written.")


def is_running(process: int) -> bool:
    try:
        os.kill(process, 0)
    except OSError:
        return False
    return True


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
