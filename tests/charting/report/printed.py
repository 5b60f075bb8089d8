"""Read a PDF back: its text, its tags, its fonts, its pixels."""

import ctypes
import io
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

import pikepdf
import pypdf
import pypdfium2
from PIL import Image


def pages(made: bytes) -> list[str]:
    """The text of each page, white space made one."""
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(made)).pages]


def size_mm(made: bytes) -> tuple[int, int]:
    box = pypdf.PdfReader(io.BytesIO(made)).pages[0].mediabox
    return round(float(box.width) / 72 * 25.4), round(float(box.height) / 72 * 25.4)


def title(made: bytes) -> str:
    return str(pypdf.PdfReader(io.BytesIO(made)).metadata.title)


def created(made: bytes) -> datetime:
    return pypdf.PdfReader(io.BytesIO(made)).metadata.creation_date


@dataclass(frozen=True)
class Catalog:
    """What a reader for the blind looks at first."""

    language: str
    is_tagged: bool
    shows_title: bool
    claims_ua: bool


def catalog(made: bytes) -> Catalog:
    with pikepdf.open(io.BytesIO(made)) as pdf:
        root = pdf.Root
        return Catalog(
            language=str(root.Lang),
            is_tagged=bool(root.MarkInfo.Marked),
            shows_title=bool(root.ViewerPreferences.DisplayDocTitle),
            claims_ua=b"pdfuaid" in bytes(root.Metadata.read_bytes()),
        )


def tags(made: bytes) -> list[tuple[str, str]]:
    """Every element of the tag tree in reading order: its kind and its words for the blind, or ""."""
    with pikepdf.open(io.BytesIO(made)) as pdf:
        return list(_walk(pdf.Root.StructTreeRoot.K))


def _walk(node: object) -> Iterator[tuple[str, str]]:
    if isinstance(node, pikepdf.Array):
        for child in node:
            yield from _walk(child)
    elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
        yield str(node.S), str(node.get("/Alt", ""))
        if "/K" in node:
            yield from _walk(node.K)


def tables(made: bytes) -> list[list[str]]:
    """The kinds of element within each table."""
    with pikepdf.open(io.BytesIO(made)) as pdf:
        return [[kind for kind, _ in _walk(each.K)] for each in _found(pdf.Root.StructTreeRoot.K, "/Table")]


def _found(node: object, kind: str) -> Iterator[pikepdf.Dictionary]:
    if isinstance(node, pikepdf.Array):
        for child in node:
            yield from _found(child, kind)
    elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
        if str(node.S) == kind:
            yield node
        elif "/K" in node:
            yield from _found(node.K, kind)


def inks(made: bytes) -> Iterator[float]:
    """The contrast of each piece of text to white, from 1 to 21 (WCAG 2.2, relative luminance)."""
    document = pypdfium2.PdfDocument(made)
    for page in document:
        for each in page.get_objects(filter=(pypdfium2.raw.FPDF_PAGEOBJ_TEXT,)):
            red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
            if pypdfium2.raw.FPDFPageObj_GetFillColor(each.raw, red, green, blue, alpha):
                yield round(1.05 / (_luminance(red.value, green.value, blue.value) + 0.05), 2)


def _luminance(*channels: int) -> float:
    linear = [c / 3294 if c <= 10 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def fonts(made: bytes) -> dict[str, bool]:
    """Base name of every font in the file, and whether it is embedded."""
    with pikepdf.open(io.BytesIO(made)) as pdf:
        found = [each for each in pdf.objects if isinstance(each, pikepdf.Dictionary) and "/FontName" in each]
        files = ("/FontFile", "/FontFile2", "/FontFile3")
        return {str(each.FontName).split("+")[-1]: any(key in each for key in files) for each in found}


def picture(made: bytes, page: int, dpi: int = 110) -> Image.Image:
    return pypdfium2.PdfDocument(made)[page].render(scale=dpi / 72).to_pil().convert("RGB")
