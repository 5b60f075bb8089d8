"""The real server in a process group of its own, started and killed as often as one likes."""

import http.client
import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

from tests.test_start import free_port

ROOT = Path(__file__).resolve().parent.parent.parent
GUNICORN = ["-m", "gunicorn", "--config", "python:tests.torture.server", "clinic.wsgi"]
PATIENCE = 60.0


class Server:
    """gunicorn with its workers, on loopback."""

    def __init__(self, log: Path) -> None:
        self.port = int(free_port())
        self.log = log
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Returns once it answers. Raises TimeoutError, with what it said, when it does not."""
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, *GUNICORN],
                cwd=ROOT,
                env={**os.environ, "PORT": str(self.port)},
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        ends = time.monotonic() + PATIENCE
        while not self._answers():
            if self.process.poll() is not None or time.monotonic() > ends:
                self.kill()
                raise TimeoutError(f"the server did not start: {self.log.read_text()[-2000:]}")
            time.sleep(0.02)

    def kill(self) -> None:
        """kill -9 of the master and all its workers, at once."""
        if self.process is not None:
            with suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            self.process = None

    def _answers(self) -> bool:
        try:
            line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
            line.request("GET", "/healthz")
            return line.getresponse().status == 200
        except (OSError, http.client.HTTPException):
            return False
        finally:
            line.close()
