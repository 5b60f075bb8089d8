"""A small proxy for these trials: requests in turn, and once more to another server where that is safe.

What it does is what any proxy of the trade can be told to do: a request that reached no server goes to the
next; one that may have been carried out is repeated only if its method is safe (RFC 9110, 9.2.1 and 9.2.2).
"""

import http.client
import itertools
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

SAFE = ("GET", "HEAD")
OF_THE_LINE = ("connection", "keep-alive", "transfer-encoding", "content-length", "server", "date")


class Shared:
    """Which servers there are, whose turn it is, and what went wrong."""

    def __init__(self, ports: Sequence[int]) -> None:
        self.ports = list(ports)
        self.turn = itertools.count()
        self.lock = threading.Lock()
        self.answered = dict.fromkeys(ports, 0)
        self.asked_again = 0
        self.given_up = 0

    def in_turn(self) -> list[int]:
        first = next(self.turn) % len(self.ports)
        return self.ports[first:] + self.ports[:first]


class Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    shared: Shared

    def do_GET(self) -> None:  # noqa: N802 - the name is http.server's
        self._pass_on()

    do_POST = do_HEAD = do_GET

    def _pass_on(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        for port in self.shared.in_turn():
            line = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
            try:
                line.connect()
            except OSError:
                self._count("asked_again")
                continue
            try:
                self._answer(port, line, body)
                return
            except (OSError, http.client.HTTPException):
                if self.command not in SAFE:
                    break
                self._count("asked_again")
            finally:
                line.close()
        self._count("given_up")
        self.send_response(502)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def _answer(self, port: int, line: http.client.HTTPConnection, body: bytes) -> None:
        head = {name: value for name, value in self.headers.items() if name.lower() not in OF_THE_LINE}
        line.request(self.command, self.path, body or None, {**head, "X-Forwarded-For": "192.0.2.7"})
        answer = line.getresponse()
        told = answer.read()
        self.send_response(answer.status)
        for name, value in answer.getheaders():
            if name.lower() not in OF_THE_LINE:
                self.send_header(name, value)
        self.send_header("Content-Length", str(len(told)))
        self.end_headers()
        self.wfile.write(told)
        with self.shared.lock:
            self.shared.answered[port] += 1

    def _count(self, what: str) -> None:
        with self.shared.lock:
            setattr(self.shared, what, getattr(self.shared, what) + 1)

    def log_message(self, *_: object) -> None:
        """Nothing: the figures say it."""


@contextmanager
def before(ports: Sequence[int]) -> Iterator[tuple[int, Shared]]:
    """Its own port, and what it counts."""
    shared = Shared(ports)
    door = ThreadingHTTPServer(("127.0.0.1", 0), type("Ours", (Handler,), {"shared": shared}))
    door.daemon_threads = True
    threading.Thread(target=door.serve_forever, daemon=True).start()
    try:
        yield door.server_port, shared
    finally:
        door.shutdown()
        door.server_close()
