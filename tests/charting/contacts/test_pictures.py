"""What somebody sends is made anew or refused with words; nothing of the file itself stays."""

import io

import pypdf
import pytest

from charting.contacts import decoding, pictures
from charting.contacts.decoding import NotTaken, pictures_of
from tests.charting.contacts import files


def only(data):
    (made,) = pictures_of(data)
    return made, files.seen(made.content)


def test_a_photograph_loses_place_and_camera_and_stands_upright():
    sent = files.photo()
    assert files.PLACE in sent and files.seen(sent).getexif().get_ifd(34853)
    made, image = only(sent)
    assert made.media_type == "image/jpeg"
    assert dict(image.getexif()) == {} and not {"exif", "icc_profile", "comment"} & set(image.info)
    assert files.PLACE not in made.content and b"Keller" not in made.content
    # Turned a quarter to the right: what was on the left is on top.
    assert image.size == (40, 60)
    assert image.getpixel((20, 5))[1] < 90 < 200 < image.getpixel((20, 55))[1]


def test_a_png_with_the_same_words_in_it_loses_them_too():
    made, image = only(files.photo(kind="PNG"))
    assert (made.media_type, image.size) == ("image/png", (40, 60))
    assert files.PLACE not in made.content and image.info == {}


@pytest.mark.parametrize(
    ("mode", "colour", "is_seen_as"),
    [
        ("1", 1, 255),
        ("L", 90, 90),
        ("I;16", 0x8000, 128),
        ("LA", (0, 0), (255, 255, 255)),
        ("RGBA", (0, 0, 0, 0), (255, 255, 255)),
        ("P", 0, (0, 0, 0)),
        ("RGB", (9, 8, 7), (9, 8, 7)),
    ],
)
def test_every_kind_of_png_is_seen_as_it_was_on_white(mode, colour, is_seen_as):
    assert only(files.drawing(mode, colour=colour))[1].getpixel((3, 3)) == is_seen_as


def test_a_large_picture_is_made_smaller():
    assert only(files.drawing("L", size=(4500, 90)))[1].size == (4096, 82)


def test_what_is_hidden_behind_a_picture_does_not_come_along():
    payload = b"<script>alert(1)</script>" + files.pdf()
    for sent in (files.photo() + payload, files.drawing() + payload):
        made, _ = only(sent)
        assert b"script" not in made.content and b"%PDF" not in made.content


def test_the_pages_of_a_pdf_become_pictures_in_order():
    made = pictures_of(files.pdf(pages=3))
    assert [each.media_type for each in made] == ["image/jpeg"] * 3
    image = files.seen(made[0].content)
    # 300 by 200 points at 150 dots to the inch; the square stands to the lower left.
    assert image.size == (625, 417)
    assert image.convert("L").getpixel((200, 200)) < 20 < 240 < image.convert("L").getpixel((500, 50))


def test_a_pdf_of_this_practice_can_be_read():
    from weasyprint import HTML

    sent = HTML(string="<p style='font-size: 60pt'>MRI of the neck</p>").write_pdf()
    _, image = only(sent)
    assert image.size[1] > image.size[0] > 1000
    assert image.convert("L").getextrema()[0] < 60


def test_nothing_that_a_pdf_wants_to_run_is_kept():
    sent = files.pdf(more=b"/OpenAction<</S/JavaScript/JS(app.alert\\(1\\))>>")
    assert b"JavaScript" not in only(sent)[0].content


def test_a_huge_page_is_kept_small():
    assert max(only(files.pdf(size=(14000, 900)))[1].size) <= 2400


def locked() -> bytes:
    writer = pypdf.PdfWriter(io.BytesIO(files.pdf()))
    writer.encrypt("secret", algorithm="RC4-128")
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", "Only JPEG and PNG"),
        (b"<!doctype html><script>1</script>", "Only JPEG and PNG"),
        (b"GIF89a/*\x01\x00*/=1;alert(1)", "Only JPEG and PNG"),
        (b"<html>" + files.pdf(), "Only JPEG and PNG"),
        (b"PK\x03\x04 a document", "Only JPEG and PNG"),
        (b"", "Only JPEG and PNG"),
        (b"\xff\xd8\xff<script>alert(1)</script>", "picture is broken"),
        (b"\x89PNG\r\n\x1a\n<svg/>", "picture is broken"),
        (files.photo(size=(600, 400))[:-900], "picture is broken"),
        (files.photo(size=(600, 400), kind="PNG")[:-900], "picture is broken"),
        (files.bomb(), "25 million pixels"),
        (files.bomb(20_000), "25 million pixels"),
        (files.pdf()[:60], "PDF is broken"),
        (files.pdf(pages=21), "more than 20 pages"),
        (locked(), "locked with a password"),
    ],
    ids=[
        *("svg", "html", "gif and script", "html and pdf", "zip", "empty", "script as jpeg", "svg as png"),
        *("half a jpeg", "half a png", "bomb", "larger bomb", "half a pdf", "many pages", "locked"),
    ],
)
def test_it_refuses_with_words(sent, words):
    with pytest.raises(NotTaken, match=words) as refusal:
        pictures_of(sent)
    assert str(refusal.value).count(".") >= 1


def test_a_picture_just_within_the_limit_is_taken():
    assert only(files.bomb(5000 - 8))[1].size == (4096, 4096)


def test_a_file_that_ends_its_process_is_refused(monkeypatch):
    kill = "import os, sys; sys.stdin.buffer.read(); os.kill(os.getpid(), 11)"
    monkeypatch.setattr(decoding, "_PROGRAM", [decoding.sys.executable, "-c", kill])
    with pytest.raises(NotTaken, match="could not be read"):
        pictures_of(files.photo())


def test_a_file_that_takes_for_ever_is_refused(monkeypatch):
    monkeypatch.setattr(decoding, "SECONDS", 0.2)
    monkeypatch.setattr(decoding, "_PROGRAM", [decoding.sys.executable, "-c", "import time; time.sleep(60)"])
    with pytest.raises(NotTaken, match="takes too long"):
        pictures_of(files.photo())


def test_the_process_knows_no_secret(monkeypatch):
    monkeypatch.setenv("TAUTLINE_SECRET_KEY", "of the practice")
    tell = "import json, os; print(json.dumps({'refused': ' '.join(os.environ)}))"
    monkeypatch.setattr(decoding, "_PROGRAM", [decoding.sys.executable, "-c", tell])
    with pytest.raises(NotTaken) as told:
        pictures_of(b"")
    assert "TAUTLINE" not in str(told.value) and "PATH" not in str(told.value).split()


def test_a_picture_with_too_many_bytes_as_png_is_kept_as_jpeg(monkeypatch):
    monkeypatch.setattr(pictures, "LARGEST_PNG", 10)
    assert pictures.picture(files.drawing(), "PNG")[0] == "image/jpeg"
