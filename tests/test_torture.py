"""Small versions of `make torture`, and that its judgement can be against us."""

import subprocess
import sys
from pathlib import Path

from tests.torture import held

ROOT = Path(__file__).resolve().parent.parent


def test_it_sees_a_stroke_that_was_lost_or_changed():
    acknowledged = {"one": "a", "two": "b", "three": "c"}
    assert held.missing(acknowledged, acknowledged | {"unasked": "d"}).none
    gone = held.missing(acknowledged, {"one": "a", "two": "x"})
    assert (gone.lost, gone.changed) == (("three",), ("two",))


def test_it_loses_nothing_that_was_acknowledged_when_the_server_is_killed():
    told = subprocess.run(
        [sys.executable, "-m", "tests.torture.kill", "2", "120"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=280,
    )
    assert told.returncode == 0, told.stdout + told.stderr
    assert "pass  2 kills were made" in told.stdout
