"""A copy of everything, made while the practice works, and a copy looked through."""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.utils import timezone

from charting.safekeeping import archive, digests, embedded, server
from charting.safekeeping.found import Found
from charting.safekeeping.manifest import SQLITE, Manifest
from charting.safekeeping.sealed import Key

SECRET, CERTIFICATES = "secret_key", "certificates"  # noqa: S105 - the name of a file


class NotVerified(Exception):
    """What was written is not what was read: there is no copy. The message says what differs."""


@dataclass(frozen=True)
class Made:
    """A copy that stands."""

    file: Path
    manifest: Manifest


def make(folder: Path, key: Key | None) -> Made:
    """A new file in `folder`, read back and held against what was copied before it gets its name.

    Raises OSError, NotVerified, programs.Missing or Failed; then no file is left.
    """
    now = timezone.now()
    ending = "copy-sealed" if key else "copy"
    target = folder / f"tautline-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}.{ending}"
    if target.exists():
        raise FileExistsError(17, "there is such a file already", str(target))
    part = target.with_suffix(".part")
    with beside_the_data() as work:
        found = _copied(work / archive.DATABASE[connection.vendor])
        _keys_into(work)
        manifest = Manifest(now, connection.vendor, found, _hashes(work))
        try:
            archive.write(part, manifest, work, key)
            _read_back(part, key)
            part.rename(target)
        except BaseException:
            part.unlink(missing_ok=True)
            raise
    embedded.on_disk(folder)
    return Made(target, manifest)


def check(file: Path, key: Key | None) -> tuple[Manifest, tuple[str, ...]]:
    """A copy read through as if it were to be used: what it says of itself, and what is wrong, in words.

    Raises archive.Unreadable, sealed.Unopened, OSError, programs.Missing or Failed.
    """
    with beside_the_data() as work:
        manifest = archive.take_out(file, work, key)
        return manifest, tuple(wrong_with(manifest, work / archive.DATABASE[manifest.database]))


def wrong_with(manifest: Manifest, database: Path) -> Iterator[str]:
    """What differs between a copied database and what was found when it was copied. Of a dump the rows: its
    hashes and chains were walked in that very state, and are again once it is restored.
    """
    if manifest.database == SQLITE:
        found = embedded.read(database)
        yield from compared(manifest.found, found)
    else:
        yield from digests.differences(manifest.found.tables, digests.of_dump(database))
        yield from manifest.found.problems


def compared(wanted: Found, found: Found) -> Iterator[str]:
    yield from found.problems
    yield from digests.differences(wanted.tables, found.tables)
    if wanted.heads != found.heads:
        yield "the trail does not end where it ended when the copy was made"


@contextmanager
def beside_the_data() -> Iterator[Path]:
    """A folder for what is in the clear for a while: in the data folder, whose disk holds it all anyway."""
    folder = Path(tempfile.mkdtemp(prefix=".copying-", dir=settings.DATA))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _copied(into: Path) -> Found:
    if connection.vendor != SQLITE:
        found = server.copy(into)
        _refuse(digests.differences(found.tables, digests.of_dump(into)))
        return found
    embedded.copy(Path(str(connection.settings_dict["NAME"])), into)
    return embedded.read(into)


def _keys_into(work: Path) -> None:
    """What signs sessions and opens second factors, and what the devices of the practice trust."""
    data = Path(settings.DATA)
    if (data / SECRET).is_file():
        shutil.copyfile(data / SECRET, work / SECRET)
    for file in sorted((data / CERTIFICATES).glob("*")):
        if file.is_file():
            (work / CERTIFICATES).mkdir(mode=0o700, exist_ok=True)
            shutil.copyfile(file, work / CERTIFICATES / file.name)


def _hashes(work: Path) -> dict[str, str]:
    files = sorted(file for file in work.rglob("*") if file.is_file())
    return {str(file.relative_to(work)): archive.hash_of(file) for file in files}


def _read_back(part: Path, key: Key | None) -> None:
    """The same bytes of every file, so what was found in them holds for the copy."""
    with beside_the_data() as again:
        try:
            archive.take_out(part, again, key)
        except archive.Unreadable as problem:
            raise NotVerified(str(problem)) from None


def _refuse(differences: Iterator[str]) -> None:
    if told := "; ".join(differences):
        raise NotVerified(told)
