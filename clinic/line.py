"""The encrypted line to a tablet, and what becomes of it when the tablet falls silent.

Gunicorn reads a request without a limit of time. Eight tablets that lost the wireless network in the middle
of one would hold all eight threads for ever; so a line on which nothing comes is given up.
"""

import errno
import socket
import ssl
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from typing import Any

# No byte for so long, in a handshake or within a request: a request of ours is at most 256 KB.
SILENCE = 5.0


class Line(ssl.SSLSocket):
    """An SSL socket that does not wait for ever. What gunicorn asks of it stays the same."""

    def setblocking(self, flag: bool) -> None:
        self.settimeout(SILENCE if flag else 0.0)

    def do_handshake(self, block: bool = False) -> None:
        """Every failure ends as a closed line: a browser that doesn't trust us yet, plain http, silence."""
        self.settimeout(SILENCE)
        try:
            super().do_handshake(block)
        except OSError as problem:
            raise self._gone() from problem

    def recv(self, buflen: int = 1024, flags: int = 0) -> bytes:
        try:
            return super().recv(buflen, flags)
        except TimeoutError as problem:
            raise self._gone() from problem

    def sendall(self, data: Any, flags: int = 0) -> None:
        try:
            super().sendall(data, flags)
        except TimeoutError as problem:
            raise self._gone() from problem

    def _gone(self) -> ConnectionResetError:
        """What gunicorn takes for a visitor who left: it says nothing. Shut at once, for it would linger two
        seconds over each of them otherwise, with everybody else waiting.
        """
        with suppress(OSError):
            self.shutdown(socket.SHUT_RDWR)
        return ConnectionResetError(errno.ECONNRESET, "the other side fell silent or does not trust us")


def ssl_context(config: Any, usual: Callable[[], ssl.SSLContext]) -> ssl.SSLContext:
    """Gunicorn's hook, asked at each connection; the files are read once."""
    return _context(config.certfile, config.keyfile)


@cache
def _context(certificate: str, key: str) -> ssl.SSLContext:
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.load_cert_chain(certificate, key)
    context.sslsocket_class = Line
    return context
