"""A PostgreSQL server for the length of one test run: own folder, own socket, nothing left behind."""

import contextlib
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

PORT = "5499"  # only names the socket file inside our own folder; no network address is opened


def binaries() -> Path | None:
    """The newest PostgreSQL installed here: Debian keeps its server programs out of PATH."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda file: int(file.parts[-3]))
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


@contextlib.contextmanager
def running(*, durable: bool = False) -> Iterator[str]:
    """Start a cluster and yield its DATABASE_URL; stop it and remove it whatever happens. `durable`: what is
    committed reaches the disk, as in a practice.

    Raises FileNotFoundError without PostgreSQL, CalledProcessError when it does not start.
    """
    programs = binaries()
    if programs is None:
        raise FileNotFoundError("PostgreSQL's initdb")
    # Not under $TMPDIR: a socket's path may have 107 characters at most.
    with tempfile.TemporaryDirectory(prefix="tautline-pg-", dir="/tmp") as name:  # noqa: S108
        folder = Path(name)
        owner = _give_away(folder)
        _initialise(programs, folder, owner)
        server = subprocess.Popen(
            [str(programs / "postgres"), "-D", str(folder / "data"), "-k", name, "-p", PORT]
            + ["-c", "listen_addresses="]
            # Nothing here outlives the run, so nothing need reach the disk.
            + ([] if durable else ["-c", "fsync=off", "-c", "full_page_writes=off"]),
            cwd=name,
            user=owner,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        try:
            _wait(programs, name, server)
            yield f"postgres://postgres@/postgres?host={name}&port={PORT}"
        finally:
            server.send_signal(signal.SIGINT)  # PostgreSQL's fast way down: open connections are cut
            server.wait(timeout=30)


def _give_away(folder: Path) -> str | None:
    """PostgreSQL refuses to run as root: the folder then belongs to the user named here."""
    if os.geteuid():
        return None
    names = {user.pw_name for user in pwd.getpwall()}
    owner = "postgres" if "postgres" in names else "nobody"
    shutil.chown(folder, owner)
    return owner


def _initialise(programs: Path, folder: Path, owner: str | None) -> None:
    subprocess.run(
        [str(programs / "initdb"), "-D", str(folder / "data"), "-U", "postgres"]
        + ["-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync"],
        check=True,
        cwd=folder,
        user=owner,
        stdout=subprocess.DEVNULL,
    )


def _wait(programs: Path, socket_folder: str, server: "subprocess.Popen[bytes]") -> None:
    for _ in range(300):
        ready = subprocess.run(
            [str(programs / "pg_isready"), "-q", "-h", socket_folder, "-p", PORT], check=False
        )
        if ready.returncode == 0:
            return
        if server.poll() is not None:
            break
        time.sleep(0.1)
    raise subprocess.CalledProcessError(server.poll() or 1, "postgres")
