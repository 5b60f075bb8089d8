"""A click that leads to another page is followed by waiting for it. On a busy machine the next line is
quicker than the answer: `goto` breaks the form off, and what is read is still the page of before.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

BROWSER = Path(__file__).resolve().parent / "browser"
PRESSING = ("click", "tap")
LEADING = ("get_by_role('button'", "get_by_role('link'")
# What goes elsewhere, or reads the page or the database as they stand; and what looks at a whole page.
READING = {"goto", "reload", "go_back", "count", "all", "objects", "url"}
LOOKING = {"axe", "check", "check_all_sizes", "sound"}


def hasty(source: str) -> list[tuple[int, str]]:
    """Line and text of every click on a button or a link that the next statement does not wait for."""
    return [
        (first.lineno, ast.unparse(second).split("\n")[0])
        for body in _bodies(ast.parse(source))
        for first, second in zip(body, body[1:], strict=False)
        if _leads(first) and _does_not_wait(second)
    ]


def _bodies(tree: ast.AST) -> Iterator[list[ast.stmt]]:
    return (node.body for node in ast.walk(tree) if isinstance(getattr(node, "body", None), list))


def _leads(statement: ast.stmt) -> bool:
    call = statement.value if isinstance(statement, ast.Expr) else None
    if not isinstance(call, ast.Call) or not isinstance(call.func, ast.Attribute):
        return False
    return call.func.attr in PRESSING and any(words in ast.unparse(call.func.value) for words in LEADING)


def _does_not_wait(statement: ast.stmt) -> bool:
    """Of a loop, what it goes through; a `with` is a way of waiting."""
    if isinstance(statement, ast.With):
        return False
    nodes = list(ast.walk(statement.iter if isinstance(statement, ast.For) else statement))
    names = {node.id for node in nodes if isinstance(node, ast.Name)}
    read = {node.attr for node in nodes if isinstance(node, ast.Attribute)}
    return "expect" not in names and bool(names & LOOKING or read & READING)


@pytest.mark.parametrize("file", sorted(BROWSER.glob("*.py")), ids=lambda file: file.name)
def test_it_waits_for_what_a_click_leads_to(file):
    assert hasty(file.read_text()) == []


PRESSED = "page.get_by_role('button', name='Save').click()\n"


@pytest.mark.parametrize(
    "then",
    [
        "page.goto('/')",
        "axe(page)",
        "assert page.locator('p').count() == 0",
        "found = re.search('visits', page.url)",
        "for each in page.get_by_role('radio').all(): each.check()",
        "told = Telling.objects.get()",
    ],
)
def test_it_sees_the_haste(then):
    assert [line for line, _ in hasty(PRESSED + then)] == [1]


@pytest.mark.parametrize(
    "then", ["expect(page).to_have_url('/')", "page.wait_for_url('/')", "page.get_by_label('Why').fill('So')"]
)
def test_it_sees_the_patience(then):
    assert hasty(PRESSED + then + "\npage.goto('/')") == []
