"""The way in as a person walks it: an authenticator set up, its codes, and a session that ends."""

import base64
import time
from collections.abc import Callable

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher
from django.contrib.sessions.backends.db import SessionStore
from django.test import override_settings
from playwright.sync_api import BrowserContext, Page, expect

from charting.staff import second_factor_secret as kept
from charting.staff.models import SecondFactor, User
from clinic.secret import read_secret
from tests.browser.people import sign_in
from tests.charting import recorded

pytestmark = pytest.mark.usefixtures("records")


@pytest.fixture
def lea() -> User:
    """Works where real people are treated, and has a password that somebody else chose."""
    at = recorded.practice(f"Weir Street Practice {time.time()}")
    at.is_demo = False
    at.save()
    hashed = Argon2PasswordHasher().encode(recorded.PASSWORD, "salt for a test")
    name = f"lea{int(time.time() * 1000)}"
    return User.objects.create(username=name, first_name="Lea", practice=at, password=hashed)


def test_an_authenticator_is_set_up_asked_for_and_lost(
    device: Callable[..., BrowserContext], lea: User, axe, look, complaints
):
    page = device().new_page()
    give_password(page, lea)
    expect(page.get_by_role("heading", name="Set up an authenticator")).to_be_visible()
    axe(page)
    look(page, "second-factor")
    secret = base64.b32decode(page.locator(".typed").inner_text().replace(" ", ""))
    page.get_by_label("The code it shows now").fill("000000")
    page.get_by_role("button", name="Use this authenticator").click()
    expect(page.get_by_role("alert")).to_contain_text("This is not the code of this moment.")
    complaints.expect("422")
    page.get_by_label("The code it shows now").fill(shown(secret))
    page.get_by_role("button", name="Use this authenticator").click()
    expect(page.get_by_role("heading", name="Your backup codes")).to_be_visible()
    axe(page)
    look(page, "backup-codes")
    codes = page.locator(".codes code").all_inner_texts()
    assert len(codes) == 10
    page.get_by_role("link", name="I have kept them").click()
    expect(page.get_by_role("heading", name="Your account")).to_be_visible()
    axe(page)
    look(page, "account")

    # Here it is not asked again; on another device it is, and a code that was used is worth nothing there.
    page.get_by_role("button", name="Sign out").click()
    give_password(page, lea)
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    other = device("tall").new_page()
    give_password(other, lea)
    expect(other.get_by_role("heading", name="One more step: the code")).to_be_visible()
    axe(other)
    look(other, "code")
    other.get_by_label("Code").fill(codes[2])
    other.get_by_role("button", name="Go on").click()
    expect(other.get_by_role("status").filter(has_text="9 backup codes left")).to_be_visible()
    SecondFactor.objects.filter(user=lea).update(last_step=0)
    third = device().new_page()
    give_password(third, lea)
    third.get_by_label("Code").fill(codes[2])
    third.get_by_role("button", name="Go on").click()
    expect(third.get_by_role("alert")).to_contain_text("This code is not right.")
    complaints.expect("422")
    third.get_by_label("Code").fill(shown(secret))
    third.get_by_role("button", name="Go on").click()
    expect(third.get_by_role("button", name="Sign out")).to_be_visible()

    # From there the others are ended.
    third.goto("/account/")
    third.get_by_role("button", name="End all others").click()
    expect(third.locator("#messages")).to_contain_text("You are signed in here only.")
    other.goto("/account/")
    expect(other.get_by_role("heading", name="Sign in")).to_be_visible()


def test_what_is_typed_and_kept_nowhere_stays_behind_a_cover(
    device: Callable[..., BrowserContext], server, look, complaints
):
    browser = device()
    page = browser.new_page()
    page.clock.install()
    sign_in(page)
    page.goto("/account/password/")
    page.get_by_label("New password", exact=True).fill("seven lanterns")
    since(page, server, minutes=15.1)
    page.clock.run_for(15 * 60_000)
    cover = page.get_by_role("dialog", name="Signing out")
    expect(cover).to_contain_text("What you typed is still on this page")
    look(page, "covered")
    sign_in(page)
    page.evaluate("dispatchEvent(new Event('focus'))")
    expect(cover).to_be_hidden()
    expect(page.get_by_label("New password", exact=True)).to_have_value("seven lanterns")
    # The page goes on with the token of the new session: it is refused for what is missing, not for its age.
    page.get_by_label("Your password").fill("not the password")
    page.get_by_label("New password once more").fill("seven lanterns")
    page.get_by_role("button", name="Change the password").click()
    expect(page.get_by_role("alert")).to_contain_text("That is not your password.")
    complaints.expect("422")


def give_password(page: Page, user: User) -> None:
    page.goto("/sign-in/")
    page.get_by_label("Username").fill(user.username)
    page.get_by_label("Password").fill(recorded.PASSWORD)
    page.get_by_role("main").get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda address: not address.endswith("/sign-in/"))


def shown(secret: bytes) -> str:
    return kept.code_at(secret, int(time.time()) // kept.STEP_SECONDS)


def since(page: Page, server, *, minutes: float) -> None:
    """The last sign of life of this browser's session, by the server's clock, was so long ago."""
    (key,) = (str(each["value"]) for each in page.context.cookies() if each.get("name") == "session")
    with override_settings(SECRET_KEY=read_secret(server.data / "secret_key")):
        session = SessionStore(key)
        session["seen"] = int(time.time() - 60 * minutes)
        session.save()
