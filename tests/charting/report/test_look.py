"""What the printed figure looks like, in colour and without."""

import re
from dataclasses import asdict

import numpy as np
import pytest
from PIL import ImageStat

from bodymaps import geometry, kinds
from bodymaps.marks import Mark
from charting.drawing import picture
from charting.report import pdf
from tests.charting.report import printed

# A patch of the trunk where one kind is printed alone, in figure millimetres.
PATCH = (430, 330, 570, 470)


@pytest.fixture
def swatch(content):
    """The printed patch of one kind on the front view, as pixels."""

    def look(kind: str):
        mark = Mark("front", kind, geometry.box(*PATCH))
        views = [asdict(view) for view in picture.views_of([mark])]
        drawing = {**content["drawing"], "views": views, "key": []}
        made = pdf.render({**content, "drawing": drawing}, paper="a4")
        page = printed.picture(made, 0, dpi=200)
        return page.crop(place(page, kind))

    return look


def place(page, kind: str):
    """Where the patch is on the page: the only place with the hue of the kind's ink."""
    ink = [int(kinds.kind(kind).ink[i : i + 2], 16) for i in (1, 3, 5)]
    # Every other pixel each way is enough.
    apart = np.abs(np.asarray(page, dtype=int)[::2, ::2] - ink).sum(axis=2)
    ys, xs = (2 * places for places in np.nonzero(apart < 60))
    return int(xs.min()) + 3, int(ys.min()) + 3, int(xs.max()) - 2, int(ys.max()) - 2


def test_it_prints_areas_in_their_colour_and_not_black(swatch):
    """Class-styled SVG comes out black in WeasyPrint; attributes do not."""
    red, green, blue = ImageStat.Stat(swatch("ache")).mean
    assert blue > red + 25
    assert min(red, green, blue) > 60


@pytest.mark.parametrize("kind", kinds.IDS)
def test_it_keeps_each_texture_without_colour(swatch, kind):
    """Dark lines on a light ground: at least a quarter of the grey scale between them."""
    grey = swatch(kind).convert("L")
    darkest, lightest = grey.getextrema()
    assert lightest - darkest > 64
    assert ImageStat.Stat(grey).stddev[0] > 12


def test_it_writes_dots_in_paths_whatever_the_language(content, settings):
    from django.template.loader import render_to_string
    from django.utils import translation

    settings.USE_THOUSAND_SEPARATOR = True
    with translation.override("de"):
        html = render_to_string("report/sheet.html", pdf._context(content, "a4", None, "", ()))
    values = re.findall(r' (?:d|viewBox|stroke-width|font-size|x|y)="([^"]*)"', html)
    assert len(values) > 20
    assert all(re.fullmatch(r"[MLZ0-9. -]*", value) for value in values)
