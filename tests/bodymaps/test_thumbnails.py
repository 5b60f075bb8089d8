"""The small picture of a drawing."""

from io import BytesIO

from PIL import Image

from bodymaps import kinds, thumbnails
from bodymaps.geometry import box
from tests.bodymaps.toy import ache


def picture(data: bytes) -> Image.Image:
    return Image.open(BytesIO(data)).convert("RGB")


def test_it_is_a_small_png_with_both_views() -> None:
    data = thumbnails.png([], height=120)
    assert data.startswith(b"\x89PNG")
    assert picture(data).size == (141, 120)
    assert len(data) < 20_000


def test_the_drawing_shows_in_its_colour_where_it_lies() -> None:
    drawn = picture(thumbnails.png([ache("back", box(440, 400, 560, 520), "burning")], height=340))
    at = drawn.getpixel((200 + 100, 92))
    assert at == tuple(int(kinds.kind("burning").colour[i : i + 2], 16) for i in (1, 3, 5))


def test_a_hole_in_a_drawing_stays_open() -> None:
    from bodymaps import geometry

    ring = geometry.take_away(box(400, 300, 600, 600), box(460, 400, 540, 500))
    drawn = picture(thumbnails.png([ache("front", ring)], height=340))
    assert drawn.getpixel((100, 90)) == tuple(int(thumbnails.BODY[i : i + 2], 16) for i in (1, 3, 5))


def test_the_same_drawing_is_the_same_picture() -> None:
    drawn = [ache("front", box(450, 300, 550, 400))]
    assert thumbnails.png(drawn) == thumbnails.png(drawn)
