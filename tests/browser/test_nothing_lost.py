"""Whatever was drawn arrives: through a cut network, a reload, a closed board and a killed tab."""

import itertools
import os
import random
import re
import signal
from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from charting.drawing.models import StoredStroke
from charting.handover.models import HandOver
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.hand import Hand
from tests.browser.people import hand_over
from tests.browser.test_whole_way import sign_in
from tests.charting import recorded

NUMBERS = itertools.count(7000)
KILLS = int(os.environ.get("KILLS", "12"))
# Everything the device keeps, as a stranger with the tablet in hand could read it.
KEPT = """async () => {
  const database = await new Promise((done) => {
    const asked = indexedDB.open("tautline"); asked.onsuccess = () => done(asked.result);
  });
  const rows = await new Promise((done) => {
    const asked = database.transaction("waiting").objectStore("waiting").getAll();
    asked.onsuccess = () => done(asked.result);
  });
  database.close();
  const text = (bytes) => new TextDecoder("latin1").decode(bytes);
  return rows.map((row) => ({ ...row, iv: text(row.iv), data: text(row.data) }));
}"""
pytestmark = pytest.mark.usefixtures("records")


@pytest.fixture
def tablet(device: Callable[..., BrowserContext]) -> BrowserContext:
    return device("desk", has_touch=True)


def handed_over(tablet: BrowserContext) -> Page:
    """A new patient's board, opened through the whole way of handing over."""
    mara = User.objects.get(username="clinician")
    assert mara.practice is not None
    visit = Visit.objects.create(patient=recorded.patient(mara.practice, next(NUMBERS)), clinician=mara)
    page = tablet.new_page()
    page.goto(f"/visits/{visit.pk}/drawing-step/")
    sign_in(page)
    hand_over(page)
    page.get_by_role("button", name="Yes").click()
    ready(page)
    return page


def ready(page: Page) -> None:
    page.locator("[data-stage][data-front]").wait_for()
    page.locator("label.kind", has_text="Ache").click()


def line(page: Page, number: int) -> None:
    """One short line on the front of the body; every number lies in a place of its own."""
    x, y = 430 + 14 * (number % 10), 420 + 16 * (number // 10 % 12)
    Hand(page).shade("front", [(x, y), (x + 8, y + 10)])


def saving(page: Page):
    return page.locator("[data-saving]").first


def on_record(held: HandOver) -> int:
    return StoredStroke.objects.filter(visit=held.visit).count()


def latest() -> HandOver:
    return HandOver.objects.select_related("visit").latest("given_at")


def kept(page: Page) -> list[dict]:
    found: list[dict] = page.evaluate(KEPT)
    return found


def wait_until_nothing_waits(page: Page) -> None:
    expect(saving(page)).to_have_attribute("data-saving", "saved", timeout=15_000)


def test_it_goes_on_without_a_network_and_sends_everything_when_it_is_back(tablet, complaints):
    page = handed_over(tablet)
    line(page, 0)
    wait_until_nothing_waits(page)
    tablet.set_offline(True)
    for number in range(1, 6):
        line(page, number)
    expect(saving(page)).to_have_attribute("data-saving", "kept")
    expect(page.locator("[data-saving-words]")).to_have_text("Kept on this device")
    assert on_record(latest()) == 1
    tablet.set_offline(False)
    wait_until_nothing_waits(page)
    assert on_record(latest()) == 6
    assert kept(page) == []
    complaints.expect("ERR_INTERNET_DISCONNECTED")


def test_what_waits_on_the_device_can_not_be_read_there(tablet, complaints):
    page = handed_over(tablet)
    tablet.set_offline(True)
    line(page, 1)
    expect(saving(page)).to_have_attribute("data-saving", "kept")
    rows = kept(page)
    assert len(rows) == 1
    assert set(rows[0]) == {"id", "seq", "holder", "key_url", "save_url", "iv", "data"}
    words = str(rows)
    for telling in ("ache", "front", "points", "Keller", "shade", "nib"):
        assert telling not in words
    everything = page.evaluate(
        "() => JSON.stringify([{...localStorage}, {...sessionStorage}, document.cookie])"
    )
    assert "key" not in everything and "Keller" not in everything
    tablet.set_offline(False)
    wait_until_nothing_waits(page)
    complaints.expect("ERR_INTERNET_DISCONNECTED")


def test_a_reload_without_a_network_says_so_and_brings_the_drawing_back(tablet, complaints, axe, look):
    page = handed_over(tablet)
    page.wait_for_function(
        "() => navigator.serviceWorker.ready.then(() => navigator.serviceWorker.controller)"
    )
    line(page, 0)
    wait_until_nothing_waits(page)
    tablet.set_offline(True)
    for number in range(1, 4):
        line(page, number)
    expect(saving(page)).to_have_attribute("data-saving", "kept")
    page.reload()
    expect(page.get_by_role("heading")).to_have_text("No connection")
    expect(page.locator("[data-kept]")).to_contain_text("3 entries of your drawing wait on this device")
    axe(page)
    look(page, "board-without-connection")
    tablet.set_offline(False)
    page.locator("[data-stage][data-front]").wait_for(timeout=15_000)
    wait_until_nothing_waits(page)
    assert on_record(latest()) == 4
    # Drawn before the reload, and taken back after it.
    for _ in range(4):
        page.locator("[data-undo]:visible").first.click()
    expect(page.locator("[data-undo]:visible").first).to_be_disabled()
    complaints.expect("ERR_INTERNET_DISCONNECTED")


def test_a_board_closed_too_early_sends_the_rest_once_the_clinician_is_back(tablet, device, complaints):
    page = handed_over(tablet)
    held = latest()
    line(page, 0)
    wait_until_nothing_waits(page)
    page.route("**/board/save/", lambda route: route.abort())
    line(page, 1)
    line(page, 2)
    expect(saving(page)).to_have_attribute("data-saving", "kept")
    page.goto("/sign-in/?next=" + f"/visits/{held.visit_id}/drawing-step/")
    expect(page.locator("[data-left-here]")).to_contain_text(
        "2 entries drawn on this device are not saved yet"
    )
    # The server learns at sign-in how much is missing; the page then sends it.
    sign_in(page)
    expect(page.locator("[data-leftover]")).to_contain_text("2 entries drawn on this device before were sent")
    assert on_record(held) == 3
    assert {row.drawn_by for row in StoredStroke.objects.filter(visit=held.visit)} == {"patient"}
    assert kept(page) == []
    assert HandOver.objects.get(pk=held.pk).waiting == 0
    complaints.expect("ERR_FAILED")


def test_the_clinician_sees_at_another_computer_how_much_is_missing(tablet, device, complaints):
    page = handed_over(tablet)
    held = latest()
    page.route("**/board/save/", lambda route: route.abort())
    line(page, 1)
    line(page, 2)
    expect(saving(page)).to_have_attribute("data-saving", "kept")
    page.goto("/sign-in/")
    expect(page.locator("[data-left-here]")).to_be_visible()
    page.route("**/hand-overs/**", lambda route: route.abort())
    sign_in(page)
    expect(page.locator("[data-leftover]")).to_contain_text("2 entries drawn on this device still wait here")
    other = device().new_page()
    other.goto(f"/visits/{held.visit_id}/drawing-step/")
    sign_in(other)
    expect(other.locator("main")).to_contain_text("2 entries drawn on that device have not arrived")
    complaints.expect("ERR_FAILED")


@pytest.mark.parametrize("online", [True, False], ids=["online", "offline"])
def test_a_killed_tab_loses_at_most_the_line_in_hand(online, tablet, complaints):
    page = handed_over(tablet)
    held = latest()
    chance = random.Random(7)
    finished = 0
    for kill in range(KILLS // 2):
        if not online:
            page.route("**/board/save/", lambda route: route.abort())
        for _ in range(chance.randint(1, 3)):
            line(page, finished)
            finished += 1
        # Every other time the tab dies right after a finished line: the hardest moment to keep it.
        if kill % 2:
            begin_a_line(page, chance)
        page = killed(tablet, page)
    wait_until_all_sent(page)
    drawn = StoredStroke.objects.filter(visit=held.visit)
    print(f"killed {KILLS // 2} times: {finished} lines finished, {drawn.count()} on record")
    # A line in hand may have got through, when it was long enough to be kept; none finished may be missing.
    at_the_neck = sum(1 for row in drawn if row.points[0][1] < 350)
    assert drawn.count() - at_the_neck == finished
    if complaints.heard:
        complaints.expect("ERR_FAILED")


def begin_a_line(page: Page, chance: random.Random) -> None:
    """The line in hand: begun, at some point on its way when the tab dies."""
    hand = Hand(page)
    x, y = hand.place("front", 470, 300)
    hand.touch("touchStart", [(x, y)])
    for step in range(chance.randint(0, 8)):
        hand.touch("touchMove", [(x + 4 * step, y)])
    page.wait_for_timeout(chance.randint(0, 120))


def killed(tablet: BrowserContext, page: Page) -> Page:
    """Every renderer dies without a word to its page; the patient opens the board anew."""
    assert tablet.browser is not None
    session = tablet.browser.new_browser_cdp_session()
    processes = session.send("SystemInfo.getProcessInfo")["processInfo"]
    with page.expect_event("crash"):
        for process in processes:
            if process["type"] == "renderer":
                os.kill(process["id"], signal.SIGKILL)
    page.close()
    again = tablet.new_page()
    again.goto("/board/")
    ready(again)
    return again


def wait_until_all_sent(page: Page) -> None:
    expect(saving(page)).to_have_attribute("data-saving", re.compile("saved|ready"), timeout=15_000)
    page.wait_for_function(f"async () => (await ({KEPT})()).length === 0")
