"""The drawing board alone: the real template, styles, scripts, figure and kinds behind a small local server.

For measuring and looking at the board without a practice. It keeps what the board sends, and can be
told to fail. Run as `python -m tests.bench.board_page [PORT]` to open it in a browser.
"""

import json
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import django
from django.conf import settings
from django.template import Context, Engine

from bodymaps import figure, kinds, strokes, svg

ROOT = Path(__file__).resolve().parents[2]
FIGURE = ROOT / "bodymaps" / "data" / "figure"
TYPES = {".css": "text/css", ".js": "text/javascript", ".png": "image/png", ".svg": "image/svg+xml"}
DONE = b'<!doctype html><title>Done</title><link rel="icon" href="data:,"><h1>Done</h1>'
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "font-src 'self'; connect-src 'self'; base-uri 'none'"
)


@dataclass
class Board:
    """One board being served: what it shows, what it has received, and how it answers."""

    data: dict[str, Any]
    url: str = ""
    events: list[dict[str, Any]] = field(default_factory=list)
    # "ok", "down" (503), "login" (a page instead of JSON) or "refuse"
    mood: str = "ok"

    def page(self) -> str:
        engine = Engine(
            dirs=[str(ROOT / "templates")], builtins=["django.templatetags.static"], autoescape=True
        )
        return engine.get_template("drawing/board.html").render(Context({"board": self.data}))


def board_data(**changes: Any) -> dict[str, Any]:
    """The page's JSON for an invented patient, with nothing drawn."""
    return {
        "figure": {view: _view(view) for view in ("front", "back")},
        "kinds": kinds.as_json(),
        "strokes": [],
        "withdrawals": [],
        "answer": {"intensities": {}, "no_pain": False},
        "next_seq": 1,
        "limits": strokes.LIMITS._asdict(),
        "urls": {"save": "/save/", "done": "/done/"},
        "csrf": "none",
        "who": "patient",
        "heading": "Anna Bergström, born 3 March 1970",
        **changes,
    }


def _view(name: str) -> dict[str, Any]:
    view = figure.load().view(name)
    return {
        "width": view.width,
        "height": view.height,
        "midline_x": view.midline_x,
        "outline": svg.path(view.outline),
        "relief": f"/static/figure/{view.relief}",
    }


@contextmanager
def serving(board: Board, port: int = 0) -> Iterator[Board]:
    """Serve the board on this machine until the block ends."""
    if not settings.configured:
        settings.configure(STATIC_URL="/static/", INSTALLED_APPS=[])
        django.setup()
    server = ThreadingHTTPServer(("127.0.0.1", port), partial(_Handler, board))
    board.url = f"http://127.0.0.1:{server.server_address[1]}/"
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield board
    finally:
        server.shutdown()


class _Handler(BaseHTTPRequestHandler):
    def __init__(self, board: Board, *args: Any) -> None:
        self.board = board
        super().__init__(*args)

    def do_GET(self) -> None:
        if self.path == "/":
            self.answer(200, "text/html; charset=utf-8", self.board.page().encode())
        elif self.path == "/done/":
            self.answer(200, "text/html", DONE)
        else:
            self.static(self.path.removeprefix("/static/"))

    def do_POST(self) -> None:
        sent = json.loads(self.rfile.read(int(self.headers["Content-Length"])))["events"]
        if self.board.mood == "down":
            self.answer(503, "text/plain", b"down")
        elif self.board.mood == "login":
            self.answer(200, "text/html", b"<form>Sign in</form>")
        else:
            self.answer(200, "application/json", json.dumps(self.taken(sent)).encode())

    def taken(self, sent: list[dict[str, Any]]) -> dict[str, Any]:
        if self.board.mood == "refuse":
            return {"saved": [], "refused": [{"id": e["id"], "why": "This visit is signed."} for e in sent]}
        self.board.events += sent
        return {"saved": [event["id"] for event in sent], "refused": []}

    def static(self, name: str) -> None:
        folder = FIGURE if name.startswith("figure/") else ROOT / "static"
        path = (folder / name.removeprefix("figure/")).resolve()
        if not path.is_relative_to(folder) or not path.is_file():
            self.answer(404, "text/plain", b"not here")
        else:
            self.answer(200, TYPES.get(path.suffix, "application/octet-stream"), path.read_bytes())

    def answer(self, status: int, kind: str, body: bytes) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Security-Policy", POLICY)
        self.send_header("Cache-Control", "no-store")
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing: the numbers are what is read."""


if __name__ == "__main__":
    with serving(Board(board_data()), int(sys.argv[1]) if len(sys.argv) > 1 else 8123) as shown:
        print(shown.url)
        threading.Event().wait()
