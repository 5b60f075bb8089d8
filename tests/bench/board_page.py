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

from bodymaps import describe, figure, kinds, marks, parts, strokes, svg

ROOT = Path(__file__).resolve().parents[2]
FIGURE = ROOT / "bodymaps" / "data" / "figure"
TYPES = {".css": "text/css", ".js": "text/javascript", ".png": "image/png", ".svg": "image/svg+xml"}
DONE = b'<!doctype html><title>Done</title><link rel="icon" href="data:,"><h1>Done</h1>'
# What is kept on a device is kept under a key of the server; this one opens nothing.
DEVICE = {
    "holder": "00000000-0000-4000-8000-00000000b0a2",
    "key": "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=",
    "key_url": "/key/",
    "save_url": "/save/",
}
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
    # How often the drawing was asked for in sentences.
    told: int = 0

    def page(self) -> str:
        engine = Engine(
            dirs=[str(ROOT / "templates")], builtins=["django.templatetags.static"], autoescape=True
        )
        return engine.get_template("drawing/board.html").render(Context({"board": self.data}))

    def sentences(self) -> list[str]:
        return list(describe.drawing(marks.paint(standing(self.events))))


def standing(events: list[dict[str, Any]]) -> list[strokes.Stroke]:
    """The strokes among the events of a board that are not withdrawn, read as the server reads them."""
    out: set[str] = set()
    for event in sorted(events, key=lambda event: int(event["seq"])):
        if event["type"] == "stroke":
            out.add(event["id"])
        elif event["type"] == "withdraw":
            out = out | set(event["strokes"]) if event["restores"] else out - set(event["strokes"])
    drawn = [event for event in events if event["type"] == "stroke" and event["id"] in out]
    return [strokes.parse({key: event[key] for key in event if key != "type"}) for event in drawn]


def board_data(**changes: Any) -> dict[str, Any]:
    """The page's JSON for an invented patient, with nothing drawn; `layer` decides what can be drawn."""
    finds = changes.get("layer") == "clinician"
    return {
        "figure": {view: _view(view) for view in ("front", "back")},
        "kinds": [kind for kind in kinds.as_json() if kind["finding"] == finds],
        "all_kinds": kinds.as_json(),
        "strokes": [],
        "withdrawals": [],
        "answer": {"intensities": {}, "no_pain": False},
        "next_seq": 1,
        "limits": strokes.LIMITS.as_json(),
        "body": parts.as_json(),
        "urls": {
            "save": "/save/",
            "areas": "/areas/",
            "board": "/",
            "done": "/done/",
            "words": "/words/",
            "key": "/key/",
            "rest": "/save/",
        },
        "device": DEVICE,
        "csrf": "none",
        "who": "patient",
        "layer": "patient",
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
        elif self.path in ("/done/", "/areas/"):
            self.answer(200, "text/html", DONE)
        elif self.path == "/board/worker.js":
            self.answer(
                200, "text/javascript", b"// This trial server has no page for when it is out of reach."
            )
        elif self.path == "/words/":
            self.words()
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

    def words(self) -> None:
        """The server's own sentences of what this board has sent: painted and described as in a visit."""
        self.board.told += 1
        if self.board.mood == "down":
            return self.answer(503, "text/plain", b"down")
        self.answer(200, "application/json", json.dumps({"sentences": self.board.sentences()}).encode())

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
