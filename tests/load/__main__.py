"""What many tablets and clinicians at once cost, on the embedded file and on PostgreSQL: `make load`.

SECONDS=60 for each database, TABLETS=200, CLINICIANS=20. Loopback only; everything made is removed again.
Prints a table, and writes out/load.json. Exit 1 when any request failed, or an acknowledged stroke is not in
the database.
"""

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import quantiles
from typing import Any

from tests import cluster
from tests.load.clients import Told, clinician, tablet

PASSWORD = "measured-practice-9"
OUT = Path("out/load.json")
KINDS = ("save", "chart", "day list", "search", "board", "sign in")


def main() -> int:
    sizes = {name: int(os.environ.get(name, usual)) for name, usual in
             (("SECONDS", 60), ("TABLETS", 200), ("CLINICIANS", 20))}  # fmt: skip
    print(f"{sizes['TABLETS']} tablets, {sizes['CLINICIANS']} clinicians, {os.cpu_count()} cores; ", end="")
    print(f"others on this machine keep {os.getloadavg()[0]:.1f} of them busy", flush=True)
    found = {"SQLite": _loaded("SQLite", "", sizes)}
    try:
        with cluster.running(durable=True) as url:
            found["PostgreSQL"] = _loaded("PostgreSQL", url, sizes)
    except FileNotFoundError:
        print("PostgreSQL is not installed here: SQLite alone was loaded.")
    OUT.parent.mkdir(exist_ok=True)
    OUT.write_text(json.dumps({"sizes": sizes, "found": found}, indent=1))
    return int(any(one["errors"] or one["lost"] for one in found.values()))


def _loaded(name: str, url: str, sizes: dict[str, int]) -> dict[str, Any]:
    with tempfile.TemporaryDirectory(prefix="tautline-load-") as folder:
        environment = _environment(folder, url)
        counts = [str(sizes["TABLETS"]), str(sizes["CLINICIANS"])]
        made = json.loads(
            _ran(["-m", "tests.load.practice", *counts, PASSWORD], environment).splitlines()[-1]
        )
        with _served(environment) as port:
            told, saved = _load(port, made, sizes)
        asked = "from charting.drawing.models import StoredStroke as S; "
        asked += "print(S.objects.filter(visit__signed_at=None).count())"
        kept = int(_ran(["manage.py", "shell", "-v", "0", "-c", asked], environment).split()[-1])
    found = {**_summed(told, sizes), "saved": saved, "kept": kept, "lost": max(0, saved - kept)}
    _print(name, found)
    return found


def _environment(folder: str, url: str) -> dict[str, str]:
    clean = {name: value for name, value in os.environ.items() if not name.startswith("TAUTLINE_")}
    clean |= {
        "TAUTLINE_DATA": folder,
        "TAUTLINE_SECRET_KEY": "only for the load, never for a practice, long enough",
    }
    clean |= {"PORT": str(_free_port()), "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "clinic.settings"}
    return clean


def _ran(words: list[str], environment: dict[str, str]) -> str:
    done = subprocess.run(
        [sys.executable, *words], env=environment, check=True, capture_output=True, text=True
    )
    return done.stdout


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@contextmanager
def _served(environment: dict[str, str]) -> Iterator[int]:
    words = [sys.executable, "-m", "gunicorn", "--config", "python:clinic.server", "clinic.wsgi"]
    server = subprocess.Popen(words, env=environment, stdout=subprocess.PIPE, text=True)
    try:
        for line in server.stdout or ():
            if "Stop it" in line:
                break
        # Each worker cuts the patterns up before it answers.
        for _ in range(2):
            _wait(int(environment["PORT"]))
        yield int(environment["PORT"])
    finally:
        server.send_signal(signal.SIGTERM)
        server.wait(timeout=30)


def _wait(port: int) -> None:
    """Until the server answers, two minutes at most. Raises OSError."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
    line.request("GET", "/sign-in/")
    line.getresponse().read()
    line.close()


def _load(port: int, made: dict[str, Any], sizes: dict[str, int]) -> tuple[Told, int]:
    told, until, saved = Told(), time.monotonic() + sizes["SECONDS"], _Count()
    crowd = [
        threading.Thread(target=tablet, args=(port, told, each, until, saved)) for each in made["tokens"]
    ]
    for number in range(1, sizes["CLINICIANS"] + 1):
        more = (port, told, made, f"clinician{number}", PASSWORD, until)
        crowd.append(threading.Thread(target=clinician, args=more))
    for one in crowd:
        one.start()
    for one in crowd:
        one.join()
    return told, saved.count


class _Count:
    """Counts from many threads."""

    def __init__(self) -> None:
        self.count, self._lock = 0, threading.Lock()

    def __call__(self) -> None:
        with self._lock:
            self.count += 1


def _summed(told: Told, sizes: dict[str, int]) -> dict[str, Any]:
    kinds = {kind: _spread(told.times[kind], sizes["SECONDS"]) for kind in KINDS if told.times.get(kind)}
    return {"kinds": kinds, "errors": len(told.errors), "first_errors": told.errors[:5], "anew": told.anew}


def _spread(seconds: list[float], lasted: int) -> dict[str, float]:
    cuts = quantiles(seconds, n=100, method="inclusive") if len(seconds) > 1 else seconds * 99
    picked = {"p50": cuts[49], "p95": cuts[94], "p99": cuts[98], "slowest": max(seconds)}
    told = {name: round(1000 * value, 1) for name, value in picked.items()}
    return {"count": len(seconds), "a_second": round(len(seconds) / lasted, 1), **told}


def _print(name: str, one: dict[str, Any]) -> None:
    print(f"\n{name}: {one['errors']} errors, {one['saved']} strokes acknowledged, {one['kept']} kept")
    print(f"  {one['anew']} connections made anew; first errors: {one['first_errors'] or 'none'}")
    for kind, told in one["kinds"].items():
        numbers = "  ".join(
            f"{key} {value:8,.1f}" for key, value in told.items() if key not in ("count", "a_second")
        )
        print(f"  {kind:9} {told['count']:6} ({told['a_second']:5}/s)  ms: {numbers}")


if __name__ == "__main__":
    sys.exit(main())
