"""Papers from others: put into the chart as pictures, shown to who may, taken out of use and never lost."""

import hashlib
import uuid

import pytest
from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.core.files.uploadedfile import SimpleUploadedFile

from charting.audit.models import AuditEntry
from charting.contacts import services
from charting.contacts.models import Attachment, AttachmentStruck
from charting.contacts.services import NotKept
from tests.charting import recorded
from tests.charting.contacts import files


def url(patient, *more):
    return "/".join((f"/patients/{patient.pk}/papers", *map(str, more), ""))


def typed(data=None, name="scan.jpg", **others):
    file = SimpleUploadedFile(name, files.photo() if data is None else data)
    about = {"id": str(uuid.uuid4()), "what": "imaging", "title": "MRI of the neck", "file": file}
    return {**about, **others}


@pytest.fixture
def paper(anna, as_mara):
    """A scan of two pages in anna's chart."""
    as_mara.post(url(anna), typed(files.pdf(pages=2), "scan.pdf"))
    return Attachment.objects.first().paper


def test_it_keeps_pictures_made_here_and_not_the_file(anna, as_mara, mara):
    sent = typed(dated_day="4", dated_month="May", dated_year="2026")
    assert as_mara.post(url(anna), sent).headers["Location"] == url(anna)
    row = Attachment.objects.get()
    assert (row.title, row.what, row.dated.isoformat(), row.added_by) == (
        *("MRI of the neck", "imaging", "2026-05-04"),
        mara,
    )
    assert row.media_type == "image/jpeg" and files.PLACE not in row.content
    assert row.sha256 == hashlib.sha256(row.content).hexdigest()
    assert AuditEntry.objects.get(action="added paper").detail == {"paper": str(row.paper), "pages": 1}


def test_the_name_of_the_file_does_not_matter(anna, as_mara):
    as_mara.post(url(anna), typed(files.pdf(pages=2), "photo.jpg"))
    as_mara.post(url(anna), typed(files.drawing(), "harmless.pdf.exe"))
    kept = list(Attachment.objects.order_by("added_at", "page").values_list("media_type", "page", "pages"))
    assert kept == [("image/jpeg", 1, 2), ("image/jpeg", 2, 2), ("image/png", 1, 1)]
    assert ".exe" not in as_mara.get(url(anna)).content.decode()


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"data": b"<svg onload='alert(1)'/>", "name": "scan.png"}, "Only JPEG and PNG pictures and PDF"),
        ({"data": files.photo()[:-40]}, "picture is broken"),
        ({"data": files.bomb()}, "25 million pixels"),
        ({"data": b""}, "This file is empty."),
        ({"title": " "}, "Give it a title."),
        ({"what": ""}, "Choose what it is."),
        ({"dated_day": "4", "dated_month": "May", "dated_year": "2999"}, "must not be in the future"),
        ({"dated_day": "4"}, "Enter the month."),
    ],
)
def test_it_says_what_to_mend_and_keeps_every_word(anna, as_mara, sent, words):
    response = as_mara.post(url(anna), typed(**sent))
    text = response.content.decode()
    assert response.status_code == 422 and words in text
    assert "title" in sent or 'value="MRI of the neck"' in text
    assert "choose it once more" in text
    assert not Attachment.objects.exists()


@pytest.mark.parametrize("more", [1, 200_000])
def test_it_refuses_a_file_that_is_too_large(anna, as_mara, more):
    data = files.photo() + bytes(10 * 1024 * 1024 + more - len(files.photo()))
    response = as_mara.post(url(anna), typed(data))
    assert response.status_code == 422
    assert "This file is too large: at most 10 MB." in response.content.decode()


def test_it_takes_the_largest_file(anna, as_mara):
    data = files.photo() + bytes(10 * 1024 * 1024 - len(files.photo()))
    assert as_mara.post(url(anna), typed(data)).status_code == 302


def test_no_file_is_left_on_the_disk():
    assert settings.FILE_UPLOAD_HANDLERS == ["django.core.files.uploadhandler.MemoryFileUploadHandler"]


def test_a_double_tap_adds_one_paper(anna, as_mara):
    identity = str(uuid.uuid4())
    for _ in range(2):
        assert as_mara.post(url(anna), typed(id=identity)).status_code == 302
    assert Attachment.objects.count() == 1


def test_it_serves_a_picture_that_runs_nowhere(anna, as_mara, paper):
    response = as_mara.get(url(anna, paper, 2))
    assert response.content == bytes(Attachment.objects.get(page=2).content)
    headers = response.headers
    assert headers["Content-Type"] == "image/jpeg"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Content-Disposition"] == f'attachment; filename="paper-{paper}-2.jpg"'
    assert headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert headers["Cache-Control"] == "no-store"


def test_a_page_shows_every_picture_and_each_look_is_on_record(anna, as_mara, paper):
    text = as_mara.get(url(anna, paper)).content.decode()
    for page in (1, 2):
        assert f'src="{url(anna, paper, page)}"' in text
        as_mara.get(url(anna, paper, page))
    looks = AuditEntry.objects.filter(action__startswith="opened paper").exclude(action="opened papers")
    assert [(each.action, each.detail.get("page")) for each in looks.order_by("pk")] == [
        ("opened paper", None),
        ("opened paper picture", 1),
        ("opened paper picture", 2),
    ]
    assert {(each.object_id, each.detail["paper"]) for each in looks} == {(str(anna.pk), str(paper))}


def test_a_page_that_is_not_there_is_not_found(anna, as_mara, paper):
    for wrong in ((paper, 3), (paper, 0), (uuid.uuid4(), 1), (uuid.uuid4(),)):
        assert as_mara.get(url(anna, *wrong)).status_code == 404


def test_out_of_use_it_is_struck_with_a_reason_and_its_rows_stay(anna, as_mara, paper):
    as_mara.post(url(anna, paper, "strike"), {"why": "Another person's scan."})
    text = as_mara.get(url(anna)).content.decode()
    assert "<s>MRI of the neck</s>" in text
    assert "by Mara Steiner: Another person&#x27;s scan." in text
    assert Attachment.objects.filter(paper=paper).count() == 2
    assert AuditEntry.objects.get(action="struck paper").detail == {"paper": str(paper)}
    assert "<img" not in as_mara.get(url(anna, paper)).content.decode()
    assert as_mara.get(url(anna, paper, 1)).status_code == 404


def test_it_is_struck_once_and_not_without_a_reason(anna, as_mara, mara, paper):
    response = as_mara.post(url(anna, paper, "strike"), {"why": ""})
    assert response.status_code == 422
    assert "Write why it is taken out of use." in response.content.decode()
    services.strike_paper(who=mara, patient=anna, paper=paper, why="Wrong chart.")
    with pytest.raises(NotKept, match="meanwhile"):
        services.strike_paper(who=mara, patient=anna, paper=paper, why="Wrong chart.")
    assert AttachmentStruck.objects.count() == 1


def test_the_manager_reads_and_adds_nothing(anna, as_vera, paper):
    assert "MRI of the neck" in as_vera.get(url(anna)).content.decode()
    assert as_vera.get(url(anna, paper, 1)).status_code == 200
    assert as_vera.post(url(anna), typed()).status_code == 403
    assert as_vera.post(url(anna, paper, "strike"), {"why": "Wrong."}).status_code == 403


def test_the_chart_itself_refuses_the_manager(anna, vera, paper):
    with pytest.raises(PermissionDenied):
        services.strike_paper(who=vera, patient=anna, paper=paper, why="Wrong chart.")
    assert not AttachmentStruck.objects.exists()


@pytest.mark.parametrize("who", ["as_poll", "as_ines"])
def test_the_assistant_and_another_practice_find_no_paper(request, who, anna, paper):
    client = request.getfixturevalue(who)
    for address in (url(anna), url(anna, paper), url(anna, paper, 1)):
        assert client.get(address).status_code == 404
    assert client.post(url(anna), typed()).status_code == 404
    assert client.post(url(anna, paper, "strike"), {"why": "Wrong."}).status_code == 404


def test_a_paper_is_found_in_its_own_chart_only(as_mara, practice, paper):
    other = recorded.patient(practice, number=7)
    assert as_mara.get(url(other, paper)).status_code == 404
    assert as_mara.get(url(other, paper, 1)).status_code == 404
    assert as_mara.post(url(other, paper, "strike"), {"why": "Wrong."}).status_code == 404
