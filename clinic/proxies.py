"""Whose word is taken for where a request came from: the web servers and proxies that stand before us."""

import ipaddress

Network = ipaddress.IPv4Network | ipaddress.IPv6Network
# A web server on this machine.
OWN = ("127.0.0.0/8", "::1/128")


def networks(told: str) -> tuple[Network, ...]:
    """This machine and those of `told`: addresses or networks, with commas between ("10.0.0.5,10.1.0.0/24").

    Raises ValueError that names what can't be read, or reaches too far.
    """
    said = [each.strip() for each in told.split(",") if each.strip()]
    return tuple(_network(each) for each in (*OWN, *said))


def _network(said: str) -> Network:
    try:
        found = ipaddress.ip_network(said)
    except ValueError as problem:
        raise ValueError(
            f"TAUTLINE_PROXIES: {said!r} is neither an address nor a network like 10.0.0.0/24"
        ) from problem
    if found.prefixlen == 0:
        raise ValueError(
            "TAUTLINE_PROXIES: a network of every address would let each visitor say where they are"
        )
    return found
