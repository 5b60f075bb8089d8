"""The key of a copy: a file of 32 random bytes in hex, or a passphrase."""

import os
import re
import secrets
from pathlib import Path

from charting.safekeeping.sealed import KEY_FILE, PASSPHRASE, Key

# Common practice: with scrypt behind it, four or more words chosen by dice.
SHORTEST = 16
IN_HEX = re.compile(r"[0-9a-f]{64}")


class NoKey(ValueError):
    """There is no key to be had; the message says what to mend."""


def from_file(path: Path) -> Key:
    """Raises NoKey."""
    try:
        said = path.read_text().strip().lower()
    except (OSError, UnicodeDecodeError) as problem:
        raise NoKey(f"The key file {path} cannot be read ({problem}).") from None
    if not IN_HEX.fullmatch(said):
        raise NoKey(f"{path} is no key file: it must hold 64 hex digits and nothing else.")
    return Key(KEY_FILE, bytes.fromhex(said))


def make_file(path: Path) -> None:
    """A new key, readable by its owner only. Raises NoKey where there is a file already."""
    try:
        handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    except OSError as problem:
        raise NoKey(f"The key file {path} cannot be made ({problem.strerror}).") from None
    with os.fdopen(handle, "w") as file:
        file.write(f"{secrets.token_hex(32)}\n")
        file.flush()
        os.fsync(file.fileno())


def from_words(words: str) -> Key:
    """Of a passphrase. Raises NoKey when it is too short."""
    if len(words) < SHORTEST:
        raise NoKey(f"A passphrase needs {SHORTEST} characters or more: take several words.")
    return Key(PASSPHRASE, words.encode())
