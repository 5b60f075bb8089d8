"""The rules of who may import whom are tests, and the map in DEVELOPERS.md shows what is there."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
CODE = ("clinic", "charting", "bodymaps")
IMPORT_ALL = """
import importlib, pkgutil, sys
import bodymaps
for module in pkgutil.walk_packages(bodymaps.__path__, "bodymaps."):
    importlib.import_module(module.name)
print(sorted(name for name in sys.modules if name.split(".")[0] in ("django", "charting", "clinic")))
"""
LINT = "from importlinter.cli import lint_imports_command as run; run()"


def python(code: str, folder: Path = ROOT) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", code], cwd=folder, capture_output=True, text=True)


def test_it_reads_the_body_without_django():
    told = python(IMPORT_ALL)
    assert told.returncode == 0, told.stderr
    assert told.stdout.strip() == "[]"


@pytest.fixture
def copy(tmp_path):
    """The code and its rules in another folder, to plant a bad import in."""
    for name in CODE:
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("data", "__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    ("file", "line", "broken"),
    [
        ("bodymaps/strokes.py", "import django", "bodymaps is plain Python"),
        ("bodymaps/strokes.py", "import shapely", "one door to shapely"),
        ("bodymaps/strokes.py", "import charting.models", "the project runs the chart"),
        ("charting/visits/models.py", "import charting.drawing.models", "the chart reads left to right"),
        ("charting/visits/models.py", "import weasyprint", "one door to WeasyPrint"),
        ("charting/drawing/models.py", "import charting.drawing.services", "inside a noun"),
        ("clinic/tablet.py", "import cryptography", "three doors to cryptography"),
        ("charting/contacts/forms.py", "import PIL", "three doors to Pillow"),
        ("charting/contacts/decoding.py", "import pypdfium2", "one door to pypdfium2"),
    ],
)
def test_it_catches_a_planted_import(copy, file, line, broken):
    planted = copy / file
    planted.write_text(f"{planted.read_text()}\n{line}\n")
    told = python(LINT, copy)
    assert told.returncode == 1
    assert re.search(rf"^{broken}.* BROKEN", told.stdout, re.MULTILINE), told.stdout


def test_it_lists_every_noun_in_the_contracts(pyproject):
    layers = {
        name.strip() for line in contract(pyproject, "nouns")["layers"] for name in re.split("[:|]", line)
    }
    inside = {name.removeprefix("charting.") for name in contract(pyproject, "steps")["containers"]}
    assert nouns() <= layers
    assert inside == nouns()


def test_it_maps_exactly_what_is_there():
    assert set(mapped("charting/")) == nouns()
    assert set(mapped("bodymaps/")) == modules("bodymaps")
    assert set(mapped("clinic/")) == modules("clinic")


def test_it_maps_the_nouns_in_the_order_they_may_import(pyproject):
    highest_first = [name for name in contract(pyproject, "nouns")["layers"] if name in nouns()]
    assert mapped("charting/") == highest_first[::-1]


@pytest.fixture
def pyproject():
    import tomllib

    return tomllib.loads((ROOT / "pyproject.toml").read_text())


def contract(pyproject: dict, name: str) -> dict:
    return next(each for each in pyproject["tool"]["importlinter"]["contracts"] if each["id"] == name)


def nouns() -> set[str]:
    """The folders of charting that hold a noun: all but Django's own."""
    folders = {file.parent.name for file in (ROOT / "charting").glob("*/__init__.py")}
    return folders - {"management", "migrations", "templatetags"}


def modules(package: str) -> set[str]:
    found = {file.stem for file in (ROOT / package).glob("*.py")} - {"__init__"}
    return found | {file.parent.name for file in (ROOT / package).glob("*/__init__.py")}


def mapped(package: str) -> list[str]:
    """The names under `package` in the map of DEVELOPERS.md: indented lines, name first."""
    block = re.search(
        rf"^{re.escape(package)} .*\n((?:  .*\n)+)", (ROOT / "DEVELOPERS.md").read_text(), re.MULTILINE
    )
    assert block, f"DEVELOPERS.md maps no {package}"
    return re.findall(r"^  ([a-z_]+)/?\s", block[1], re.MULTILINE)
