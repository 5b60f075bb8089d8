"""What must never happen, tried until it would: `make torture`, or `make torture PART=kill` for one part.

Each part is a process of its own on loopback, in folders of its own, which it removes. It prints figures,
with pass or FAIL where something is promised; one FAIL fails the run. All of it takes about half an hour:
tests/test_torture.py runs small versions.
"""

import os
import subprocess
import sys

PARTS = {
    "kill": "kill -9 of the server under writing tablets (SQLite)",
    "kill_database": "kill -9 of the database under writing tablets (PostgreSQL)",
    "full_disk": "No room left on the disk",
    "tampering": "Tampering with the trail of a copy",
    "fuzz": "Drawing requests that nobody would draw",
    "at_once": "Many at once: one signature, no silent overwriting, one record from many taps",
}


def main() -> int:
    wanted = os.environ.get("PART", "")
    if wanted and wanted not in PARTS:
        print(f"No part is called {wanted}: choose from {', '.join(PARTS)}.")
        return 2
    broken = [name for name in PARTS if wanted in ("", name) and not _passes(name)]
    print(f"\nBroken: {', '.join(broken)}" if broken else "\nEverything held.", flush=True)
    return int(bool(broken))


def _passes(name: str) -> bool:
    print(f"\n{name}: {PARTS[name]}", flush=True)
    return subprocess.run([sys.executable, "-m", f"tests.torture.{name}"], check=False).returncode == 0


if __name__ == "__main__":
    sys.exit(main())
