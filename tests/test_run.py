"""`make test` itself: what cannot run is never passed over in silence, and one failure fails the whole."""

import pytest

from clinic.machine import Lacking
from tests import longest, run


def lacking(env: dict[str, str]) -> int:
    raise Lacking("This needs a thing: install the Debian package thing.")


@pytest.mark.parametrize(("in_ci", "outcome"), [(True, "failed"), (False, "not run")])
def test_it_says_what_it_could_not_run(monkeypatch, capsys, in_ci, outcome):
    monkeypatch.setattr(run, "IN_CI", in_ci)
    monkeypatch.setitem(run.STEPS, "browser", lacking)
    assert run.run_step("browser", {})[1] == outcome
    assert "install the Debian package thing" in capsys.readouterr().out


@pytest.mark.parametrize(("code", "outcome"), [(0, "passed"), (1, "failed"), (5, "failed")])
def test_a_step_is_as_good_as_its_exit_code(monkeypatch, code, outcome):
    monkeypatch.setitem(run.STEPS, "unit", lambda env: code)
    assert run.run_step("unit", {})[1] == outcome


def test_one_failed_step_fails_the_whole(capsys):
    assert run.summary([("lint", "passed", 1.0), ("unit", "failed", 2.0)]) == 1
    assert run.summary([("lint", "passed", 1.0), ("browser", "not run", 0.0)]) == 0


def test_no_browser_is_no_pass(monkeypatch):
    monkeypatch.setattr(run.shutil, "which", lambda name: None)
    with pytest.raises(Lacking, match="Debian package chromium"):
        run.browser({})


def test_no_postgresql_is_no_pass(monkeypatch):
    monkeypatch.setattr(run.cluster, "binaries", lambda: None)
    with pytest.raises(Lacking, match="Debian package postgresql"):
        run.postgres({})


def test_no_step_sees_the_practice_of_this_machine(monkeypatch):
    monkeypatch.setenv("TAUTLINE_DATA", "/home/anna/practice")
    monkeypatch.setenv("TAUTLINE_DEBUG", "1")
    monkeypatch.setenv("DATABASE_URL", "postgres://practice/record")
    with run.outside_the_source() as env:
        assert "practice" not in env["TAUTLINE_DATA"]
        assert {"TAUTLINE_DEBUG", "DATABASE_URL"} & set(env) == set()


def test_a_driver_that_cannot_start_is_no_pass(monkeypatch):
    monkeypatch.setattr(run.shutil, "which", lambda name: None)
    monkeypatch.setattr(run, "DRIVER_LIBRARIES", {"libnowhere.so.1": "libnowhere1"})
    with pytest.raises(Lacking, match="Debian package libnowhere1"):
        run.node()


def test_the_files_that_begin_first_are_there():
    assert [str(file) for file in longest.PLACES if not file.is_file()] == []


def test_what_the_second_database_is_not_asked_is_there():
    left_out = [run.machine.ROOT / each.removeprefix("--ignore=") for each in run.NO_DATA]
    assert [str(each) for each in left_out if not each.exists()] == []
    for each in run.TURNED_AWAY:
        file, name = each.removeprefix("--deselect=").split("::")
        assert f"def {name}(" in (run.machine.ROOT / file).read_text(), name
