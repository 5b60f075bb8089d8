"""What the day page and the page about tablets may use."""

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from django.conf import settings
from django.utils.safestring import SafeString, mark_safe

from charting.entrance import trust
from charting.entrance.trust import Device
from charting.visits.models import Visit


@dataclass(frozen=True)
class TodayPage:
    """The day: what is open and to be finished."""

    MOST: ClassVar[int] = 50
    MOST_SIGNED: ClassVar[int] = 5

    now: datetime
    open_visits: tuple[Visit, ...]
    signed_last: tuple[Visit, ...]
    # Whether this person may read the chart, or only hand the device over.
    opens: bool


@dataclass(frozen=True)
class TabletPage:
    """How a tablet comes in: `urls` is empty when this server listens on its own machine only."""

    urls: tuple[str, ...]
    # Behind a web server with a certificate of its own there is nothing to trust first.
    is_secure: bool
    qr: SafeString
    fingerprint: tuple[str, ...]
    devices: tuple[Device, ...]
    without_trust: str = trust.WITHOUT_TRUST


def tablet_page() -> TabletPage:
    urls = tuple(settings.TABLET_URLS)
    made = trust.certificate()
    return TabletPage(
        urls=urls,
        is_secure=settings.TLS,
        qr=_svg(urls[0]) if urls else SafeString(),
        fingerprint=trust.fingerprint(made) if made else (),
        devices=trust.devices(),
    )


def _svg(url: str) -> SafeString:
    """The code as inline SVG, with nothing of the address in it but its squares."""
    made = trust.qr(url).svg_inline(border=4, omitsize=True, svgclass="qr", lineclass=None, light="#fff")
    return mark_safe(made)  # noqa: S308 - made by segno from an address of our own
