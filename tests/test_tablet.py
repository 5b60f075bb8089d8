"""`make tablet`: what it refuses, what it prints, and a real server that a tablet can trust."""

import http.client
import os
import re
import select
import socket
import ssl
import subprocess
import sys

import pytest
import zxingcpp
from PIL import Image

from clinic import network, start
from clinic.machine import Lacking
from tests.test_serve import Served
from tests.test_start import ROOT, free_port, said
from tests.test_start import start as started

OTHER_PASSWORD = "three calm herons wade"
# The machine's own address stands in for one on the practice's network: a build machine may have no network.
HERE = {"TAUTLINE_ADDRESS": "127.0.0.1"}
PUBLISHED = "try-the-demo-practice"
READY = re.compile(r"^Tautline is ready at (https://127\.0\.0\.1:\d+/)$", re.MULTILINE)


def manage(data, code: str) -> None:
    """Run some lines on the practice in `data`, as its owner would at the command line."""
    lines = f"import django; django.setup(); from charting.staff.models import User; {code}"
    environment = {**os.environ, "TAUTLINE_DATA": str(data), "DJANGO_SETTINGS_MODULE": "clinic.settings"}
    environment.pop("TAUTLINE_SECRET_KEY", None)
    environment.pop("DATABASE_URL", None)
    subprocess.run([sys.executable, "-c", lines], cwd=ROOT, env=environment, check=True, timeout=60)


def tablet(data, **more) -> subprocess.CompletedProcess[str]:
    return started(
        "-m", "clinic.start", "tablet", PORT=free_port(), TAUTLINE_DATA=str(data), **{**HERE, **more}
    )


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """A data folder with the three accounts of the demo practice; the patients are of no matter here."""
    data = tmp_path_factory.mktemp("demo") / "data"
    data.mkdir()
    accounts = (
        "from django.core.management import call_command; call_command('migrate', verbosity=0);"
        "from charting.staff.models import Practice; from charting.management import demo;"
        "practice = Practice.objects.create(name=demo.load()['practice']['name']);"
        "[User.objects.create_user(each['username'], password=demo.load()['password'], practice=practice)"
        " for each in demo.load()['staff']]"
    )
    manage(data, accounts)
    return data


@pytest.fixture(scope="module")
def refusals(demo):
    """What is said with all demo passwords, and then with one of the three."""
    first = tablet(demo)
    change = "[(u.set_password(%r), u.save()) for u in User.objects.exclude(username='owner')]"
    manage(demo, change % OTHER_PASSWORD)
    return first, tablet(demo)


@pytest.fixture(scope="module")
def served(demo, refusals):
    """The server, once every password was changed."""
    manage(demo, f"u = User.objects.get(username='owner'); u.set_password({OTHER_PASSWORD!r}); u.save()")
    server = Served(demo, "tablet", **HERE)
    yield server
    server.stop()


@pytest.fixture(scope="module")
def authority(demo):
    return demo / "certificates" / "authority.crt"


def test_it_refuses_while_everybody_can_read_the_password(refusals):
    line = said(refusals[0])
    assert "clinician" in line and "owner" in line
    assert "add_staff" in line and "TAUTLINE_DATA" in line and "changepassword" in line


def test_it_refuses_for_a_single_one_and_names_it(refusals):
    line = said(refusals[1])
    assert "of owner," in line and "clinician" not in line


def test_it_starts_once_every_password_was_changed(served):
    assert READY.search("\n".join(served.lines)), served.lines


def test_it_never_makes_the_demo_practice_and_says_how_the_first_person_comes_in(tmp_path):
    server = Served(tmp_path / "data", "tablet", **HERE)
    told = "\n".join(server.lines)
    assert server.stop() == 0
    assert "Making the demo practice" not in told and PUBLISHED not in told
    assert "Nobody can sign in yet" in told and "manage.py add_staff" in told
    assert f"TAUTLINE_DATA={tmp_path / 'data'}" in told


def test_it_refuses_to_show_the_inside_of_the_program_to_a_network(tmp_path):
    # Past clinic.start, whose environment leaves TAUTLINE_DEBUG as it was given.
    assert "leave it out" in said(tablet(tmp_path, TAUTLINE_DEBUG="1"))


@pytest.mark.parametrize("address", ["8.8.8.8", "2001:db8::1", "not an address"])
def test_it_refuses_an_address_that_is_none_of_a_private_network(address, tmp_path):
    assert "TAUTLINE_ADDRESS holds" in said(tablet(tmp_path, TAUTLINE_ADDRESS=address))


@pytest.mark.parametrize(("found", "words"), [((), "no address"), (("198.51.100.7",), "only 198.51.100.7")])
def test_it_refuses_without_a_private_address(found, words, monkeypatch):
    found = [network.ipaddress.ip_address(each) for each in found]
    monkeypatch.setattr(network, "found_here", lambda: iter(found))
    monkeypatch.delenv("TAUTLINE_ADDRESS", raising=False)
    with pytest.raises(Lacking, match=words) as refusal:
        start.check_network()
    assert "\n" not in str(refusal.value) and str(refusal.value).endswith(".")


# What it prints


def test_the_code_in_the_terminal_leads_to_the_address(served):
    """Read by a decoder that has nothing to do with the program that made it."""
    (found,) = zxingcpp.read_barcodes(picture_of(served.lines))
    assert found.text == address(served)


def picture_of(lines: list[str], square: int = 4) -> Image.Image:
    """The half blocks as a terminal shows them, in the colours they ask for."""
    rows = []
    for line in lines:
        squares = re.fullmatch(r"\x1b\[38;5;16;48;5;231m([ ▀▄█]+)\x1b\[0m", line)
        if squares:
            rows.append([sign in "▀█" for sign in squares[1]])
            rows.append([sign in "▄█" for sign in squares[1]])
    made = Image.new("L", (len(rows[0]), len(rows)), 255)
    made.putdata([0 if dark else 255 for row in rows for dark in row])
    return made.resize((made.width * square, made.height * square), Image.Resampling.NEAREST)


def test_it_prints_the_fingerprint_the_file_and_the_steps(served, authority):
    told = "\n".join(served.lines)
    der = ssl.PEM_cert_to_DER_cert(authority.read_text())
    by_openssl = subprocess.run(
        ["openssl", "x509", "-inform", "der", "-noout", "-fingerprint", "-sha256"],
        input=der,
        capture_output=True,
        check=True,
    ).stdout.decode()
    assert by_openssl.strip().split("=")[1] in "".join(told.split())
    assert str(authority) in told
    for words in ("Certificate Trust Settings", "CA certificate", "broken connection"):
        assert words in " ".join(told.split())


# The line


def address(served) -> str:
    return READY.search("\n".join(served.lines))[1]


def port(served) -> int:
    return int(address(served).rsplit(":", 1)[1].strip("/"))


def trusting(authority) -> ssl.SSLContext:
    """A device that trusts this practice's authority and nothing else."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.load_verify_locations(authority)
    return context


def ask(served, context, path, host="127.0.0.1", method="GET", body=None, **headers):
    line = http.client.HTTPSConnection(host, port(served), context=context, timeout=20)
    line.request(method, path, body=body, headers=headers)
    answer = line.getresponse()
    answer.content = answer.read()
    line.close()
    return answer


def test_a_device_that_trusts_the_authority_gets_through(served, authority):
    assert ask(served, trusting(authority), "/healthz").status == 200
    assert ask(served, trusting(authority), "/healthz", host="localhost").status == 200


def test_a_device_that_does_not_is_warned(served):
    with pytest.raises(ssl.SSLCertVerificationError):
        ask(served, ssl.create_default_context(), "/healthz")


def test_it_answers_to_the_names_in_its_certificate_only(served, authority):
    """Asked on an address that is bound, but not in the certificate: another one of the machine itself."""
    context = trusting(authority)
    with pytest.raises(ssl.SSLCertVerificationError, match="not valid for '127.0.0.9'"):
        ask(served, context, "/sign-in/", host="127.0.0.9")
    assert ask(served, context, "/sign-in/", Host="elsewhere.example").status == 400
    assert ask(served, context, "/sign-in/", Host=f"127.0.0.9:{port(served)}").status == 400


def test_signing_in_leaves_cookies_that_never_cross_in_the_clear(served, authority):
    context = trusting(authority)
    page = ask(served, context, "/sign-in/")
    assert page.getheader("Strict-Transport-Security").startswith("max-age=")
    assert "default-src 'none'" in page.getheader("Content-Security-Policy")
    csrf = page.getheader("Set-Cookie").split(";")[0]
    token = re.search(rb'name="csrfmiddlewaretoken" value="([^"]+)"', page.content)[1].decode()
    form = f"csrfmiddlewaretoken={token}&username=clinician&password={OTHER_PASSWORD.replace(' ', '+')}"
    kind = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": csrf}
    origin = address(served).rstrip("/")
    answer = ask(served, context, "/sign-in/", method="POST", body=form, Origin=origin, **kind)
    assert answer.status == 302
    cookies = answer.headers.get_all("Set-Cookie")
    # The token of a hand-over is only taken away here.
    kept = [each for each in cookies if each.startswith("__Host-") and "Max-Age=0" not in each]
    assert {cookie.split("=")[0] for cookie in kept} == {"__Host-csrf", "__Host-session", "__Host-device"}
    for cookie in kept:
        assert "Secure" in cookie and "HttpOnly" in cookie and "Path=/" in cookie and "Domain" not in cookie
    elsewhere = ask(
        served, context, "/sign-in/", method="POST", body=form, Origin="https://e.example", **kind
    )
    assert elsewhere.status == 403


def test_the_certificate_can_be_had_before_signing_in(served, authority):
    answer = ask(served, trusting(authority), "/tablet/authority.crt")
    assert answer.status == 200 and answer.getheader("Content-Type") == "application/x-x509-ca-cert"
    assert answer.content == ssl.PEM_cert_to_DER_cert(authority.read_text())
    assert b"/tablet/authority.crt" in ask(served, trusting(authority), "/sign-in/").content


def test_what_any_network_brings_leaves_no_traceback_in_the_terminal(served, authority):
    """Plain http, a device that does not trust us yet, a wrong name."""
    printed(served)
    line = http.client.HTTPConnection("127.0.0.1", port(served), timeout=20)
    with pytest.raises((http.client.HTTPException, OSError)):
        line.request("GET", "/")
        line.getresponse()
    line.close()
    with pytest.raises(ssl.SSLCertVerificationError):
        ask(served, ssl.create_default_context(), "/healthz")
    ask(served, trusting(authority), "/sign-in/", Host="elsewhere.example")
    assert printed(served) == ""


def printed(served) -> str:
    """What the server printed since the last look."""
    out = served.process.stdout.fileno()
    said = b""
    while select.select([out], [], [], 0.2)[0]:
        said += os.read(out, 65536)
    return said.decode()


def test_tablets_that_fall_silent_do_not_hold_the_server(served, authority):
    """More of them than there are threads (2 workers of 4), stuck in the handshake and in a request."""
    stuck = [socket.create_connection(("127.0.0.1", port(served))) for _ in range(6)]
    for line in stuck:
        line.sendall(b"\x16\x03\x01")
    context = trusting(authority)
    for _ in range(6):
        line = context.wrap_socket(
            socket.create_connection(("127.0.0.1", port(served))), server_hostname="127.0.0.1"
        )
        line.sendall(b"POST /board/save/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 999\r\n\r\n{")
        stuck.append(line)
    # `ask` gives up after 20 s.
    assert ask(served, context, "/healthz").status == 200
    for line in stuck:
        line.close()
