"""Pictures and PDFs of others made anew, so that only what is to be seen stays: no place, no script.

The one importer of Pillow and pypdfium2. Runs as a process of its own: the file on standard input; on
standard output a line of JSON, {"pictures": [[media type, length], ...]} or {"refused": words}, then the
pictures.
"""

import contextlib
import io
import json
import resource
import sys
import warnings

import pypdfium2
from PIL import Image, ImageOps

# Limits: common practice for papers and photographs of them.
MOST_PIXELS = 25_000_000
LONGEST_SIDE = 4096
MOST_PAGES = 20
PAGE_DPI = 150
LONGEST_PAGE_SIDE = 2400
LARGEST_PNG = 8 * 1024 * 1024
MEMORY = 2 * 1024**3
CPU_SECONDS = 40

TAKEN = (
    "Only JPEG and PNG pictures and PDF documents are taken. Take a photograph of the paper, or save it as a "
    "PDF, and add that."
)
BROKEN = "This picture is broken or not complete. Save or photograph it again, and add that."
TOO_MANY_PIXELS = "This picture is too large: at most 25 million pixels. Save it smaller, and add that."
BROKEN_PDF = "This PDF is broken or not complete. Open it, print it to a new PDF, and add that."
LOCKED_PDF = "This PDF is locked with a password. Open it, print it to a new PDF without one, and add that."
TOO_MANY_PAGES = f"This PDF has more than {MOST_PAGES} pages. Save the pages that matter, and add those."

Made = tuple[str, bytes]


class Refused(Exception):
    """Why a file is not taken, in words for the page."""


def made(data: bytes) -> list[Made]:
    """(media type, bytes) of every page, made anew. What a file is, its first bytes say. Raises Refused."""
    if data.startswith(b"\xff\xd8\xff"):
        return [picture(data, "JPEG")]
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return [picture(data, "PNG")]
    if data.startswith(b"%PDF-"):
        return pages(data)
    raise Refused(TAKEN)


def picture(data: bytes, kind: str) -> Made:
    """One picture, upright, in the colours of its own pixels. Raises Refused."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            sent = Image.open(io.BytesIO(data), formats=(kind,))
            sent.load()
            image = plain(ImageOps.exif_transpose(sent))
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as problem:
        raise Refused(TOO_MANY_PIXELS) from problem
    except Exception as problem:  # Pillow's readers raise whatever their format makes them stumble over
        raise Refused(BROKEN) from problem
    image.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    return encoded(image, kind)


def plain(image: Image.Image) -> Image.Image:
    """The pixels alone, grey or in colour, on white: a new image that knows nothing of the file."""
    if image.mode.startswith("I"):
        # 16 bits of grey, as from imaging: the upper eight.
        image = image.convert("I").point(lambda value: value * (1 / 256)).convert("L")
    if image.has_transparency_data:
        seen = image.convert("RGBA")
        bare = Image.new("RGB", image.size, "white")
        bare.paste(seen, mask=seen)
        return bare
    mode = "L" if image.mode in ("1", "L") else "RGB"
    bare = Image.new(mode, image.size)
    bare.paste(image.convert(mode))
    return bare


def encoded(image: Image.Image, kind: str) -> Made:
    """As PNG, or as JPEG when it came as one or the PNG would be too large to keep."""
    out = io.BytesIO()
    if kind == "PNG":
        image.save(out, "PNG", optimize=True)
        if out.tell() <= LARGEST_PNG:
            return "image/png", out.getvalue()
        out = io.BytesIO()
    image.save(out, "JPEG", quality=88)
    return "image/jpeg", out.getvalue()


def pages(data: bytes) -> list[Made]:
    """Every page of a PDF as a picture, with what was typed into its form. Raises Refused."""
    try:
        document = pypdfium2.PdfDocument(data)
        count = len(document)
        if 0 < count <= MOST_PAGES:
            document.init_forms()
            return [page(document[number]) for number in range(count)]
    except pypdfium2.PdfiumError as problem:
        raise Refused(LOCKED_PDF if "password" in str(problem).lower() else BROKEN_PDF) from problem
    raise Refused(TOO_MANY_PAGES if count else BROKEN_PDF)


def page(sheet: pypdfium2.PdfPage) -> Made:
    longest = max(*sheet.get_size(), 1.0)
    scale = min(PAGE_DPI / 72, LONGEST_PAGE_SIDE / longest)
    return encoded(plain(sheet.render(scale=scale).to_pil()), "JPEG")


def hold_back() -> None:
    """Little memory, little time, no file of its own: the most that a hostile file may take."""
    for what, most in (
        (resource.RLIMIT_AS, MEMORY),
        (resource.RLIMIT_CPU, CPU_SECONDS),
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_FSIZE, 0),
    ):
        with contextlib.suppress(ValueError, OSError):  # not every system knows each of them
            resource.setrlimit(what, (most, most))


def main() -> None:
    hold_back()
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    bodies: list[bytes] = []
    try:
        found = made(sys.stdin.buffer.read())
        said: dict[str, object] = {"pictures": [[media_type, len(body)] for media_type, body in found]}
        bodies = [body for _, body in found]
    except Refused as problem:
        said = {"refused": str(problem)}
    sys.stdout.buffer.write(json.dumps(said).encode() + b"\n" + b"".join(bodies))


if __name__ == "__main__":
    main()
