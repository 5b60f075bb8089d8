"""Being signed in, and where the demo visit stands, without the walk there. Tests of the walk itself walk."""

import re

from playwright.sync_api import Page, expect

from charting.appointments.models import Appointment
from charting.management import demo

# One server for each test process, so one address for each person; the demo practice never changes them.
VISITS: dict[str, str] = {}


def sign_in(page: Page, username: str = "clinician") -> None:
    """The form is sent as the page sends it, but no page is loaded: `page` stays where it is.

    Each browser gets a session of its own, so that signing out or handing over ends nobody else's.
    """
    page.request.get("/sign-in/")
    (token,) = (str(each.get("value")) for each in page.context.cookies() if each.get("name") == "csrf")
    form = {"username": username, "password": demo.load()["password"], "csrfmiddlewaretoken": token}
    answer = page.request.post("/sign-in/", form=form, max_redirects=0)
    assert answer.status == 302, f"{username} was not let in: {answer.status}"


def nobody_expected() -> None:
    """What other files of this process booked is over, so that no time of today is taken."""
    Appointment.objects.exclude(state=Appointment.State.NOSHOW).update(state=Appointment.State.CANCELLED)


def sign_in_here(page: Page) -> None:
    """By the form that the page shows, as a person does; on to where it leads."""
    page.get_by_label("Username").fill("clinician")
    page.get_by_label("Password").fill(demo.load()["password"])
    page.get_by_role("main").get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda address: "/sign-in/" not in address)


def hand_over(page: Page, first: str = "None: the drawing comes first", *then: str) -> None:
    """Give the device to the patient for what is named here, and nothing else: `first` before the drawing,
    `then` after it ("Scores", "To read: ..."). The page shows the form; on to where the name is asked.
    """
    form = page.locator("form[action$='/hand-over/']").first
    form.get_by_label(first).check()
    for box in form.get_by_role("checkbox").all():
        box.set_checked(box.evaluate("box => box.labels[0].textContent.trim()") in then)
    form.get_by_role("button", name="Hand the device to the patient").click()
    page.wait_for_url("**/board/")


def save_danger_answers(page: Page) -> None:
    """What is chosen on the danger screen, kept; on to where that leads."""
    page.get_by_role("button", name="Save the answers").click()
    expect(page.locator("#messages")).to_contain_text("The danger screen is saved.")


def demo_visit(page: Page) -> str:
    """The address of the open demo visit with a drawing, `/visits/<id>/`; `page` stays where it is."""
    family = demo.load()["patient"][0]["family_name"]
    if family not in VISITS:
        walk = page.context.new_page()
        walk.goto("/")
        address = walk.locator("a.row", has_text=family).first.get_attribute("href")
        found = re.search(r"/visits/[0-9a-f-]+/", str(address))
        assert found, address
        VISITS[family] = found.group(0)
        walk.close()
    return VISITS[family]
