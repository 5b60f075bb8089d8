"""The page that brings a tablet in, and the certificate that anybody may have."""

import hashlib
import re

import pypdfium2
import pytest
import weasyprint
import zxingcpp

from charting.entrance import trust
from clinic.authority import make_ready

URLS = ["https://192.168.1.20:8443/", "https://desk.local:8443/"]


@pytest.fixture
def served(tmp_path, settings):
    """As `make tablet` sets it up."""
    make_ready(tmp_path, ("192.168.1.20", "desk.local"))
    settings.AUTHORITY = tmp_path / "authority.crt"
    settings.TABLET_URLS = URLS
    settings.TLS = True


def test_the_code_on_the_page_leads_to_the_address(served, as_mara):
    """Drawn and read by programs that have nothing to do with the one that made it."""
    page = as_mara.get("/tablet/").content.decode()
    svg = re.search(r"<svg.*?</svg>", page, re.DOTALL)[0]
    sheet = weasyprint.HTML(string=f"<style>svg {{ width: 8cm }}</style>{svg}").write_pdf()
    picture = pypdfium2.PdfDocument(sheet)[0].render(scale=3).to_pil()
    assert [found.text for found in zxingcpp.read_barcodes(picture)] == URLS[:1]


def test_it_shows_the_addresses_the_fingerprint_and_the_steps(served, as_mara):
    page = as_mara.get("/tablet/").content.decode()
    assert all(url in page for url in URLS)
    certificate = as_mara.get("/tablet/authority.crt").content
    digest = hashlib.sha256(certificate).hexdigest().upper()
    assert "".join(re.findall(r"<span>([0-9A-F:]+)</span>", page)).replace(":", "") == digest
    for device in ("iPad", "Android", "Windows"):
        assert device in page
    assert "broken connection" in page and 'href="/tablet/authority.crt"' in page


def test_it_says_how_to_begin_when_nothing_is_served_to_tablets(as_mara):
    page = as_mara.get("/tablet/").content.decode()
    assert "make tablet" in page and "<svg" not in page


def test_it_leaves_a_web_server_with_its_own_certificate_alone(as_mara, settings):
    settings.TLS = True
    page = as_mara.get("/tablet/", secure=True).content.decode()
    assert "make tablet" not in page and "web server" in page


def test_the_day_leads_to_it(as_poll):
    assert 'href="/tablet/"' in as_poll.get("/").content.decode()


def test_a_device_gets_the_certificate_before_anybody_signs_in(served, client):
    answer = client.get("/tablet/authority.crt")
    assert answer.status_code == 200 and answer.headers["Content-Type"] == "application/x-x509-ca-cert"
    assert answer.content == trust.certificate() and b"PRIVATE" not in answer.content
    assert 'href="/tablet/authority.crt"' in client.get("/sign-in/").content.decode()


def test_the_way_in_does_not_offer_a_certificate_that_is_not_there(client, db):
    assert "authority.crt" not in client.get("/sign-in/").content.decode()
    assert client.get("/tablet/authority.crt").status_code == 404
