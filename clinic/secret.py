"""The key that signs sessions: made once, on the first start, readable by its owner only."""

import os
import secrets
from pathlib import Path


def read_secret(path: Path) -> str:
    """The stored key, or "" when none was made yet.

    "" lets the commands that need no secret run; Django itself refuses to sign with it.
    """
    try:
        return path.read_text().strip()
    except OSError:
        return ""


def make_secret(path: Path) -> None:
    """Write a new key unless one is there. The file is created with rights 600, never widened later."""
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    except FileExistsError:
        return
    with os.fdopen(handle, "w") as file:
        file.write(secrets.token_urlsafe(64))
