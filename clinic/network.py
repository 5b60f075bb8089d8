"""Where this machine is found on the practice's own network (standard library).

Reads what the system already knows; sends nothing.
"""

import ipaddress
import re
import socket
import struct
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

Address = ipaddress.IPv4Address | ipaddress.IPv6Address

# Addresses that no machine on the internet has: the machine itself, private networks (RFC 1918, RFC 4193),
# link-local (RFC 3927, RFC 4291). The practice's authority vouches for these and for no others.
OWN = tuple(
    ipaddress.ip_network(network)
    for network in (
        "127.0.0.0/8",
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "169.254.0.0/16",
        "::1/128",
        "fc00::/7",
        "fe80::/10",
    )
)
LOOPBACK = ("127.0.0.1", "::1")
IOCTL_ADDRESS = 0x8915  # SIOCGIFADDR of Linux
IPV6_TABLE = Path("/proc/net/if_inet6")
# Never sent to: only asked for the address that a packet to it would leave from (RFC 5737, RFC 3849).
FAR_AWAY = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))


@dataclass(frozen=True)
class Place:
    """`addresses`: on private networks, the likeliest first. `name`: as in "desk.local", or "".
    `left_out`: addresses this machine also has, for which the authority may not vouch.
    """

    addresses: tuple[str, ...]
    name: str
    left_out: tuple[str, ...] = ()

    @property
    def hosts(self) -> tuple[str, ...]:
        """Everything the certificate names: exactly what the server answers to."""
        names = ("localhost", self.name) if self.name else ("localhost",)
        return tuple(dict.fromkeys((*self.addresses, *LOOPBACK, *names)))

    def urls(self, port: str) -> tuple[str, ...]:
        """The addresses for a tablet, the likeliest first, the name last."""
        hosts = (*self.addresses, self.name) if self.name else self.addresses
        return tuple(f"https://{f'[{host}]' if ':' in host else host}:{port}/" for host in hosts)


def place(chosen: str = "") -> Place:
    """`chosen`: addresses with commas, instead of those that this machine says it has.

    Raises ValueError, a sentence without its full stop, when no tablet could find this machine: no address,
    or none of a private network.
    """
    if chosen:
        return Place(tuple(dict.fromkeys(_usable(each.strip()) for each in chosen.split(","))), local_name())
    found = list(dict.fromkeys(found_here()))
    ours = tuple(str(each) for each in found if is_own(each))
    others = tuple(str(each) for each in found if not is_own(each))
    if not ours:
        but = f" (only {', '.join(others)}, which is none)" if others else ""
        raise ValueError(
            f"This machine has no address on a private network{but}: connect it to the network that the "
            "tablets are on, or name its address there in TAUTLINE_ADDRESS"
        )
    return Place(ours, local_name(), others)


def is_own(address: Address) -> bool:
    return any(address in network for network in OWN)


def local_name(host: str | None = None) -> str:
    """The name by which machines of one network find each other (RFC 6762), or "" when this one has none."""
    label = (socket.gethostname() if host is None else host).split(".")[0].lower()
    fits = re.fullmatch(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?", label)
    return f"{label}.local" if fits and label != "localhost" else ""


def found_here() -> Iterator[Address]:
    """Every address of this machine but loopback and fe80 ones, which no browser can be sent to. The one
    that reaches the rest of the world comes first: tablets are most likely on its network.
    """
    for address in (*_towards_the_world(), *_of_interfaces(), *_of_ipv6_table()):
        if not address.is_loopback and not (address.version == 6 and address.is_link_local):
            yield address


def _usable(text: str) -> str:
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        raise ValueError(f"TAUTLINE_ADDRESS holds '{text}', which is no network address") from None
    if not is_own(address):
        raise ValueError(f"TAUTLINE_ADDRESS holds {address}, which is no address of a private network")
    return str(address)


def _towards_the_world() -> Iterator[Address]:
    for family, far_away in FAR_AWAY:
        with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as trial:
            trial.connect((far_away, 9))
            yield ipaddress.ip_address(trial.getsockname()[0])


def _of_interfaces() -> Iterator[Address]:
    """The first IPv4 address of each interface; nothing where the system is no Linux."""
    try:
        import fcntl
    except ImportError:
        return
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        for _, name in socket.if_nameindex():
            with suppress(OSError):
                told = fcntl.ioctl(asking.fileno(), IOCTL_ADDRESS, struct.pack("256s", name.encode()[:15]))
                yield ipaddress.ip_address(told[20:24])


def _of_ipv6_table() -> Iterator[Address]:
    with suppress(OSError):
        for line in IPV6_TABLE.read_text().splitlines():
            yield ipaddress.ip_address(bytes.fromhex(line.split()[0]))
