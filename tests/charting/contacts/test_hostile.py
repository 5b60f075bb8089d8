"""Thirty files that mean harm: each is refused in words, or made anew so that nothing harmful is left, in
little memory. OWASP ASVS 5.0, chapter 5: 5.2.1 (size), 5.2.2 (content told by itself), 5.2.6 (pixels).
"""

import gzip
import io
import json
import subprocess
import sys
import zipfile
import zlib

import pypdf
import pytest

from tests.charting.contacts import files

MOST_MEGABYTES = 200
# The program of charting.contacts.decoding, and what it weighed at its heaviest (kB, proc(5): VmHWM).
WEIGHED = """
import sys
from charting.contacts import pictures
pictures.main()
told = open("/proc/self/status").read()
print(told.split("VmHWM:")[1].split()[0], file=sys.stderr)
"""
SCRIPT = b"<script>alert(1)</script>"
EPS = b"%!PS-Adobe-3.0 EPSF-3.0\n(%pipe%id) (w) file\n"
SVG = b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"
ENTITIES = b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]><svg>&b;</svg>'


def png_of(width: int, height: int) -> bytes:
    """Says it is that large, and holds next to nothing."""
    whole = bytearray(files.drawing())
    whole[16:24] = width.to_bytes(4, "big") + height.to_bytes(4, "big")
    whole[29:33] = zlib.crc32(whole[12:29]).to_bytes(4, "big")
    return bytes(whole)


def text_bomb() -> bytes:
    """A PNG with a comment of 100 MB, packed small (CVE-2014-9601 of Pillow was one)."""
    packed = b"Comment\0\0" + zlib.compress(b"\0" * 100_000_000, 9)
    whole = files.drawing()
    chunk = b"zTXt" + packed
    made = len(packed).to_bytes(4, "big") + chunk + zlib.crc32(chunk).to_bytes(4, "big")
    return whole[:33] + made + whole[33:]


def zipped() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("bomb", b"\0" * 20_000_000)
    return out.getvalue()


def with_attachment() -> bytes:
    writer = pypdf.PdfWriter(io.BytesIO(files.pdf()))
    writer.add_attachment("evil.exe", b"MZ" + SCRIPT)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def stream_bomb() -> bytes:
    """A page whose drawing unpacks to 60 MB of nothing."""
    packed = zlib.compress(b" " * 60_000_000, 9)
    body = files.pdf()
    old = body[body.index(b"3 0 obj") : body.index(b"endstream") + 9]
    new = b"3 0 obj\n<</Filter/FlateDecode/Length %d>>stream\n%b\nendstream" % (len(packed), packed)
    return body.replace(old, new)


HOSTILE = {
    "picture bomb": files.bomb(8_000),
    "larger bomb": png_of(60_000, 60_000),
    "one pixel by a thousand million": png_of(1, 10**9),
    "a thousand million by one": png_of(10**9, 1),
    "no pixels": png_of(0, 0),
    "more pixels than bytes": png_of(4000, 4000),
    "text bomb": text_bomb(),
    "zip bomb": zipped(),
    "gzip bomb": gzip.compress(b"\0" * 50_000_000),
    "EPS": EPS,
    "EPS as JPEG": b"\xff\xd8\xff" + EPS,
    "EPS as PNG": b"\x89PNG\r\n\x1a\n" + EPS,
    "SVG": SVG,
    "SVG as PNG": b"\x89PNG\r\n\x1a\n" + SVG,
    "SVG of entities": ENTITIES,
    "page": b"<!doctype html>" + SCRIPT,
    "page as JPEG": b"\xff\xd8\xff" + SCRIPT,
    "script as PDF": b"%PDF-1.7\n" + SCRIPT,
    "half a JPEG": files.photo(size=(600, 400))[:-900],
    "half a PNG": files.photo(size=(600, 400), kind="PNG")[:-900],
    "half a PDF": files.pdf()[:60],
    "photograph with its place": files.photo(),
    "JPEG and script": files.photo() + SCRIPT,
    "PNG and script": files.drawing() + SCRIPT,
    "JPEG and PDF": files.photo() + files.pdf(),
    "GIF and script": b"GIF89a/*\x01\x00*/=1;alert(1)//",
    "PDF with script": files.pdf(more=b"/OpenAction<</S/JavaScript/JS(app.alert\\(1\\))>>"),
    "PDF that starts a program": files.pdf(more=b"/OpenAction<</S/Launch/F(/bin/sh)>>"),
    "PDF that opens an address": files.pdf(more=b"/OpenAction<</S/URI/URI(http://127.0.0.1:9/)>>"),
    "PDF with a file in it": with_attachment(),
    "PDF bomb": stream_bomb(),
    "PDF of endless size": files.pdf(size=(10**9, 10**9)),
}
HARM = (b"script", b"JavaScript", b"Launch", b"/URI", b"evil.exe", b"%PDF", b"%!PS", b"onload", files.PLACE)


def decoded(sent: bytes) -> tuple[dict, bytes, float]:
    """What the process that decodes says and gives back, and its megabytes at most."""
    told = subprocess.run(
        [sys.executable, "-c", WEIGHED], input=sent, capture_output=True, timeout=60, env={}
    )
    head, _, body = told.stdout.partition(b"\n")
    return json.loads(head), body, int(told.stderr.split()[-1]) / 1024


def test_there_are_thirty_of_them():
    assert len(HOSTILE) >= 30


@pytest.mark.parametrize("name", HOSTILE)
def test_it_is_refused_or_made_anew_in_little_memory(name):
    said, made, megabytes = decoded(HOSTILE[name])
    assert megabytes < MOST_MEGABYTES
    if "refused" not in said:
        assert {kind for kind, _ in said["pictures"]} <= {"image/png", "image/jpeg"}
        assert made.startswith((b"\x89PNG", b"\xff\xd8\xff"))
        assert not [harm for harm in HARM if harm in made]
