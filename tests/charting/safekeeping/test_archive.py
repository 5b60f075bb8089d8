"""The file of a copy: whole and unchanged, or refused. NIST SP 800-38D: AES-GCM opens what was sealed only;
RFC 1952: the check of gzip; names that lead out of the folder are refused (OWASP ASVS 5.0 5.3.2, 5.3.3).
"""

import gzip
import io
import tarfile
from datetime import UTC, datetime

import pytest

from charting.safekeeping import archive, manifest
from charting.safekeeping.digests import Held
from charting.safekeeping.found import Found
from charting.safekeeping.manifest import SQLITE, Manifest
from charting.safekeeping.sealed import KEY_FILE, Key, Unopened

KEY = Key(KEY_FILE, bytes(range(32)))
FILES = {"database.sqlite3": bytes(range(256)) * 700, "secret_key": b"a key", "certificates/server.crt": b"x"}


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "made"
    (made / "certificates").mkdir(parents=True)
    for name, told in FILES.items():
        (made / name).write_bytes(told)
    return made


def about(folder, *more):
    files = {name: archive.hash_of(folder / name) for name in (*FILES, *more)}
    found = Found("0019_chained", {"charting_site": Held(2, "ab" * 32)}, (), ())
    return Manifest(datetime(2026, 3, 1, 12, tzinfo=UTC), SQLITE, found, files)


@pytest.mark.parametrize("key", [None, KEY])
def test_it_gives_back_every_file_and_what_was_said_of_them(folder, tmp_path, key):
    archive.write(tmp_path / "copy", about(folder), folder, key)
    (tmp_path / "out").mkdir()
    assert archive.take_out(tmp_path / "copy", tmp_path / "out", key) == about(folder)
    assert {name: (tmp_path / "out" / name).read_bytes() for name in FILES} == FILES


@pytest.mark.parametrize("key", [None, KEY])
def test_a_changed_byte_or_a_missing_end_is_found(folder, tmp_path, key):
    archive.write(tmp_path / "copy", about(folder), folder, key)
    whole = (tmp_path / "copy").read_bytes()
    # Bytes 4 to 9 of a plain gzip file are its own time and system: they say nothing of what is in it.
    places = [*range(0, 4), *range(10, len(whole), len(whole) // 40), len(whole) - 9]
    spoiled = [whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1 :] for at in places]
    spoiled += [whole[:at] for at in (0, 5, 40, len(whole) // 2, len(whole) - 1)]
    for number, told in enumerate(spoiled):
        (tmp_path / "copy").write_bytes(told)
        (tmp_path / str(number)).mkdir()
        with pytest.raises((archive.Unreadable, Unopened)):
            archive.take_out(tmp_path / "copy", tmp_path / str(number), key)


@pytest.mark.parametrize("name", ["../secret_key", "/secret_key", "certificates/../../x", "other"])
def test_no_name_leads_out_of_the_folder(folder, tmp_path, name):
    told = about(folder)
    told = Manifest(told.made_at, told.database, told.found, {name: "0" * 64})
    with gzip.open(tmp_path / "copy", "wb") as packed, tarfile.open(fileobj=packed, mode="w|") as tar:
        for member, content in ((archive.MANIFEST, manifest.written(told)), (name, b"")):
            entry = tarfile.TarInfo(member)
            entry.size = len(content)
            tar.addfile(entry, io.BytesIO(content))
    (tmp_path / "deep" / "out").mkdir(parents=True)
    with pytest.raises(archive.Unreadable, match="does not belong there"):
        archive.take_out(tmp_path / "copy", tmp_path / "deep" / "out", None)
    assert list((tmp_path / "deep" / "out").iterdir()) == []


def test_a_format_of_later_is_named(folder):
    told = manifest.written(about(folder)).replace(b"copy-1", b"copy-9")
    with pytest.raises(manifest.Unreadable, match="copy-9"):
        manifest.parse(told)
