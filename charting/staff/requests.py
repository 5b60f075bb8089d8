"""Who is behind a request: the signed-in member of staff, and the address it came from."""

import ipaddress
from typing import cast

from django.conf import settings
from django.http import HttpRequest

from charting.staff.models import User

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


def staff(request: HttpRequest) -> User:
    """The user; LoginRequiredMiddleware has made sure that there is one."""
    return cast(User, request.user)


def address_of(request: HttpRequest) -> str:
    """The address of the device. Behind proxies we know (settings.TRUSTED_PROXIES) it is the last entry of
    X-Forwarded-For that is none of theirs; those before it are the visitor's own words.
    """
    # A socket file has no address: whoever reaches it stands on this machine.
    address = _plain(ipaddress.ip_address(request.META["REMOTE_ADDR"] or "127.0.0.1"))
    for said in reversed(request.headers.get("X-Forwarded-For", "").split(",")):
        if not is_trusted(address):
            break
        try:
            address = _plain(ipaddress.ip_address(said.strip()))
        except ValueError:
            break
    return str(address)


def asked_by_proxy(request: HttpRequest) -> bool:
    """Whether whoever is at the other end of this line is a proxy of ours, or on this machine."""
    return is_trusted(_plain(ipaddress.ip_address(request.META["REMOTE_ADDR"] or "127.0.0.1")))


def is_trusted(address: Address) -> bool:
    """Whether this is a proxy of ours, or this machine."""
    return any(address in network for network in settings.TRUSTED_PROXIES)


def _plain(address: Address) -> Address:
    """An IPv4 address that came over a socket for both families, as IPv4 again."""
    return getattr(address, "ipv4_mapped", None) or address
