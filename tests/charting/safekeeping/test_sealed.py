"""A sealed copy: opened with its key only, and never when a byte of it is another."""

import io
import random
import struct

import pytest
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from charting.safekeeping import keys, sealed
from charting.safekeeping.sealed import CHUNK, HEADER, KEY_FILE, PASSPHRASE, Key, Unopened

KEY = Key(KEY_FILE, bytes(range(32)))
WORDS = Key(PASSPHRASE, b"four plain words by dice")
SIZES = (0, 1, CHUNK - 1, CHUNK, CHUNK + 1, 3 * CHUNK, 3 * CHUNK + 17)


def closed(told: bytes, key: Key = KEY) -> bytes:
    into = io.BytesIO()
    with sealed.Sealing(into, key) as sealing:
        for at in range(0, len(told), 10_000):
            sealing.write(told[at : at + 10_000])
    return into.getvalue()


def opened(kept: bytes, key: Key = KEY) -> bytes:
    return io.BufferedReader(sealed.Opening(io.BytesIO(kept), key)).read()


@pytest.mark.parametrize("size", SIZES)
def test_it_gives_back_what_was_put_in(size):
    told = random.Random(size).randbytes(size)
    assert opened(closed(told)) == told


def test_a_passphrase_opens_what_it_closed():
    kept = closed(b"a record", WORDS)
    assert opened(kept, WORDS) == b"a record"
    with pytest.raises(Unopened, match="Wrong key"):
        opened(kept, Key(PASSPHRASE, b"four plain words by Dice"))


def test_it_is_what_its_description_says():
    """The chunk taken apart with the primitives alone: RFC 5869, NIST SP 800-38D, STREAM."""
    kept = closed(b"x" * (CHUNK + 5))
    magic, way, cost, salt, prefix = HEADER.unpack(kept[: HEADER.size])
    assert (magic, way, cost) == (b"TAUTSEA1", 1, 0)
    key = HKDF(hashes.SHA256(), length=32, salt=salt, info=b"tautline backup 1").derive(KEY.secret)
    last = kept[HEADER.size + CHUNK + 16 :]
    nonce = prefix + struct.pack(">I", 1) + b"\1"
    assert AESGCM(key).decrypt(nonce, last, kept[: HEADER.size]) == b"x" * 5


def test_the_library_derives_keys_as_the_standards_do():
    """RFC 5869 A.1; RFC 7914 section 12, third vector."""
    ikm, salt = b"\x0b" * 22, bytes(range(13))
    okm = HKDF(hashes.SHA256(), length=42, salt=salt, info=bytes(range(0xF0, 0xFA))).derive(ikm)
    assert okm.hex().startswith("3cb25f25faacd57a90434f64d0362f2a2d2d0a90cf1a5a4c5db02d56ecc4c5bf")
    derived = Scrypt(salt=b"SodiumChloride", length=64, n=16384, r=8, p=1).derive(b"pleaseletmein")
    assert derived.hex().startswith("7023bdcb3afd7348461c06cd81fd38eb")


def test_it_notices_any_byte_that_is_another():
    kept = closed(b"y" * (2 * CHUNK + 100))
    for at in random.Random(7).sample(range(len(kept)), 60) + [0, 8, 9, 10, HEADER.size, len(kept) - 1]:
        bent = bytearray(kept)
        bent[at] ^= 1 << (at % 8)
        with pytest.raises(Unopened):
            opened(bytes(bent))


def chunks(kept: bytes) -> list[bytes]:
    body, size = kept[HEADER.size :], CHUNK + 16
    return [body[at : at + size] for at in range(0, len(body), size)]


def test_it_notices_what_is_cut_off_doubled_or_swapped():
    kept = closed(random.Random(1).randbytes(4 * CHUNK))
    head, (a, b, c, d) = kept[: HEADER.size], chunks(kept)
    for body in (a + b + c, a, b"", a + b + d, b + a + c + d, a + b + b + c + d, a + b + c + d + d):
        with pytest.raises(Unopened):
            opened(head + body)


def test_two_copies_of_the_same_have_nothing_in_common():
    one, other = closed(b"z" * 1000), closed(b"z" * 1000)
    assert one[10:26] != other[10:26] and one[HEADER.size :] != other[HEADER.size :]


def test_a_strange_header_does_not_make_it_take_all_the_memory():
    kept = bytearray(closed(b"a record", WORDS))
    kept[9] = 31
    with pytest.raises(Unopened, match="changed"):
        opened(bytes(kept), WORDS)


def test_the_other_way_to_open_it_is_named():
    with pytest.raises(Unopened, match="key file"):
        opened(closed(b"a record"), WORDS)


def test_a_key_file_is_the_owners_alone_and_never_overwritten(tmp_path):
    file = tmp_path / "key"
    keys.make_file(file)
    assert file.stat().st_mode & 0o777 == 0o600
    assert len(keys.from_file(file).secret) == 32
    with pytest.raises(keys.NoKey, match="cannot be made"):
        keys.make_file(file)


@pytest.mark.parametrize("said", ["", "abc", "g" * 64, "0" * 63])
def test_what_is_no_key_file_is_named(tmp_path, said):
    (tmp_path / "key").write_text(said)
    with pytest.raises(keys.NoKey, match="64 hex digits"):
        keys.from_file(tmp_path / "key")


def test_a_short_passphrase_is_refused():
    with pytest.raises(keys.NoKey, match="16 characters"):
        keys.from_words("too short")
