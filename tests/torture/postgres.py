"""A PostgreSQL with its durable defaults (fsync, synchronous_commit, full_page_writes) and data checksums,
which can be killed and started again. On a socket of its own, no network address.
"""

import os
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from tests.cluster import PORT, _give_away, binaries

PATIENCE = 120.0


class Database:
    """One cluster in one folder."""

    def __init__(self, folder: Path) -> None:
        programs = binaries()
        if programs is None:
            raise FileNotFoundError("PostgreSQL's initdb")
        self.programs, self.folder, self.data = programs, folder, folder / "data"
        self.owner = _give_away(folder)
        self.url = f"postgres://postgres@/postgres?host={folder}&port={PORT}"
        self.process: subprocess.Popen[bytes] | None = None

    def make(self) -> None:
        words = ["-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--data-checksums"]
        command = [str(self.programs / "initdb"), "-D", str(self.data), *words]
        subprocess.run(command, check=True, cwd=self.folder, user=self.owner, stdout=subprocess.DEVNULL)

    def start(self) -> None:
        """Returns once it takes connections, recovered. Starts it again while what was killed is still going.

        Raises TimeoutError.
        """
        ends = time.monotonic() + PATIENCE
        while time.monotonic() < ends:
            self._begin()
            while self.process and self.process.poll() is None and time.monotonic() < ends:
                if self._is_ready():
                    return
                time.sleep(0.02)
        raise TimeoutError(f"PostgreSQL did not start: {self.log.read_text()[-2000:]}")

    @property
    def log(self) -> Path:
        return self.folder / "postgres.log"

    def kill(self, *, all_of_it: bool) -> None:
        """kill -9 of the postmaster, and of every process it began where `all_of_it`."""
        if self.process is None:
            return
        below = _children(self.process.pid)
        self.process.kill()
        for each in below if all_of_it else ():
            with suppress(ProcessLookupError):
                os.kill(each, signal.SIGKILL)
        self.process.wait()

    def stop(self) -> None:
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            self.process.wait(timeout=60)

    def _begin(self) -> None:
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                [str(self.programs / "postgres"), "-D", str(self.data), "-k", str(self.folder), "-p", PORT]
                + ["-c", "listen_addresses="],
                cwd=self.folder,
                user=self.owner,
                stdout=log,
                stderr=log,
            )

    def _is_ready(self) -> bool:
        command = [str(self.programs / "pg_isready"), "-q", "-h", str(self.folder), "-p", PORT]
        return subprocess.run(command, check=False).returncode == 0


def _children(pid: int) -> list[int]:
    told = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    return [int(each) for each in told.split()]


@contextmanager
def running(at: Path | None = None) -> Iterator[Database]:
    """Made and started in a folder of its own at `at`; stopped and removed whatever happens."""
    # Not under $TMPDIR: a socket's path may have 107 characters at most.
    with tempfile.TemporaryDirectory(prefix="tautline-pg-", dir=at or "/tmp") as name:  # noqa: S108
        database = Database(Path(name))
        database.make()
        database.start()
        try:
            yield database
        finally:
            database.stop()
