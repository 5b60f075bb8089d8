"""Files as people send them, and as somebody might who means harm."""

import io
import struct
import zlib

from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

PLACE = b"Winterthal, back door"


def photo(size=(60, 40), *, kind="JPEG", colour=(200, 30, 30)) -> bytes:
    """A phone's photograph, held upright, stored on its side: half in `colour`, with place and camera."""
    image = Image.new("RGB", size, "white")
    image.paste(colour, (0, 0, size[0] // 2, size[1]))
    exif = Image.Exif()
    exif[Base.Orientation] = 6
    exif[Base.Model] = "Camera of Anna Keller"
    exif[Base.ImageDescription] = PLACE.decode()
    exif.get_ifd(IFD.GPSInfo)[GPS.GPSLatitude] = (47.0, 29.0, 59.0)
    return saved(image, kind, exif=exif)


def saved(image: Image.Image, kind: str, **more) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def drawing(mode="RGB", size=(30, 20), colour=0, **more) -> bytes:
    return saved(Image.new(mode, size, colour), "PNG", **more)


def bomb(side=6000) -> bytes:
    """A PNG of a few kilobytes that says it has more pixels than are taken: side * side."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    packer = zlib.compressobj(9)
    row = b"\0" * (1 + side // 8)
    rows = b"".join(packer.compress(row) for _ in range(side)) + packer.flush()
    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def pdf(pages=1, size=(300, 200), more=b"") -> bytes:
    """A PDF written by hand, a filled black square on every page; `more` goes into its catalogue."""
    kids = b" ".join(b"%d 0 R" % (4 + number) for number in range(pages))
    square = b"0 0 0 rg 50 50 100 100 re f"
    objects = [
        b"<</Type/Catalog/Pages 2 0 R%b>>" % more,
        b"<</Type/Pages/Count %d/Kids[%b]>>" % (pages, kids),
        b"<</Length %d>>stream\n%b\nendstream" % (len(square), square),
    ]
    objects += [
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 %d %d]/Contents 3 0 R>>" % size for _ in range(pages)
    ]
    out, places = b"%PDF-1.7\n", []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    start = len(out)
    count = len(objects) + 1
    out += b"xref\n0 %d\n0000000000 65535 f \n%b" % (count, table)
    return out + b"trailer<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (count, start)


def seen(content: bytes) -> Image.Image:
    return Image.open(io.BytesIO(content))
