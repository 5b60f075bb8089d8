"""Small versions of `make machines`: each in a process of its own, on clusters of its own."""

import subprocess
import sys

import pytest

from tests.test_start import ROOT

pytestmark = pytest.mark.postgres


@pytest.mark.parametrize(
    "trial",
    [("three", "800"), ("replica",)],
    ids=["one_of_three_servers_may_die_under_load", "the_review_is_read_from_a_copy_that_may_die"],
)
def test_it_goes_on(trial):
    name, *more = trial
    ended = subprocess.run(
        [sys.executable, "-m", f"tests.machines.{name}", *more],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert ended.returncode == 0, ended.stdout + ended.stderr[-2000:]
    assert "pass" in ended.stdout
