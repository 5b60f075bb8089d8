"""`make test`: every check, in one order, here and in CI. Standard library only.

`python3 -m tests.run` runs all steps; with names (`python3 -m tests.run lint unit`) only those.
Installs what a step needs where that is permitted. What cannot be had is said in one line; in CI
(CI=true) it is a failure, so that nothing is ever skipped unseen.
"""

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from clinic import machine
from tests import cluster

BIN = machine.VENV / "bin"
IN_CI = os.environ.get("CI", "") not in ("", "0", "false")
# What the Node.js inside the browser driver is linked against; a small Debian has it not.
DRIVER_LIBRARIES = {"libatomic.so.1": "libatomic1"}
PYTEST = [str(machine.PYTHON), "-m", "pytest"]
# On all cores; the tests of a file stay together, because they share what is costly to make. The files begin
# in the order of tests/longest.py, and not those with the most tests first.
SPREAD = ["-n", "auto", "--dist", "loadfile", "--no-loadscope-reorder"]
# What is read from the atlas and said in words, or laid out on paper: the database has no part in them. Nor
# has it in what is worked out of a drawing and of answers: they are written, read and compared elsewhere, the
# content of a whole note (report/test_content.py) and its fingerprint among them.
NO_DATA = [
    f"--ignore=tests/charting/{each}"
    for each in (
        *("atlas", "rules", "candidates", "notes/test_wording.py"),
        *(f"report/test_{name}.py" for name in ("blank", "look", "muscle_sheet", "pdf", "same_bytes")),
        *(f"report/test_{name}.py" for name in ("areas", "exclude_first", "own_files", "weighed")),
    )
]
# Who is turned away before anything is read; what a clinician may open and change is asked of both databases.
TURNED_AWAY = [
    f"--deselect=tests/charting/access/test_matrix.py::test_it_{name}"
    for name in (
        "asks_everybody_else_to_sign_in",
        "sends_an_htmx_call_without_a_session_to_the_sign_in_page",
        "refuses_a_change_without_the_token_of_its_form",
    )
]
Step = Callable[[dict[str, str]], int]


def formatted(env: dict[str, str]) -> int:
    return call([str(BIN / "ruff"), "format", "--check", "."], env)


def linted(env: dict[str, str]) -> int:
    return call([str(BIN / "ruff"), "check", "."], env)


def typed(env: dict[str, str]) -> int:
    # No cache: four seconds more, and never an error left over from a file as it was.
    return call([str(machine.PYTHON), "-m", "mypy", "--cache-dir=/dev/null"], env)


def layered(env: dict[str, str]) -> int:
    return call(
        [str(machine.PYTHON), "-c", "from importlinter.cli import lint_imports_command as l; l()"], env
    )


def unit(env: dict[str, str]) -> int:
    return call([*PYTEST, *SPREAD], env)


def javascript(env: dict[str, str]) -> int:
    """Files are named one by one: what node makes of a folder differs between its versions."""
    files = sorted(str(file) for file in Path("tests/js").rglob("*.test.js"))
    if not files:
        print("No JavaScript tests found in tests/js.")
        return 1
    return call([node(), "--test", *files], env)


def browser(env: dict[str, str]) -> int:
    """A process of its own: the browser driver's event loop would make Django refuse database calls."""
    chromium = env.get("CHROMIUM") or shutil.which("chromium")
    if not chromium:
        raise machine.Lacking("Browser tests need Chromium: install the Debian package chromium.")
    check_driver()
    return call([*PYTEST, *SPREAD, "tests/browser"], {**env, "CHROMIUM": chromium})


def postgres(env: dict[str, str]) -> int:
    """The data layer once more, on the database a larger practice runs."""
    if not cluster.binaries():
        raise machine.Lacking("The PostgreSQL tests need a server: install the Debian package postgresql.")
    with cluster.running() as url:
        chosen = ["tests/charting", "tests/machines", *NO_DATA, *TURNED_AWAY]
        return call([*PYTEST, *SPREAD, *chosen], {**env, "DATABASE_URL": url})


STEPS: dict[str, Step] = {
    "format": formatted,
    "lint": linted,
    "types": typed,
    "contracts": layered,
    "unit": unit,
    "js": javascript,
    "browser": browser,
    "postgres": postgres,
}


def main(names: list[str]) -> int:
    chosen = names or list(STEPS)
    unknown = [name for name in chosen if name not in STEPS]
    if unknown:
        raise machine.Lacking(f"No step is called {' or '.join(unknown)}: choose from {', '.join(STEPS)}.")
    os.chdir(machine.ROOT)
    began = time.monotonic()
    prepare(chosen)
    results = [("set-up", "passed", time.monotonic() - began)]
    with outside_the_source() as env:
        results += [run_step(name, env) for name in chosen]
    return summary(results)


def prepare(chosen: list[str]) -> None:
    """Whatever the chosen steps need: Debian packages in one go, then the Python packages."""
    packages = machine.venv_packages()
    if {"unit", "browser", "postgres"} & set(chosen):
        packages += machine.packages_for(machine.PRINT_LIBRARIES)
    machine.install_packages(packages)
    extra = machine.packages_for(DRIVER_LIBRARIES) if {"js", "browser"} & set(chosen) else []
    if "browser" in chosen and not (os.environ.get("CHROMIUM") or shutil.which("chromium")):
        extra.append("chromium")
    if "postgres" in chosen and not cluster.binaries():
        extra.append("postgresql")
    # Not permitted is no stop here: the step itself says what is missing, and CI counts it as failed.
    if machine.may_install():
        machine.install_packages(extra)
    machine.make_venv()
    machine.install_requirements(machine.TEST, also=[machine.RUN])


@contextlib.contextmanager
def outside_the_source() -> Iterator[dict[str, str]]:
    """The environment of every step: a data folder of its own, never the practice's."""
    with tempfile.TemporaryDirectory(prefix="tautline-test-") as data:
        env = {name: value for name, value in os.environ.items() if not name.startswith("TAUTLINE_")}
        env.pop("DATABASE_URL", None)
        env.pop("DJANGO_SETTINGS_MODULE", None)
        yield {**env, "TAUTLINE_DATA": data}


def run_step(name: str, env: dict[str, str]) -> tuple[str, str, float]:
    """Name, outcome and seconds of one step."""
    print(f"\n== {name}", flush=True)
    began = time.monotonic()
    try:
        outcome = "failed" if STEPS[name](env) else "passed"
    except machine.Lacking as lacking:
        print(lacking, flush=True)
        outcome = "failed" if IN_CI else "not run"
    except (OSError, subprocess.CalledProcessError) as problem:
        print(problem, flush=True)
        outcome = "failed"
    return name, outcome, time.monotonic() - began


def summary(results: list[tuple[str, str, float]]) -> int:
    print("\n== summary")
    for name, outcome, seconds in results:
        print(f"{name:<10} {outcome:<8} {seconds:6.1f} s")
    print(f"{'in all':<10} {'':<8} {sum(seconds for _, _, seconds in results):6.1f} s", flush=True)
    return int(any(outcome == "failed" for _, outcome, _ in results))


def node() -> str:
    """The machine's Node.js, or the one that ships with the browser driver in the test requirements."""
    system = shutil.which("node") or shutil.which("nodejs")
    if system and _major(system) >= 18:
        return system
    shipped = sorted(machine.VENV.glob("lib/python*/site-packages/playwright/driver/node"))
    if not shipped:
        raise machine.Lacking("JavaScript tests need Node.js 18 or newer: install the Debian package nodejs.")
    check_driver()
    return str(shipped[-1])


def check_driver() -> None:
    missing = machine.packages_for(DRIVER_LIBRARIES)
    if missing:
        raise machine.Lacking(f"The browser driver needs the Debian package {' '.join(missing)}.")


def _major(program: str) -> int:
    told = subprocess.run([program, "--version"], capture_output=True, text=True, check=False).stdout
    number = told.strip().lstrip("v").split(".")[0]
    return int(number) if number.isdecimal() else 0


def call(command: list[str], env: dict[str, str]) -> int:
    code = subprocess.run(command, env=env, check=False).returncode
    if code < 0:
        print(f"{Path(command[0]).name} was ended by signal {-code}.", flush=True)
    return code


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except machine.Lacking as lacking:
        sys.exit(str(lacking))
    except KeyboardInterrupt:
        sys.exit(130)
