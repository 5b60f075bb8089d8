"""The web server ranks in several threads at once; a crash of the geometry library would end its process."""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MANY = """
from concurrent.futures import ThreadPoolExecutor
from bodymaps import areas, atlas, explain, matching, parts, surface
from bodymaps.making import bench

def one(turn):
    drawn = bench.drawing(60 + turn)
    pen = bench.strokes(2 + turn % 5)
    grouped = areas.group(pen)
    whole = explain.explain([area.marks for area in grouped], atlas.load()).as_json()
    ranking = matching.rank(drawn, atlas.load()).as_json()
    return surface.share(drawn), ranking, whole, parts.parts_drawn(drawn)

with ThreadPoolExecutor(8) as pool:
    at_once = list(pool.map(one, range(24)))
assert at_once == [one(turn) for turn in range(24)]
print("all the same")
"""


def test_no_shared_area_is_ever_prepared():
    """`contains_xy` and `intersects_xy` prepare the area they are given, without being asked."""
    code = (ROOT / "bodymaps" / "geometry.py").read_text()
    assert re.findall(r"shapely\.(?:prepare|\w+_xy)\(", code) == []


def test_it_ranks_in_many_threads_as_it_does_in_one():
    # A process of its own: where it fails, it fails by a crash.
    told = subprocess.run([sys.executable, "-c", MANY], cwd=ROOT, capture_output=True, text=True)
    assert told.stdout.strip() == "all the same", (told.returncode, told.stderr)
