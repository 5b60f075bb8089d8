"""Codes as the standard has them, each good once; a secret that a copy of the database does not give away."""

import time

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.management import CommandError, call_command
from django.test import override_settings

from charting.audit.models import AuditEntry
from charting.staff import second_factor
from charting.staff import second_factor_secret as kept
from charting.staff.models import BackupCode, SecondFactor, StaffSession
from tests.charting.people import signed_in
from tests.charting.staff.authenticator import given_to

# RFC 6238, appendix B: HMAC-SHA-1, the secret as ASCII, eight figures. Six figures are the last six of eight
# (RFC 4226, section 5.3: the same number modulo 10 to the power of the figures).
RFC_SECRET = b"12345678901234567890"
RFC_VECTORS = [
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
]


@pytest.mark.parametrize(("at", "code"), RFC_VECTORS)
def test_it_shows_the_codes_of_the_standard(at, code):
    assert kept.code_at(RFC_SECRET, at // 30) == code[-6:]


@pytest.mark.parametrize(
    ("late", "taken"), [(-1, False), (0, True), (29, True), (30, True), (59, True), (60, False)]
)
def test_a_code_is_good_in_its_step_and_the_next_and_never_before(late, taken):
    """RFC 6238, section 5.2: at most one time step for the way."""
    began = 1111111110  # the first second of a step
    code = kept.code_at(RFC_SECRET, began // 30)
    assert (kept.step_of(code, RFC_SECRET, began + late) is not None) == taken


def test_a_secret_has_160_bits_and_is_typed_as_base32():
    """RFC 4226, section 4, R6; RFC 4648, section 10: "foobar" is MZXW6YTBOI."""
    assert len(kept.new_secret()) * 8 == 160
    assert kept.to_type(b"foobar").replace(" ", "").rstrip("=") == "MZXW6YTBOI"


def test_the_secret_is_not_in_the_database(mara):
    held, codes = given_to(mara)
    row = SecondFactor.objects.get()
    assert held.secret not in bytes(row.secret)
    for code in codes:
        assert not BackupCode.objects.filter(hashed__contains=code.replace("-", "")[1:]).exists()


def test_a_changed_key_shuts_nobody_out_and_a_foreign_one_opens_nothing(mara, settings):
    held, _ = given_to(mara)
    before = settings.SECRET_KEY
    with override_settings(SECRET_KEY="x" * 60, SECRET_KEY_FALLBACKS=[before]):
        assert second_factor.use_code(who=mara, code=held.code()) == "code"
    with (
        override_settings(SECRET_KEY="x" * 60, SECRET_KEY_FALLBACKS=[]),
        pytest.raises(ValueError, match="key"),
    ):
        second_factor.use_code(who=mara, code=held.code())


def test_a_secret_of_one_person_is_none_of_another(mara, tom):
    held, _ = given_to(mara)
    given_to(tom)
    SecondFactor.objects.filter(user=tom).update(secret=SecondFactor.objects.get(user=mara).secret)
    with pytest.raises(ValueError, match="somebody else"):
        second_factor.use_code(who=tom, code=held.code())


def test_a_code_is_taken_once(mara):
    """ASVS 6.5.1."""
    held, _ = given_to(mara)
    code = held.code()
    assert second_factor.use_code(who=mara, code=code) == "code"
    assert second_factor.use_code(who=mara, code=code) == ""


def test_none_before_the_last_is_taken_any_more(mara):
    held, _ = given_to(mara)
    earlier = held.code(steps=-1)
    assert second_factor.use_code(who=mara, code=held.code()) == "code"
    assert second_factor.use_code(who=mara, code=earlier) == ""


def test_a_code_is_taken_with_blanks_and_dashes(mara):
    held, codes = given_to(mara)
    code = held.code()
    assert second_factor.use_code(who=mara, code=f" {code[:3]} {code[3:]}") == "code"
    assert second_factor.use_code(who=mara, code=codes[0].upper().replace("-", " ")) == "backup"


def test_each_of_ten_backup_codes_is_good_once_and_hashed_slowly(mara, settings):
    """ASVS 6.5.1 and 6.5.2."""
    _, codes = given_to(mara)
    assert len(set(codes)) == 10
    hashed = BackupCode.objects.values_list("hashed", flat=True)
    assert all(each.split("$")[0] for each in hashed) and len(set(hashed)) == 10
    for left, code in zip(range(9, -1, -1), codes, strict=True):
        assert second_factor.use_code(who=mara, code=code) == "backup"
        assert second_factor.use_code(who=mara, code=code) == ""
        assert second_factor.codes_left(mara) == left


@pytest.mark.parametrize(
    "code", ["", "0", "12345", "1234567", "0-aaaaa-aaaaa", "x-aaaaa-aaaaa", "²-aaaaa-aaaaa"]
)
def test_anything_else_is_no_code(mara, code):
    given_to(mara)
    assert second_factor.use_code(who=mara, code=code) == ""


def test_new_backup_codes_make_the_old_ones_worthless(mara):
    _, old = given_to(mara)
    new = second_factor.new_backup_codes(who=mara)
    assert second_factor.use_code(who=mara, code=old[3]) == ""
    assert second_factor.use_code(who=mara, code=new[3]) == "backup"


def test_backup_codes_stand_in_for_an_authenticator_and_for_nothing_else(mara):
    with pytest.raises(PermissionDenied):
        second_factor.new_backup_codes(who=mara)


def test_a_page_that_stood_open_too_long_or_is_anothers_sets_nothing_up(mara, tom, monkeypatch):
    sealed = second_factor.fresh_secret(mara)
    with pytest.raises(ValidationError):
        second_factor.secret_in(sealed, tom)
    later = time.time() + second_factor.SET_UP_WITHIN + 1
    monkeypatch.setattr("time.time", lambda: later)
    with pytest.raises(ValidationError):
        second_factor.secret_in(sealed, mara)


# Lost and taken off again.


def test_an_owner_takes_it_off_and_the_person_is_signed_out_everywhere(mara, vera):
    given_to(mara)
    there = signed_in(mara)
    second_factor.forget(who=vera, user=mara)
    assert not SecondFactor.objects.exists() and not BackupCode.objects.exists()
    assert there.get("/").status_code == 302
    row = AuditEntry.objects.latest("pk")
    assert (row.action, row.actor_id, row.object_id) == ("reset a second factor", vera.pk, str(mara.pk))
    assert not StaffSession.objects.filter(user=mara, ended_at=None).exists()


def test_nobody_else_does(mara, tom, vera, ines):
    given_to(mara)
    with pytest.raises(PermissionDenied):
        second_factor.forget(who=tom, user=mara)
    with pytest.raises(PermissionDenied):
        second_factor.forget(who=vera, user=ines)
    assert SecondFactor.objects.exists()


def test_the_command_takes_it_off_where_no_owner_can(mara, capsys):
    given_to(mara)
    call_command("reset_second_factor", "mara")
    assert not SecondFactor.objects.exists()
    assert "sets up another" in capsys.readouterr().out
    with pytest.raises(CommandError, match="called nobody"):
        call_command("reset_second_factor", "nobody")
