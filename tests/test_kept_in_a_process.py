"""Several processes serve one practice: what one keeps in memory, the others do not know.

Kept may be what the release holds, and what is named by an id that never changes.
"""

import ast
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
CACHES = {"cache", "lru_cache"}
# By the ids of versions, which are never changed and never used again.
OF_ROWS = {"charting/patterns/queries.py:_applied"}


def functions(source: str) -> list[ast.FunctionDef]:
    return [each for each in ast.walk(ast.parse(source)) if isinstance(each, ast.FunctionDef)]


def is_kept(function: ast.FunctionDef) -> bool:
    """Whether a cache stands before it."""
    heads = [each.func if isinstance(each, ast.Call) else each for each in function.decorator_list]
    return any(getattr(head, "id", getattr(head, "attr", "")) in CACHES for head in heads)


def reads_rows(function: ast.FunctionDef) -> bool:
    return any(isinstance(each, ast.Attribute) and each.attr == "objects" for each in ast.walk(function))


def keeps_for_itself(function: ast.FunctionDef) -> bool:
    return any(isinstance(each, ast.Global) for each in ast.walk(function))


def found() -> tuple[set[str], set[str]]:
    kept, own = set(), set()
    for file in [*ROOT.glob("charting/**/*.py"), *ROOT.glob("clinic/**/*.py")]:
        for function in functions(file.read_text(encoding="utf-8")):
            name = f"{file.relative_to(ROOT)}:{function.name}"
            kept |= {name} if is_kept(function) and reads_rows(function) else set()
            own |= {name} if keeps_for_itself(function) else set()
    return kept, own


def test_nothing_read_from_rows_is_kept_in_a_process():
    assert found()[0] == OF_ROWS


def test_nothing_is_kept_in_a_global():
    assert found()[1] == set()


def test_it_would_be_seen():
    planted = functions("@cache\ndef all_of_them():\n    return Patient.objects.all()\n")[0]
    assert is_kept(planted) and reads_rows(planted)
    assert keeps_for_itself(functions("def count():\n    global seen\n    seen = 1\n")[0])


def test_there_is_no_cache_that_one_process_has_for_itself(settings):
    assert settings.CACHES["default"]["BACKEND"].endswith("DummyCache")
    assert settings.SESSION_ENGINE == "django.contrib.sessions.backends.db"
