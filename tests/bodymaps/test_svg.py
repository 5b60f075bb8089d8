"""Areas as SVG paths."""

import contextlib
import locale
import re

import pytest

from bodymaps import geometry, kinds, svg
from tests.bodymaps.pictures import area


def test_a_square_is_four_corners() -> None:
    assert svg.path(geometry.box(0, 0, 10, 20)) == "M10 0L10 20L0 20L0 0Z"


def test_numbers_have_a_dot_and_one_decimal() -> None:
    path = svg.path(geometry.box(0.04, 1.25, 1234.56, 7.999))
    assert re.fullmatch(r"(M[\d. ]+(L[\d. ]+)+Z)+", path)
    assert "1234.6" in path
    assert "," not in path


def comma_locale() -> str | None:
    """A locale of this machine that writes 8,5, or None."""
    before = locale.setlocale(locale.LC_ALL)
    try:
        for name in ("de_DE.UTF-8", "fr_FR.UTF-8", "de_DE", "fr_FR"):
            with contextlib.suppress(locale.Error):
                return locale.setlocale(locale.LC_ALL, name)
        return None
    finally:
        locale.setlocale(locale.LC_ALL, before)


@pytest.mark.skipif(comma_locale() is None, reason="this machine has no locale with a decimal comma")
def test_a_comma_locale_changes_nothing() -> None:
    before = locale.setlocale(locale.LC_ALL)
    locale.setlocale(locale.LC_ALL, comma_locale())
    try:
        assert svg.path(geometry.box(8.5, 8.5, 12.5, 12.5)) == "M12.5 8.5L12.5 12.5L8.5 12.5L8.5 8.5Z"
    finally:
        locale.setlocale(locale.LC_ALL, before)


def test_a_hole_is_a_ring_of_its_own() -> None:
    assert svg.path(area("###\n#.#\n###")).count("M") == 2


def test_nothing_has_no_path() -> None:
    assert svg.path(geometry.EMPTY) == ""
    assert svg.texture_path(geometry.EMPTY, "ache") == ""


@pytest.mark.parametrize("kind", kinds.ALL_IDS)
def test_a_texture_stays_inside_its_area(kind: str) -> None:
    path = svg.texture_path(geometry.box(100, 100, 160, 180), kind)
    places = [tuple(map(float, p.split())) for p in re.findall(r"[\d.]+ [\d.]+", path)]
    assert len(places) > 10
    assert all(99.9 <= x <= 160.1 and 99.9 <= y <= 180.1 for x, y in places)


def test_textures_of_neighbours_join_up() -> None:
    left, right = geometry.box(100, 100, 130, 180), geometry.box(130, 100, 160, 180)
    whole = geometry.lines_inside(
        list(svg._tiled((100, 100, 160, 180), svg.KINDS["ache"].texture)), geometry.box(100, 100, 160, 180)
    )
    halves = svg.texture_path(left, "ache") + svg.texture_path(right, "ache")
    seams = {f"{y:.1f}".removesuffix(".0") for line in whole for x, y in line if abs(x - 130) < 0.05}
    assert all(f"130 {y}" in halves for y in seams)
