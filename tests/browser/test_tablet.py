"""What a tablet meets that trusts the practice's certificate: a secure page, and how the next comes in."""

import base64
import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from playwright.sync_api import Browser, BrowserContext, Error

from tests.browser.conftest import FLAGS, SIZES, Complaints
from tests.charting.staff.authenticator import Authenticator
from tests.test_serve import Served
from tests.test_tablet import HERE, OTHER_PASSWORD, address, manage

CUT_OFF = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
# What keeping strokes on the device needs, and browsers give to trusted connections only.
CAN_KEEP = "isSecureContext && 'serviceWorker' in navigator && typeof crypto.subtle.encrypt === 'function'"


@pytest.fixture(scope="module")
def tablet(tmp_path_factory) -> Iterator[Served]:
    """`make tablet` on a practice of one."""
    data = tmp_path_factory.mktemp("tablet") / "data"
    data.mkdir()
    manage(
        data,
        "from django.core.management import call_command; call_command('migrate', verbosity=0);"
        "from charting.staff.models import Practice; practice = Practice.objects.create(name='By the Mill');"
        f"User.objects.create_user('mara', password={OTHER_PASSWORD!r}, practice=practice)",
    )
    server = Served(data, "tablet", **HERE)
    server.data = data
    yield server
    server.stop()


@pytest.fixture(scope="module")
def device(chromium: Browser, tablet: Served) -> Iterator[Browser]:
    """A browser that trusts the key of this server and no other unknown one."""
    key = x509.load_pem_x509_certificate(
        (tablet.data / "certificates" / "server.crt").read_bytes()
    ).public_key()
    spki = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    pin = base64.b64encode(hashlib.sha256(spki).digest()).decode()
    program = os.environ.get("CHROMIUM", "/usr/bin/chromium")
    flags = [*FLAGS, f"--ignore-certificate-errors-spki-list={pin}"]
    browser = chromium.browser_type.launch(executable_path=program, args=flags)
    yield browser
    browser.close()


@pytest.fixture
def context(device: Browser, tablet: Served, complaints: Complaints) -> Iterator[BrowserContext]:
    made = device.new_context(base_url=address(tablet))
    made.on("page", complaints.watch)
    yield made
    made.close()


def test_a_device_without_that_trust_is_stopped(chromium, tablet):
    context = chromium.new_context()
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        context.new_page().goto(address(tablet))
    context.close()


def set_up_an_authenticator(page) -> None:
    """What everybody does once who works where real people are treated."""
    held = Authenticator(base64.b32decode(page.locator(".typed").inner_text().replace(" ", "")))
    page.get_by_label("The code it shows now").fill(held.code())
    page.get_by_role("button", name="Use this authenticator").click()
    page.get_by_role("link", name="I have kept them").click()
    page.get_by_role("link", name="Today").click()
    page.wait_for_url(lambda url: url.endswith("/"))


def test_signing_in_and_bringing_in_the_next_tablet(context, axe, look):
    page = context.new_page()
    page.goto("/")
    assert page.evaluate(CAN_KEEP)
    axe(page)
    page.fill("input[name=username]", "mara")
    page.fill("input[name=password]", OTHER_PASSWORD)
    page.click("main button")
    set_up_an_authenticator(page)
    page.click("text=Drawing on a tablet")
    page.wait_for_url("**/tablet/")
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        axe(page)
        assert page.evaluate(CUT_OFF) <= 0
    assert page.locator("svg.qr").bounding_box()["width"] > 200
    look(page, "tablet")
    assert {(each["name"], each["secure"], each["sameSite"]) for each in context.cookies()} == {
        ("__Host-csrf", True, "Strict"),
        ("__Host-session", True, "Strict"),
        ("__Host-device", True, "Strict"),
    }
    with page.expect_download() as download:
        page.click("text=Download the certificate")
    kept = Path(download.value.path()).read_bytes()
    assert (
        x509.load_der_x509_certificate(kept)
        .subject.rfc4514_string()
        .startswith("CN=Tautline of this practice")
    )
