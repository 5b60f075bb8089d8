"""The speeds we promise, in one run: `make bench`. Where a number is promised, pass or FAIL stands beside it;
the others are for the reader, who judges ratios.

Each part has a process of its own, so that none warms the caches of another.
"""

import subprocess
import sys

PARTS = {
    "Geometry": "bodymaps.making.bench",
    "Pages and papers (demo practice on SQLite, one process)": "tests.bench.pages",
    "Courses of many visits (the same)": "tests.bench.courses",
    "The practice as a whole (practices of their own on SQLite, one process)": "tests.bench.review",
    "A large practice (SCALE=full: 50,000 people; SQLite, one process)": "tests.bench.scale",
    "Ink": "tests.bench.ink_frames",
}


def main() -> int:
    for title, module in PARTS.items():
        print(f"\n{title}", flush=True)
        done = subprocess.run([sys.executable, "-m", module], check=False)  # noqa: S603 - our own modules
        if done.returncode:
            return done.returncode
    return 0


if __name__ == "__main__":
    sys.exit(main())
