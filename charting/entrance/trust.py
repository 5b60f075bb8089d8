"""How a device comes to trust this server: the steps, and the authority's certificate, open to anybody."""

import hashlib
import ssl
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import segno
from django.conf import settings

FILE = Path(__file__).parent / "trust.toml"
# What it means not to; the same words at the terminal and on the page.
WITHOUT_TRUST = (
    "Until a device trusts the certificate, its browser warns, and a drawing does not outlast a broken "
    "connection: keeping strokes on the device works over trusted connections only."
)


@dataclass(frozen=True)
class Device:
    """A make of device, and what to do on it, once."""

    name: str
    steps: tuple[str, ...]


@cache
def devices() -> tuple[Device, ...]:
    told = tomllib.loads(FILE.read_text(encoding="utf-8"))
    return tuple(Device(each["name"], tuple(each["steps"])) for each in told["device"])


def certificate() -> bytes:
    """The authority's certificate (DER); b"" when none was made yet."""
    try:
        return ssl.PEM_cert_to_DER_cert(settings.AUTHORITY.read_text(encoding="ascii"))
    except FileNotFoundError:
        return b""


def fingerprint(made: bytes) -> tuple[str, str]:
    """SHA-256 in pairs as devices show it, "3F:0A:...", in two lines."""
    pairs = hashlib.sha256(made).digest().hex(":").upper()
    return pairs[:48], pairs[48:]


def qr(url: str) -> segno.QRCode:
    """Error correction M: a screen has no dirt on it, and fewer squares are easier to scan."""
    return segno.make(url, error="m", boost_error=False, micro=False)
