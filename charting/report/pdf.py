"""The visit on paper. The one importer of WeasyPrint."""

import io
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any
from urllib.parse import unquote, urlsplit
from zoneinfo import ZoneInfo

from django.conf import settings
from django.template.loader import render_to_string
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from weasyprint import HTML
from weasyprint.urls import URLFetcher, URLFetcherResponse

from bodymaps import figure
from charting.report.blank import BlankSheet
from charting.report.code import code_of
from charting.report.consent_copy import ConsentCopy
from charting.report.home_sheet import HomeSheet
from charting.report.muscle import MuscleSheet
from charting.report.papers import Added, Signature, day

SIZES = {"a4": "210mm 297mm", "letter": "8.5in 11in"}
# How high a body stands on a sheet to draw on (mm): what is left of the paper.
BLANK_FIGURE = {"a4": 172.0, "letter": 160.0}
# How high a picture of a muscle's pattern stands (mm), and how wide, by how many there are.
MUSCLE_FIGURE = {"a4": 96.0, "letter": 80.0}
MUSCLE_WIDTH = {1: 120.0, 2: 86.0}
# The boxes to tick under each exercise: two weeks of days.
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
HOME_WEEKS = 2
STATIC = Path(settings.BASE) / "static"
FIGURE = figure.FOLDER
# Sharp on a laser printer, and small: the relief is made at four times this.
RELIEF_DPI = 150
# Layout keeps one core busy for a second; two at once in one process would only wait for each other.
_one_at_a_time = Lock()


def render(
    content: dict[str, Any],
    *,
    paper: str,
    signed: Signature | None = None,
    sha256: str = "",
    addenda: Sequence[Added] = (),
    waits: bool = False,
    cosigned: Signature | None = None,
) -> bytes:
    """The PDF (PDF/UA-1) of an assembled visit; a draft on every page unless `signed` with the `sha256` of
    its content. `waits`: for the signature of who answers for a trainee, said on every page; `cosigned` is
    that signature. The same arguments give the same bytes in any process. Takes about a second.

    Raises KeyError for a paper other than "a4" and "letter".
    """
    context = _context(content, SIZES[paper], signed, sha256, addenda)
    only_addenda = all(each.kind == "addendum" for each in addenda)
    context |= {"waits": waits, "cosigned": cosigned, "only_addenda": only_addenda}
    return _made(render_to_string("report/sheet.html", context))


def render_blank(sheet: BlankSheet, *, paper: str) -> bytes:
    """A sheet to draw on (PDF/UA-1), two pages. Raises KeyError for a paper other than "a4" and "letter"."""
    height = BLANK_FIGURE[paper]
    context = {
        "sheet": sheet,
        "size": SIZES[paper],
        "relief": FIGURE.as_uri() + "/",
        "width": f"{height * 890 / 1724:.1f}mm",
        "height": f"{height:g}mm",
        "rows": ("Now", "At its least", "At its most"),
        "questions": (sheet.course, sheet.depth),
    }
    return _made(render_to_string("report/blank_sheet.html", context))


def render_muscle(sheet: MuscleSheet, *, paper: str) -> bytes:
    """The sheet about one muscle for a patient (PDF/UA-1), one page. Raises KeyError as `render_blank`."""
    context = {
        "sheet": sheet,
        "size": SIZES[paper],
        "relief": FIGURE.as_uri() + "/",
        "width": f"{MUSCLE_WIDTH[len(sheet.figures)]:g}mm",
        "height": f"{MUSCLE_FIGURE[paper]:g}mm",
    }
    return _made(render_to_string("report/muscle_sheet.html", context))


def render_consent(copy: ConsentCopy, *, paper: str) -> bytes:
    """The patient's copy of one consent (PDF/UA-1). Raises KeyError as `render_blank`."""
    return _made(render_to_string("report/consent_copy.html", {"copy": copy, "size": SIZES[paper]}))


def render_letter(
    content: dict[str, Any], *, paper: str, signed: Signature | None = None, sha256: str = ""
) -> bytes:
    """A letter as charting.letters.content assembles it (PDF/UA-1); a draft on every page unless `signed`
    with the `sha256` of its content. Raises KeyError as `render_blank`.
    """
    return _made(_letter(content, paper, signed, sha256))


def pages_of_letter(content: dict[str, Any], *, paper: str) -> int:
    """How many pages its draft takes. Some tenths of a second."""
    with _one_at_a_time:
        return len(_laid_out(_letter(content, paper, None, "")).render().pages)


def _letter(content: dict[str, Any], paper: str, signed: Signature | None, sha256: str) -> str:
    context = {
        "letter": content,
        "size": SIZES[paper],
        "signed": signed,
        "dated": day(signed.at.astimezone(ZoneInfo(signed.time_zone))) if signed else "",
        "sha256": sha256,
        "created": signed.at.isoformat() if signed else content["as_of"],
    }
    return render_to_string("report/letter.html", context)


def render_home(sheet: HomeSheet, *, paper: str) -> bytes:
    """The home programme for the patient (PDF/UA-1). Raises KeyError as `render_blank`."""
    context = {"sheet": sheet, "size": SIZES[paper], "days": DAYS, "weeks": range(HOME_WEEKS)}
    return _made(render_to_string("report/home_sheet.html", context))


def _made(html: str) -> bytes:
    with _one_at_a_time:
        return bytes(_laid_out(html).write_pdf(pdf_variant="pdf/ua-1", dpi=RELIEF_DPI))


def _laid_out(html: str) -> HTML:
    return HTML(string=html, base_url=STATIC.as_uri() + "/", url_fetcher=OwnFiles())


def _context(
    content: dict[str, Any], size: str, signed: Signature | None, sha256: str, addenda: Sequence[Added]
) -> dict[str, Any]:
    # An old note keeps its own outline; the relief of another figure would not fit under it.
    same_figure = content["versions"]["figure"] == figure.load().version
    return {
        "note": content,
        "size": size,
        "signed": signed,
        "sha256": sha256,
        "code": code_of(sha256) if signed and sha256 and _has_code(content["format"]) else "",
        "addenda": addenda,
        "figures": [
            (view, (FIGURE / view["relief"]).as_uri() if same_figure else "")
            for view in content["drawing"]["views"]
        ],
        "created": signed.at.isoformat() if signed else content["visit"]["started_at"],
    }


def _has_code(name: str) -> bool:
    """Whether a note of this format has code and whole hash at its foot: since visit-note-7."""
    return int(name.rpartition("-")[2]) >= 7


class OwnFiles(URLFetcher):
    """Opens files of the product's own static folders and data: addresses, and nothing else."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols=("data", "file"), fail_on_errors=True)

    def fetch(self, url: str, headers: Any = None) -> Any:
        parts = urlsplit(url)
        if parts.scheme != "file":
            return super().fetch(url, headers)
        path = Path(unquote(parts.path)).resolve()
        if not any(path.is_relative_to(folder) for folder in (STATIC.resolve(), FIGURE.resolve())):
            raise ValueError(f"not a file of ours: {path.name}")
        body = unpacked(path) if path.suffix == ".woff2" else path.read_bytes()
        return URLFetcherResponse(url, body, {"Content-Type": _TYPES.get(path.suffix, "")})


_TYPES = {".css": "text/css", ".png": "image/png", ".woff2": "font/ttf"}


@cache
def unpacked(path: Path) -> bytes:
    """A WOFF2 font as TrueType: once per process, and with the time stamp it came with.

    Left to WeasyPrint it is unpacked for every document.
    """
    font = TTFont(path, recalcTimestamp=False, recalcBBoxes=False)
    font.flavor = None
    out = io.BytesIO()
    font.save(out, reorderTables=True)
    return out.getvalue()
