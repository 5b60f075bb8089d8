"""A file that somebody sent, turned into pictures by a process of its own.

What is decoded may have been made to do harm. The process knows no secret key, and has little memory and
little time; when it dies, one upload is refused and the practice goes on.
"""

import json
import subprocess
import sys
from dataclasses import dataclass
from threading import BoundedSemaphore

from django.conf import settings

MOST_BYTES = 10 * 1024 * 1024
# From memory: twenty pages take some five seconds on a small machine.
SECONDS = 45
TOO_LONG = "This file takes too long to read. Take a photograph of the paper, and add that instead."
UNREADABLE = (
    "This file could not be read. Open it on a computer, print it to a new PDF or save it as a JPEG picture, "
    "and add that instead."
)
_PROGRAM = [sys.executable, "-m", "charting.contacts.pictures"]
# Each keeps a core busy: more at once would make every page of the practice wait.
_few_at_once = BoundedSemaphore(2)


class NotTaken(Exception):
    """Why a file is not taken, and what to do instead."""


@dataclass(frozen=True)
class Picture:
    """One page, made here: nothing of the file it came from but what was to be seen."""

    media_type: str
    content: bytes


def pictures_of(data: bytes) -> tuple[Picture, ...]:
    """The pages of a JPEG, PNG or PDF as pictures. Raises NotTaken for anything else and anything broken."""
    try:
        with _few_at_once:
            told = subprocess.run(
                _PROGRAM, input=data, capture_output=True, cwd=settings.BASE, timeout=SECONDS, env={}
            )
    except subprocess.TimeoutExpired as problem:
        raise NotTaken(TOO_LONG) from problem
    if told.returncode:
        raise NotTaken(UNREADABLE)
    return _read(told.stdout)


def _read(told: bytes) -> tuple[Picture, ...]:
    head, _, body = told.partition(b"\n")
    said = json.loads(head)
    if "refused" in said:
        raise NotTaken(said["refused"])
    pictures, at = [], 0
    for media_type, length in said["pictures"]:
        pictures.append(Picture(media_type, body[at : at + length]))
        at += length
    return tuple(pictures)
