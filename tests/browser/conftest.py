"""A real server, a real browser. Every page is watched: a console error or a blocked resource fails the test.

The server is the one `make run` starts, on a data folder of its own with the demo practice in it.
Tests that need rows of their own ask for `records`: the test process then writes to the same file.
"""

import fcntl
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from clinic.secret import make_secret

ROOT = Path(__file__).resolve().parents[2]
SIZES = {"desk": (1280, 800), "wide": (1024, 768), "tall": (768, 1024)}
# Headless, and quiet: no look-ups of its own while a test runs. --no-sandbox: CI runs as root.
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

Device = Callable[..., BrowserContext]
# What is waited for comes at once or never: a busy machine needs the room, and a quiet one loses nothing.
PATIENCE_MS = 30_000
expect.set_options(timeout=PATIENCE_MS)
# The browser driver runs an event loop; Django would refuse database calls beside it.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"


@dataclass(frozen=True)
class Server:
    url: str
    data: Path


@dataclass
class Complaints:
    """What the browser complained about. A test that provokes one says so with `expect`."""

    heard: list[str] = field(default_factory=list)

    def watch(self, page: Page) -> None:
        page.on("console", lambda message: message.type == "error" and self.heard.append(message.text))
        page.on("pageerror", lambda error: self.heard.append(str(error)))

    def expect(self, words: str) -> None:
        """At least one complaint with these words was heard; all of them are forgiven."""
        forgiven = [each for each in self.heard if words in each]
        assert forgiven, f"nobody complained of {words!r}: {self.heard}"
        self.heard = [each for each in self.heard if each not in forgiven]


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """`make run` without the installing: migrations, static files, demo practice, gunicorn."""
    port = free_port()
    shutil.copytree(prepared(), settings.DATA, dirs_exist_ok=True)
    log = settings.DATA / "server.log"
    process = subprocess.Popen(
        [sys.executable, "-m", "clinic.serve"],
        cwd=ROOT,
        env=environment_of(settings.DATA, PORT=str(port)),
        stdout=log.open("w"),
        stderr=subprocess.STDOUT,
    )
    try:
        wait_for(f"http://127.0.0.1:{port}/healthz", process, log)
        yield Server(f"http://127.0.0.1:{port}", Path(settings.DATA))
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(timeout=30)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as driver:
        program = os.environ.get("CHROMIUM", "/usr/bin/chromium")
        browser = driver.chromium.launch(executable_path=program, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def complaints() -> Iterator[Complaints]:
    watched = Complaints()
    yield watched
    assert watched.heard == []


@pytest.fixture
def device(chromium: Browser, server: Server, complaints: Complaints) -> Iterator[Device]:
    """Makes browsers that share nothing: `device()`, `device("tall", has_touch=True)`."""
    made: list[BrowserContext] = []

    def make(size: str = "desk", **options: Any) -> BrowserContext:
        width, height = SIZES[size]
        options = {"viewport": {"width": width, "height": height}, "base_url": server.url, **options}
        context = chromium.new_context(**options)
        context.set_default_timeout(PATIENCE_MS)
        context.on("page", complaints.watch)
        made.append(context)
        return context

    yield make
    for context in made:
        context.close()


@pytest.fixture
def page(device: Device) -> Page:
    """One page of a desk-sized browser with a touch screen."""
    return device(has_touch=True).new_page()


@pytest.fixture(params=SIZES)
def size(request: pytest.FixtureRequest) -> str:
    """Each of the three sizes in turn, by name."""
    return str(request.param)


@pytest.fixture
def records(server: Server, django_db_blocker: Any) -> Iterator[None]:
    """Reach the server's own database through the models."""
    with django_db_blocker.unblock():
        yield


@pytest.fixture(scope="session")
def axe() -> Callable[[Page], None]:
    """`axe(page)` fails with the list of what axe-core finds on the page as it stands."""
    checker = Axe()

    def check(page: Page) -> None:
        found = checker.run(page).response["violations"]
        assert not found, "\n".join(in_words(each) for each in found)

    return check


@pytest.fixture(scope="session")
def look() -> Callable[[Page, str], None]:
    """`look(page, name)` saves the page at all three sizes in the folder $LOOK; nothing without it."""
    folder = os.environ.get("LOOK", "")

    def save(page: Page, name: str) -> None:
        if not folder:
            return
        before = page.viewport_size
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            page.screenshot(path=Path(folder) / f"{name}-{width}x{height}.png", full_page=True)
        if before:
            page.set_viewport_size(before)

    return save


def in_words(violation: dict[str, Any]) -> str:
    where = ", ".join(str(node["target"]) for node in violation["nodes"][:5])
    return f"{violation['id']} ({violation['impact']}): {violation['help']}: {where}"


def prepared() -> Path:
    """What the first start makes, made once for all that test side by side; each goes on with a copy."""
    worker = os.environ.get("PYTEST_XDIST_WORKER", "")
    data = (settings.DATA.parent if worker else settings.DATA) / "prepared"
    data.mkdir(exist_ok=True)
    with (data / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (data / "ready").exists():
            make_secret(data / "secret_key")
            command = [sys.executable, "-c", "from clinic.serve import prepare; prepare(for_tablets=False)"]
            subprocess.run(command, cwd=ROOT, env=environment_of(data), check=True, stdout=sys.stderr)
            (data / "ready").touch()
    return data


def environment_of(data: Path, **more: str) -> dict[str, str]:
    environment = {**os.environ, "TAUTLINE_DATA": str(data), **more}
    environment["DJANGO_SETTINGS_MODULE"] = "clinic.settings"
    # What two tests see must not depend on how far somebody in the background has come.
    environment["TAUTLINE_COURSES"] = "no"
    environment.pop("TAUTLINE_SECRET_KEY", None)
    return environment


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


def wait_for(url: str, process: "subprocess.Popen[bytes]", log: Path, seconds: int = 180) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end and process.poll() is None:
        with suppress(OSError):
            urllib.request.urlopen(url, timeout=5).close()  # noqa: S310 - our own address
            return
        time.sleep(0.1)
    raise RuntimeError(f"the server did not start:\n{log.read_text()}")
