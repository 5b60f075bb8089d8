"""Who loads the server: tablets that draw, and clinicians who browse. Each a thread with one connection."""

import http.client
import json
import random
import re
import threading
import time
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import urlencode

STROKE_EVERY_S, THINKS_S = 2.0, 3.0
TIMEOUT_S = 30


@dataclass
class Told:
    """What was measured: seconds by kind of request, what went wrong, connections made anew."""

    times: dict[str, list[float]] = field(default_factory=dict)
    errors: list[str] = field(default_factory=list)
    anew: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def add(self, kind: str, seconds: float, wrong: str) -> None:
        with self.lock:
            self.times.setdefault(kind, []).append(seconds)
            if wrong:
                self.errors.append(f"{kind}: {wrong}")

    def again(self) -> None:
        with self.lock:
            self.anew += 1


class Browser:
    """One connection that is kept, its cookies, and the token against forged forms."""

    def __init__(self, port: int, told: Told) -> None:
        self.told, self.cookies = told, SimpleCookie()
        self.line = http.client.HTTPConnection("127.0.0.1", port, timeout=TIMEOUT_S)

    def ask(
        self, method: str, path: str, body: str = "", kind: str = "", **headers: str
    ) -> tuple[int, bytes]:
        """Status and body. `kind`: measure it under this name; all but 2xx and 302 is then an error."""
        began = time.perf_counter()
        try:
            status, answer = self._once(method, path, body, headers)
        except (http.client.HTTPException, OSError) as problem:
            status, answer = 0, repr(problem).encode()
        if kind:
            wrong = "" if 200 <= status < 300 or status == 302 else f"{status} {answer[:80]!r}"
            self.told.add(kind, time.perf_counter() - began, wrong)
        return status, answer

    def _once(self, method: str, path: str, body: str, headers: dict[str, str]) -> tuple[int, bytes]:
        """A kept connection that the server closed meanwhile is made anew once, as every browser does."""
        for is_last in (False, True):
            try:
                return self._send(method, path, body, headers)
            except (http.client.RemoteDisconnected, ConnectionResetError, BrokenPipeError):
                self.line.close()
                if is_last:
                    raise
                self.told.again()
        raise AssertionError

    def _send(self, method: str, path: str, body: str, headers: dict[str, str]) -> tuple[int, bytes]:
        sent = {"Cookie": "; ".join(f"{name}={each.value}" for name, each in self.cookies.items()), **headers}
        if "csrf" in self.cookies:
            sent |= {"X-CSRFToken": self.cookies["csrf"].value}
        self.line.request(method, path, body.encode() or None, sent)
        answer = self.line.getresponse()
        for cookie in answer.headers.get_all("Set-Cookie", []):
            self.cookies.load(cookie)
        return answer.status, answer.read()

    def form(self, path: str, kind: str = "", **typed: str) -> tuple[int, bytes]:
        plain = {"Content-Type": "application/x-www-form-urlencoded"}
        return self.ask("POST", path, urlencode(typed), kind, **plain)


def tablet(port: int, told: Told, token: str, until: float, saved: Callable[[], None]) -> None:
    """Opens its board and draws a stroke every two seconds."""
    browser, dice = Browser(port, told), random.Random(token)
    browser.cookies["board"] = token
    time.sleep(dice.uniform(0, STROKE_EVERY_S))
    browser.ask("GET", "/board/", kind="board")
    due = time.monotonic()
    for seq in range(1, 100_000):
        due = max(due + STROKE_EVERY_S, time.monotonic())
        if due > until:
            return
        time.sleep(max(0.0, due - time.monotonic()))
        body = json.dumps({"events": [_stroke(seq, dice)], "waiting": 1})
        status, answer = browser.ask(
            "POST", "/board/save/", body, "save", **{"Content-Type": "application/json"}
        )
        if status == 200 and json.loads(answer)["saved"]:
            saved()


def _stroke(seq: int, dice: random.Random) -> dict[str, Any]:
    """Some forty points on the back, as a finger leaves them in a second."""
    x, y = dice.uniform(300, 500), dice.uniform(250, 700)
    points = [
        [round(x + 2 * n, 1), round(y + dice.uniform(-3, 3), 1), 0.5, round(16.7 * n, 1)] for n in range(40)
    ]
    told = {"type": "stroke", "id": str(uuid.UUID(int=dice.getrandbits(128), version=4)), "seq": seq}
    return {**told, "view": "back", "kind": "ache", "mode": "shade", "nib_mm": 20.0, "points": points}


def clinician(port: int, told: Told, made: dict[str, Any], name: str, password: str, until: float) -> None:
    """Signs in and goes from page to page, with some seconds to read each."""
    browser, dice = Browser(port, told), random.Random(name)
    _, page = browser.ask("GET", "/sign-in/")
    token = re.search(rb'name="csrfmiddlewaretoken" value="(\w+)"', page)
    typed = {
        "username": name,
        "password": password,
        "csrfmiddlewaretoken": token[1].decode() if token else "",
    }
    browser.form("/sign-in/", "sign in", **typed)
    while time.monotonic() < until:
        visit, patient = dice.choice(made["visits"])
        steps: tuple[tuple[str, str], ...] = (
            ("day list", "/"),
            ("chart", f"/patients/{patient}/"),
            ("chart", f"/visits/{visit}/"),
            ("chart", f"/visits/{visit}/note/"),
        )
        for kind, path in steps:
            browser.ask("GET", path, kind=kind)
            time.sleep(dice.uniform(0, 2 * THINKS_S))
        browser.form("/patients/", "search", q=dice.choice(made["names"]))
