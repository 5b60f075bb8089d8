"""Where a request came from, known to every row of the trail without being handed through each service."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_address: ContextVar[str] = ContextVar("address", default="")


def address() -> str:
    """The address of the device that asks; "" for a command."""
    return _address.get()


@contextmanager
def asked_from(device: str) -> Iterator[None]:
    token = _address.set(device)
    try:
        yield
    finally:
        _address.reset(token)
