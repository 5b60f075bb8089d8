"""The bundled typeface: its licence, the signs the pages use, and that it reaches the printed page.

The list of signs is that of static/fonts/SOURCE.md, read from the font files themselves.
"""

import io
import re
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from pypdf import PdfReader

ROOT = Path(__file__).resolve().parent.parent
FONTS = ROOT / "static" / "fonts"
SHEET = ROOT / "static" / "css" / "fonts.css"
SIGNS = "°±²³–—≥≤≈−×·•…“”’½äöüßéèçñøåłšžčőğş"


@pytest.mark.parametrize("file", sorted(FONTS.glob("*.woff2")), ids=lambda file: file.stem)
def test_it_has_the_signs_a_note_needs(file):
    has = TTFont(file).getBestCmap()
    assert [sign for sign in SIGNS if ord(sign) not in has] == []


def test_it_carries_its_licence():
    words = (FONTS / "OFL.txt").read_text()
    assert "SIL OPEN FONT LICENSE Version 1.1" in words
    # A reserved name would forbid us to call a repacked file by it; only the licence's text speaks of one.
    assert "with Reserved Font Name" not in words.split("-----")[0]


def test_every_bundled_file_is_in_the_style_sheet():
    named = set(re.findall(r"url\(\"\.\./fonts/([^\"]+)\"\)", SHEET.read_text()))
    assert named == {file.name for file in FONTS.glob("*.woff2")}


def test_it_is_embedded_in_the_printed_page():
    import weasyprint

    page = "<p>Upright 20° ±5 ≥ 3</p><p><em>slanted</em></p><p><strong>bold</strong></p>"
    style = f'{SHEET.read_text()} body {{ font-family: "Atkinson Hyperlegible Next" }}'
    html = weasyprint.HTML(string=f"<style>{style}</style>{page}", base_url=SHEET.as_uri())
    assert fonts_of(html.write_pdf()) == {
        "Atkinson-Hyperlegible-Next",
        "Atkinson-Hyperlegible-Next-Italic",
        "Atkinson-Hyperlegible-Next-Bold",
    }


def fonts_of(pdf: bytes) -> set[str]:
    """Names of the fonts whose outlines are inside the file, without the subset's six letters."""
    names = set()
    for page in PdfReader(io.BytesIO(pdf)).pages:
        for font in page["/Resources"]["/Font"].values():
            (inner,) = font.get_object()["/DescendantFonts"]
            assert "/FontFile3" in inner["/FontDescriptor"] or "/FontFile2" in inner["/FontDescriptor"]
            names.add(font.get_object()["/BaseFont"].split("+")[-1].lstrip("/"))
    return names
