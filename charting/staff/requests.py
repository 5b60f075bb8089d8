"""Who is behind a request: the signed-in member of staff, and the address it came from."""

import ipaddress
from typing import cast

from django.http import HttpRequest

from charting.staff.models import User


def staff(request: HttpRequest) -> User:
    """The user; LoginRequiredMiddleware has made sure that there is one."""
    return cast(User, request.user)


def address_of(request: HttpRequest) -> str:
    """The address of the device. Behind a web server on this machine it is what that server says: the last
    entry of X-Forwarded-For, for the ones before it are the visitor's own words.
    """
    address = ipaddress.ip_address(request.META["REMOTE_ADDR"])
    said = request.headers.get("X-Forwarded-For", "").rsplit(",", 1)[-1].strip()
    if said and _plain(address).is_loopback:
        try:
            address = ipaddress.ip_address(said)
        except ValueError:
            return str(_plain(address))
    return str(_plain(address))


def _plain(
    address: ipaddress.IPv4Address | ipaddress.IPv6Address,
) -> ipaddress.IPv4Address | ipaddress.IPv6Address:
    """An IPv4 address that came over a socket for both families, as IPv4 again."""
    return getattr(address, "ipv4_mapped", None) or address
