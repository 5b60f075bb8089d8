"""A stream of bytes sealed under a key: nobody reads it, and nobody changes, shortens or reorders it unseen.

AES-256-GCM in chunks of 64 KB, by the STREAM construction (Hoang, Reyhanitabar, Rogaway, Vizar 2015: Online
authenticated encryption and its nonce-reuse misuse-resistance): the nonce of a chunk holds its number and
whether it is the last. Each file has a key of its own: from a key file by HKDF-SHA256 (RFC 5869), from a
passphrase by scrypt (RFC 7914; cost after the OWASP password storage cheat sheet: N 2^17, r 8, p 1).

    header: magic 8 bytes | way 1 byte (1 key file, 2 passphrase) | log2 N 1 byte | salt 16 | nonce prefix 7
    then each chunk: up to 65,536 bytes as AES-GCM gives them, 16 bytes of tag at the end; header as its
    associated data; nonce: prefix 7 | number from 0, 4 bytes big-endian | 1 if it is the last, else 0
"""

import io
import secrets
import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer, WriteableBuffer

MAGIC = b"TAUTSEA1"
HEADER = struct.Struct(">8sBB16s7s")
CHUNK = 64 * 1024
TAG = 16
KEY_FILE, PASSPHRASE = 1, 2
COST = 17
# A header of somebody else's making must not ask for all the memory there is: N 2^20 takes 1 GB.
MOST_COST = 20
BLOCK, LANES = 8, 1
ABOUT = b"tautline backup 1"


class Unopened(Exception):
    """It cannot be opened; the message says why, as far as that can be known."""


@dataclass(frozen=True)
class Key:
    """What opens and closes: 32 random bytes of a key file, or a passphrase. Never printed."""

    way: int
    secret: bytes

    def __repr__(self) -> str:
        return f"Key(way={self.way})"


def is_sealed(start: bytes) -> bool:
    """Whether a file that begins so is one of these."""
    return start.startswith(MAGIC)


class Sealing(io.RawIOBase):
    """Write into it; what arrives in `into` is sealed. `close()` writes the last chunk: without it the file
    is one that was cut off. `into` stays open.
    """

    def __init__(self, into: BinaryIO, key: Key) -> None:
        cost = COST if key.way == PASSPHRASE else 0
        self._prefix = secrets.token_bytes(7)
        salt = secrets.token_bytes(16)
        self._header = HEADER.pack(MAGIC, key.way, cost, salt, self._prefix)
        self._cipher = _cipher(key, cost, salt)
        self._into, self._waits, self._number = into, bytearray(), 0
        into.write(self._header)

    def writable(self) -> bool:
        return True

    def write(self, data: "ReadableBuffer", /) -> int:
        given = memoryview(data)
        self._waits += given
        # A full chunk waits until more follows: only then is it known not to be the last.
        while len(self._waits) > CHUNK:
            self._put(bytes(self._waits[:CHUNK]), last=False)
            del self._waits[:CHUNK]
        return given.nbytes

    def close(self) -> None:
        if not self.closed:
            self._put(bytes(self._waits), last=True)
        super().close()

    def _put(self, chunk: bytes, *, last: bool) -> None:
        nonce = _nonce(self._prefix, self._number, last=last)
        self._into.write(self._cipher.encrypt(nonce, chunk, self._header))
        self._number += 1


class Opening(io.RawIOBase):
    """Read from it what `sealed` holds. Raises Unopened for a wrong key and for anything that was changed or
    is missing, before a byte of that chunk is given out.
    """

    def __init__(self, sealed: BinaryIO, key: Key) -> None:
        self._header = sealed.read(HEADER.size)
        if len(self._header) < HEADER.size or not is_sealed(self._header):
            raise Unopened("This is not an encrypted copy.")
        _, way, cost, salt, self._prefix = HEADER.unpack(self._header)
        if way != key.way:
            raise Unopened(f"This copy is opened with a {'key file' if way == KEY_FILE else 'passphrase'}.")
        self._cipher = _cipher(key, cost, salt)
        self._sealed, self._number, self._ready = sealed, 0, b""
        self._next = sealed.read(CHUNK + TAG)
        self._over = False

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: "WriteableBuffer", /) -> int:
        room = memoryview(buffer).cast("B")
        while not self._ready and not self._over:
            self._ready = self._chunk()
        given = self._ready[: len(room)]
        room[: len(given)] = given
        self._ready = self._ready[len(given) :]
        return len(given)

    def _chunk(self) -> bytes:
        chunk, self._next = self._next, self._sealed.read(CHUNK + TAG)
        self._over = not self._next
        nonce = _nonce(self._prefix, self._number, last=self._over)
        self._number += 1
        try:
            return self._cipher.decrypt(nonce, chunk, self._header)
        except InvalidTag:
            raise Unopened(self._why()) from None

    def _why(self) -> str:
        if self._number == 1:
            return "Wrong key, or the beginning of the copy was changed."
        return "The copy was changed or cut off: what follows here cannot be trusted."


def _cipher(key: Key, cost: int, salt: bytes) -> AESGCM:
    if key.way == KEY_FILE:
        return AESGCM(HKDF(hashes.SHA256(), length=32, salt=salt, info=ABOUT).derive(key.secret))
    if not 10 <= cost <= MOST_COST:
        raise Unopened("The beginning of the copy was changed.")
    return AESGCM(Scrypt(salt=salt, length=32, n=2**cost, r=BLOCK, p=LANES).derive(key.secret))


def _nonce(prefix: bytes, number: int, *, last: bool) -> bytes:
    # struct refuses a number above 2^32 - 1: 256 TB.
    return prefix + struct.pack(">IB", number, last)
