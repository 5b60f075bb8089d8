"""The map as a picture: shades where they belong, cut off at the edge of the body, told apart in grey."""

import io

from PIL import Image

from bodymaps import coarse
from bodymaps.heat_picture import EDGE, PALETTE, picture

FILLS = ("#c3dfc5", "#10344e")


def opened(shades):
    return Image.open(io.BytesIO(picture("front", shades, FILLS)))


def at(image, x, y):
    """The colour at a place of the figure (mm): a pixel is 1 mm."""
    return "#{:02x}{:02x}{:02x}".format(*image.convert("RGB").getpixel((x, y)))


def test_it_is_the_whole_frame_and_shades_what_it_is_told():
    shades = [0] * coarse.SIZE
    shades[25 * coarse.COLUMNS + 24] = 1
    shades[26 * coarse.COLUMNS + 24] = 2
    image = opened(shades)
    assert image.size == (1000, 1700)
    assert [at(image, 490, y) for y in (490, 510, 530, 550)] == ["#ffffff", *FILLS, "#ffffff"]


def test_nothing_is_shaded_off_the_body_and_the_edge_stands_out():
    image = opened([2] * coarse.SIZE)
    assert at(image, 3, 3) == "#ffffff"
    assert at(image, 500, 600) == FILLS[1]
    assert image.getcolors() and EDGE in {number for _, number in image.getcolors()}
    assert PALETTE[EDGE] == "#525b62"


def test_more_people_are_darker_in_grey_too():
    shades = [0] * coarse.SIZE
    shades[25 * coarse.COLUMNS + 24], shades[26 * coarse.COLUMNS + 24] = 1, 2
    grey = opened(shades).convert("L")
    few, many = grey.getpixel((490, 510)), grey.getpixel((490, 530))
    assert 255 > few > many + 60
