"""A letter is signed once, as it was read, by who may; what is signed never changes again."""

import hashlib

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, connection, transaction

from charting.letters import content, services
from charting.letters.editing import Edits, Typed
from charting.letters.gathered import gather
from charting.letters.models import Letter, LetterPaper, SignedLetter
from charting.notes.password import NotSigned
from charting.report.sentences import Edit
from charting.versioning import Stale
from charting.visits.models import Visit
from tests.charting.people import signed_in
from tests.charting.recorded import PASSWORD


@pytest.fixture
def quick_paper(monkeypatch):
    """Papers of a few bytes: what is printed is the matter of other files."""
    monkeypatch.setattr(services.pdf, "render_letter", lambda made, **how: f"%PDF {sorted(how)}".encode())


@pytest.fixture
def letter(write, quick_paper) -> Letter:
    return write("referrer")


def as_read(letter: Letter, who) -> str:
    letter.refresh_from_db()
    return content.fingerprint(content.assemble(gather(who, letter.episode), letter))


def sign(letter: Letter, who, *, password: str = PASSWORD, read: str = "") -> SignedLetter:
    said = {"password": password, "read": read or as_read(letter, who)}
    return services.sign(who=who, letter=Letter.objects.get(pk=letter.pk), **said)


def words(letter: Letter, key: str, said: str, who) -> None:
    row = Letter.objects.get(pk=letter.pk)
    edits = Edits(sentences={key: Edit("as it stood", said)}, own={"request": "An image, please."})
    services.save(who=who, letter=row, typed=Typed(row.version, row.to_name, row.to_address, edits))


def test_it_freezes_words_hash_signer_and_both_papers(letter, mara):
    words(letter, "plan.plan", "Two more visits.", mara)
    signed = sign(letter, mara)
    assert (signed.signer_name, signed.signer_title, signed.meaning) == (
        "Mara Steiner",
        "Physiotherapist",
        "author",
    )
    assert signed.content_sha256 == content.fingerprint(signed.content)
    assert "Two more visits." in str(signed.content) and "An image, please." in str(signed.content)
    papers = {row.paper: row for row in LetterPaper.objects.filter(signed=signed)}
    assert set(papers) == {"a4", "letter"}
    for row in papers.values():
        assert row.sha256 == hashlib.sha256(bytes(row.pdf)).hexdigest()


def test_it_is_not_touched_by_what_happens_later(letter, mara, episode, as_mara):
    before = dict(sign(letter, mara).content)
    episode.patient.family_name = "Renamed"
    episode.patient.save()
    Visit.objects.filter(episode=episode).update(episode=None)
    url = f"/patients/{letter.patient_id}/letters/{letter.pk}/"
    assert SignedLetter.objects.get(letter=letter).content == before
    page = as_mara.get(url).content.decode()
    assert "Anna Keller</strong>, born 3 May 1978" in page
    assert as_mara.get(f"{url}letter.pdf?paper=letter").content == b"%PDF ['paper', 'sha256', 'signed']"


@pytest.mark.parametrize("table", ["charting_signedletter", "charting_letterpaper"])
@pytest.mark.parametrize("words", ["UPDATE {} SET id = id + 100", "DELETE FROM {}"])
def test_the_database_refuses_to_change_or_delete_it(letter, mara, table, words):
    sign(letter, mara)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        connection.cursor().execute(words.format(table))


def test_it_refuses_a_wrong_password_and_a_second_signature(letter, mara, tom):
    with pytest.raises(NotSigned, match="not your password"):
        sign(letter, mara, password="wrong")
    sign(letter, mara)
    with pytest.raises(NotSigned, match="signed already"):
        sign(letter, tom)
    assert SignedLetter.objects.count() == 1


def test_it_refuses_what_was_changed_since_it_was_read(letter, mara, tom):
    read = as_read(letter, mara)
    words(letter, "plan.plan", "Somebody else's words.", tom)
    with pytest.raises(Stale):
        sign(letter, mara, read=read)


def test_it_lets_no_trainee_no_manager_and_nobody_from_elsewhere_sign(letter, mara, vera, ines):
    mara.is_trainee = True
    mara.save()
    with pytest.raises(NotSigned, match="no trainee"):
        sign(letter, mara)
    with pytest.raises(PermissionDenied):
        sign(letter, vera)
    url = f"/patients/{letter.patient_id}/letters/{letter.pk}/sign/"
    assert signed_in(ines).post(url, {"password": PASSWORD, "read": "0"}).status_code == 404


def test_it_refuses_a_letter_about_nothing_that_is_signed(letter, mara, episode):
    Visit.objects.filter(episode=episode).update(signed_at=None)
    with pytest.raises(NotSigned, match="No visit of this episode is signed"):
        sign(letter, mara)


def test_a_discarded_letter_is_gone_from_the_list_and_stays_on_record(letter, mara, as_mara):
    services.discard(who=mara, letter=letter)
    assert as_mara.get(f"/patients/{letter.patient_id}/letters/{letter.pk}/").status_code == 404
    assert Letter.objects.get(pk=letter.pk).discarded_at
    with pytest.raises(NotSigned, match="discarded"):
        sign(letter, mara, read="0")


def test_two_taps_begin_one_letter(write):
    assert write("summary").pk == write("summary").pk
