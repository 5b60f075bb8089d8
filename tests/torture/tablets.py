"""Tablets in the hands of patients: they draw, send, and send again what was not acknowledged."""

import hashlib
import http.client
import json
import queue
import random
import re
import threading
import time
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from tests.torture.practice import Board

# What a board holds (bodymaps.strokes.LIMITS.strokes_per_visit).
STROKES_PER_BOARD = 400
# A board sends what it has at once, and at most this many together (static/js/draw/outbox.js).
MOST_TOGETHER = 60
CSRF = re.compile(rb'name="csrfmiddlewaretoken" value="([^"]+)"')
Stroke = dict[str, Any]


def drawn(dice: random.Random, seq: int) -> Stroke:
    """A line of a few points somewhere on the front."""
    x, y = dice.uniform(300, 600), dice.uniform(300, 1400)
    line = [
        [round(x + 4 * n, 2), round(y + dice.uniform(-5, 5), 2), 0.5, 12 * n]
        for n in range(dice.randrange(4, 16))
    ]
    shown = {"view": "front", "kind": dice.choice(["ache", "burning"]), "mode": "shade", "nib_mm": 20}
    made = {"type": "stroke", "id": str(uuid.UUID(int=dice.getrandbits(128), version=4)), "seq": seq}
    return {**made, **shown, "points": line}


def sha256_of(body: Stroke) -> str:
    """As the server keeps it beside the row (charting.drawing.services)."""
    return hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()


@dataclass
class Kept:
    """What the tablets know: acknowledged strokes by id, with the hash of what was sent."""

    acknowledged: dict[str, str] = field(default_factory=dict)
    drawn: int = 0
    refused: list[str] = field(default_factory=list)
    answers: dict[int, int] = field(default_factory=dict)
    cut: int = 0
    resent: int = 0
    seconds: list[float] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def settle(self, batch: Iterable[Stroke], reply: dict[str, Any]) -> set[str]:
        """Write down what was acknowledged; the ids that need not be sent again."""
        saved = set(reply["saved"])
        with self.lock:
            self.acknowledged |= {each["id"]: sha256_of(each) for each in batch if each["id"] in saved}
            self.refused += [each["why"] for each in reply["refused"]]
        return saved | {each["id"] for each in reply["refused"]}


class Tablet(threading.Thread):
    """One device: takes board after board, draws each full. Ends when there are no boards, or at `stop`."""

    def __init__(self, number: int, port: int, boards: "queue.Queue[Board]", kept: Kept) -> None:
        super().__init__(daemon=True)
        self.dice = random.Random(number)
        self.port, self.boards, self.kept = port, boards, kept
        self.stop = threading.Event()
        self.cookies: dict[str, str] = {}
        self.line: http.client.HTTPConnection | None = None

    def run(self) -> None:
        while not self.stop.is_set():
            try:
                board = self.boards.get_nowait()
            except queue.Empty:
                return
            self._draw_full(board)

    def _draw_full(self, board: Board) -> None:
        self.cookies = {"board": board.token}
        self._insist(self._confirm)
        seq, waiting = 0, list[Stroke]()
        while not self.stop.is_set() and (seq < STROKES_PER_BOARD or waiting):
            new = min(self.dice.randrange(1, 9), STROKES_PER_BOARD - seq, MOST_TOGETHER - len(waiting))
            waiting += [drawn(self.dice, seq + 1 + each) for each in range(new)]
            seq += new
            with self.kept.lock:
                self.kept.drawn += new
            done = self._insist(lambda: self._send(waiting))  # noqa: B023 - called here and now
            waiting = [each for each in waiting if each["id"] not in (done or ())]

    def _insist(self, act: Any) -> Any:
        """Again until the server has answered: what was not acknowledged is kept and sent once more."""
        first = True
        while not self.stop.is_set():
            try:
                return act()
            except (OSError, http.client.HTTPException, NotStored):
                self._hang_up()
                with self.kept.lock:
                    self.kept.cut += first
                    self.kept.resent += 1
                first = False
                time.sleep(0.05)
        return None

    def _confirm(self) -> bool:
        status, page = self._ask("GET", "/board/")
        if status != 200:
            raise NotStored(status)
        if found := CSRF.search(page):
            body = f"csrfmiddlewaretoken={found[1].decode()}&is_me=yes"
            self._ask("POST", "/board/confirm/", body, "application/x-www-form-urlencoded")
        return True

    def _send(self, waiting: list[Stroke]) -> set[str]:
        body = json.dumps({"events": waiting, "waiting": len(waiting)})
        began = time.monotonic()
        status, told = self._ask("POST", "/board/save/", body, "application/json")
        if status != 200:
            raise NotStored(status)
        with self.kept.lock:
            self.kept.seconds.append(time.monotonic() - began)
        return self.kept.settle(waiting, json.loads(told))

    def _ask(self, verb: str, path: str, body: str = "", kind: str = "") -> tuple[int, bytes]:
        self.line = self.line or http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        head = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        if body:
            head |= {"Content-Type": kind, "X-CSRFToken": self.cookies.get("csrf", "")}
        self.line.request(verb, path, body or None, head)
        answer = self.line.getresponse()
        told = answer.read()
        for cookie in answer.headers.get_all("Set-Cookie") or ():
            name, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[name] = value
        with self.kept.lock:
            self.kept.answers[answer.status] = self.kept.answers.get(answer.status, 0) + 1
        return answer.status, told

    def _hang_up(self) -> None:
        if self.line is not None:
            self.line.close()
            self.line = None


class NotStored(Exception):
    """An answer that does not say that anything was kept."""


def switched_on(count: int, port: int, boards: Iterable[Board], kept: Kept) -> list[Tablet]:
    """That many tablets, drawing."""
    waiting: queue.Queue[Board] = queue.Queue()
    for each in boards:
        waiting.put(each)
    tablets = [Tablet(number, port, waiting, kept) for number in range(count)]
    for tablet in tablets:
        tablet.start()
    return tablets


def switched_off(tablets: Iterable[Tablet]) -> None:
    for tablet in tablets:
        tablet.stop.set()
    for tablet in tablets:
        tablet.join(timeout=40)
