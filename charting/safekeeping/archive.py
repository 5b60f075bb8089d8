"""One file with everything: a compressed tar of the manifest and of the files it names, sealed when there is
a key. The manifest comes first; whatever the tar says, only the names below are ever written to disk.
"""

import gzip
import hashlib
import io
import os
import re
import tarfile
import zlib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import IO, BinaryIO, cast

from charting.safekeeping import manifest as contents
from charting.safekeeping import sealed
from charting.safekeeping.manifest import Manifest
from charting.safekeeping.sealed import Key

MANIFEST = "manifest.json"
DATABASE = {contents.SQLITE: "database.sqlite3", contents.POSTGRES: "database.dump"}
ALLOWED = re.compile(
    rf"({re.escape(DATABASE[contents.SQLITE])}|{re.escape(DATABASE[contents.POSTGRES])}"
    r"|secret_key|certificates/[A-Za-z0-9_][A-Za-z0-9_.-]*)"
)
# Fast: a clinic waits for it each night, and a dump of PostgreSQL is compressed already.
LEVEL = 3
PART = 1024 * 1024
LARGEST_MANIFEST = 16 * 1024 * 1024


class Unreadable(ValueError):
    """This is no copy, or not a whole one; the message says what is wrong."""


def write(target: Path, manifest: Manifest, folder: Path, key: Key | None) -> None:
    """Into a new file that only its owner reads; on the disk when this returns. Raises OSError."""
    handle = os.open(target, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    with os.fdopen(handle, "wb") as file:
        with ExitStack() as open_:
            out: BinaryIO = file
            if key:
                out = cast(BinaryIO, open_.enter_context(sealed.Sealing(file, key)))
            packed = open_.enter_context(gzip.GzipFile(fileobj=out, mode="wb", compresslevel=LEVEL, mtime=0))
            tar = open_.enter_context(tarfile.open(fileobj=packed, mode="w|"))
            _put(tar, MANIFEST, contents.written(manifest))
            for name in manifest.files:
                tar.add(folder / name, arcname=name, filter=_nobodys)
        file.flush()
        os.fsync(file.fileno())


def take_out(source: Path, into: Path, key: Key | None) -> Manifest:
    """Every file into the folder `into`, each held against its hash. Raises Unreadable, sealed.Unopened for a
    wrong key or a changed file, OSError.
    """
    try:
        with _opened(source, key) as tar:
            manifest = _manifest(tar)
            left = dict(manifest.files)
            while member := tar.next():
                _take(tar, member, into, left)
    except (tarfile.TarError, EOFError, zlib.error, gzip.BadGzipFile):
        raise Unreadable(f"{source} is no copy made by 'backup', or it was damaged.") from None
    if left:
        raise Unreadable(f"Missing in the copy: {', '.join(sorted(left))}.")
    return manifest


def hash_of(file: Path) -> str:
    with file.open("rb") as read:
        return hashlib.file_digest(read, "sha256").hexdigest()


def is_sealed(source: Path) -> bool:
    with source.open("rb") as file:
        return sealed.is_sealed(file.read(len(sealed.MAGIC)))


@contextmanager
def _opened(source: Path, key: Key | None) -> Iterator[tarfile.TarFile]:
    with source.open("rb") as file, ExitStack() as open_:
        plain: IO[bytes] = file
        if key:
            plain = open_.enter_context(io.BufferedReader(sealed.Opening(file, key), PART))
        packed = open_.enter_context(gzip.GzipFile(fileobj=plain, mode="rb"))
        yield open_.enter_context(tarfile.open(fileobj=packed, mode="r|"))
        # To the very end: what was cut off or hung on behind the tar shows too.
        while packed.read(PART):
            pass


def _manifest(tar: tarfile.TarFile) -> Manifest:
    first = tar.next()
    file = tar.extractfile(first) if first and first.name == MANIFEST else None
    if file is None or cast(tarfile.TarInfo, first).size > LARGEST_MANIFEST:
        raise Unreadable("This is no copy made by 'backup': its list of contents is missing.")
    try:
        return contents.parse(file.read())
    except contents.Unreadable as problem:
        raise Unreadable(str(problem)) from None


def _take(tar: tarfile.TarFile, member: tarfile.TarInfo, into: Path, left: dict[str, str]) -> None:
    wanted = left.pop(member.name, None)
    if wanted is None or not ALLOWED.fullmatch(member.name) or not member.isreg():
        raise Unreadable(f"In the copy stands what does not belong there: {member.name!r}.")
    target = into / member.name
    target.parent.mkdir(mode=0o700, exist_ok=True)
    handle = os.open(target, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    hashed, source = hashlib.sha256(), cast(IO[bytes], tar.extractfile(member))
    with os.fdopen(handle, "wb") as out:
        while part := source.read(PART):
            hashed.update(part)
            out.write(part)
        out.flush()
        os.fsync(out.fileno())
    if hashed.hexdigest() != wanted:
        raise Unreadable(f"{member.name} in the copy is not what was put there.")


def _put(tar: tarfile.TarFile, name: str, told: bytes) -> None:
    entry = tarfile.TarInfo(name)
    entry.size = len(told)
    tar.addfile(entry, io.BytesIO(told))


def _nobodys(entry: tarfile.TarInfo) -> tarfile.TarInfo:
    entry.uid = entry.gid = 0
    entry.uname = entry.gname = ""
    return entry
