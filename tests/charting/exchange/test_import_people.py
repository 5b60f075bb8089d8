"""A list of people: brought, shown, and done only then; all of it or nothing."""

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied
from django.core.files.uploadedfile import SimpleUploadedFile

from charting.audit.models import AuditEntry
from charting.exchange import brought, columns
from charting.exchange.models import ImportFile
from charting.exchange.plans import NotDone
from charting.patients import services as patients
from charting.patients.models import Patient

HEAD = "Family name;Given names;Date of birth;Sex;E-mail\n"
ISO = {"dates": "iso"}


def listed(who, *lines, head=HEAD):
    content = (head + "\n".join(lines)).encode()
    return brought.bring(who=who, what="csv", name="people.csv", content=content)


def plan(who, *lines, said=ISO):
    return brought.plan_of(who, listed(who, *lines), said)


def do(who, file, said=ISO, **sent):
    sent = {key.replace("line_", "line-"): value for key, value in sent.items()}
    seen = brought.plan_of(who, file, said).key
    return brought.do(who=who, file=file, seen=seen, said=said, sent=sent)


def test_it_registers_everybody_of_a_list(mara):
    done = do(mara, listed(mara, "Berger;Lea;1990-01-02;f;lea@example.org", "Vogt;Ben;1960-12-31;;"))
    lea, ben = Patient.objects.order_by("record_number")
    assert (lea.name, lea.birth_date, lea.sex, lea.email) == (
        "Lea Berger",
        date(1990, 1, 2),
        "female",
        "lea@example.org",
    )
    assert (ben.record_number, ben.sex, ben.search_name) == (2, "unknown", "ben vogt")
    assert done.outcome["made"] == [str(lea.pk), str(ben.pk)]
    assert AuditEntry.objects.filter(action="registered").count() == 2


def test_every_bad_row_is_listed_with_line_column_and_what_to_mend(mara):
    found = plan(
        mara,
        ";Lea;1990-01-02;f;",
        "Vogt;Ben;31.12.1960;;",
        "Ott;Ida;1990-02-30;z;no",
        "Good;One;1990-01-02;;",
    )
    told = [(one.where, one.why) for one in found.refused]
    assert [where for where, _ in told] == [
        "Line 2, column Family name",
        "Line 3, column Date of birth",
        "Line 4, column Date of birth",
        "Line 4, column Sex",
        "Line 4, column E-mail",
    ]
    assert "against what was said" in told[1][1] and "31.12.1960" in told[1][1]


def test_one_bad_row_keeps_everybody_out(mara):
    file = listed(mara, "Berger;Lea;1990-01-02;;", "Vogt;Ben;1960-13-31;;")
    with pytest.raises(NotDone, match="mend"):
        do(mara, file)
    assert not Patient.objects.exists()


def test_the_same_figures_are_another_day_when_the_order_is_another(mara):
    days = [
        plan(mara, "Berger;Lea;3/7/1975;;", said={"dates": order}).steps[0].said
        for order in ("day-first", "month-first")
    ]
    assert days == [(("Born", "3 July 1975"),), (("Born", "7 March 1975"),)]


def test_a_list_that_could_be_read_either_way_says_so(mara):
    assert "either" not in str(plan(mara, "Berger;Lea;13.7.1975;;", said={"dates": "day-first"}).told)
    told = plan(mara, "Berger;Lea;3.7.1975;;", said={"dates": "day-first"}).told
    assert "No day in this file is above 12" in told[-1]


def test_somebody_registered_already_is_left_out(mara, anna):
    file = listed(mara, "Keller;Anna;1978-05-03;;", "Vogt;Ben;1960-12-31;;")
    step = brought.plan_of(mara, file, ISO).steps[0]
    assert step.known == (anna,) and not step.is_open
    assert step.choices[0].words == "Left out: registered already, record 1042"
    assert do(mara, file).outcome["left"] == ["Line 2: Anna Keller"]
    assert Patient.objects.filter(family_name="Keller").count() == 1


def test_somebody_alike_must_be_decided(mara, anna):
    file = listed(mara, "Keller;Ann;1978-05-03;;", "Vogt;Ben;1960-12-31;;")
    with pytest.raises(NotDone, match="Line 2, Ann Keller"):
        do(mara, file)
    do(mara, file, line_2="new")
    entry = AuditEntry.objects.filter(action="registered").order_by("pk")[0]
    assert entry.detail["despite"] == [str(anna.pk)]


def test_the_same_person_twice_in_a_list_is_one(mara):
    file = listed(mara, "Berger;Lea;1990-01-02;;", "Berger;Léa;1990-01-02;;")
    assert "line 2" in brought.plan_of(mara, file, ISO).steps[1].notes[0]
    do(mara, file)
    assert Patient.objects.count() == 1


def test_a_second_tap_registers_nobody_twice(mara):
    file = listed(mara, "Berger;Lea;1990-01-02;;")
    seen = brought.plan_of(mara, file, ISO).key
    for _ in range(2):
        brought.do(who=mara, file=file, seen=seen, said=ISO, sent={})
    assert Patient.objects.count() == 1


def test_nothing_is_done_when_somebody_was_registered_meanwhile(mara):
    file = listed(mara, "Berger;Lea;1990-01-02;;")
    seen = brought.plan_of(mara, file, ISO).key
    born = {"family_name": "Berger", "given_names": "Lea", "birth_date": date(1990, 1, 2)}
    patients.register(who=mara, **born)
    with pytest.raises(NotDone, match="changed since"):
        brought.do(who=mara, file=file, seen=seen, said=ISO, sent={})


def test_a_file_that_is_left_keeps_nothing_of_what_it_said(mara):
    file = listed(mara, "Berger;Lea;1990-01-02;;")
    brought.leave(who=mara, file=file)
    assert bytes(ImportFile.objects.get().content) == b""
    with pytest.raises(NotDone, match="left"):
        brought.do(who=mara, file=file, seen="", said=ISO, sent={})


def test_who_may_not_import_brings_nothing(poll):
    with pytest.raises(PermissionDenied):
        listed(poll, "Berger;Lea;1990-01-02;;")


def test_a_list_too_long_is_refused_whole(mara):
    known = columns.load()
    lines = [f"Berger{number};Lea;1990-01-02;;" for number in range(known.most_people + 1)]
    found = plan(mara, *lines)
    assert not found.steps and f"at most {known.most_people}" in found.refused[0].why


def test_the_pages_lead_from_the_file_to_the_people(as_mara, practice):
    sent = SimpleUploadedFile("people.csv", (HEAD + "Berger;Lea;1990-01-02;f;").encode())
    unsaid = as_mara.post("/import/csv/", {"file": sent})
    assert unsaid.status_code == 422 and "choose one" in unsaid.content.decode()
    sent.seek(0)
    shown = as_mara.post("/import/csv/", {"file": sent, "dates": "iso"}).headers["Location"]
    page = as_mara.get(shown).content.decode()
    assert "2 January 1990" in page and not Patient.objects.exists()
    seen = page.split('name="seen" value="')[1].split('"')[0]
    done = as_mara.post(shown, {"seen": seen}, follow=True).content.decode()
    assert "1 registered" in done and Patient.objects.get().name == "Lea Berger"


def test_another_practice_knows_nothing_of_a_file(mara, as_ines):
    file = listed(mara, "Berger;Lea;1990-01-02;;")
    assert as_ines.get(f"/import/of/{file.pk}/").status_code == 404


def test_a_number_to_call_without_a_name_is_refused_as_in_the_form(mara):
    head = "surname,first name,born,emergency phone\n"
    file = listed(mara, "Berger,Lea,1990-01-02,000 1", head=head)
    (refused,) = brought.plan_of(mara, file, ISO).refused
    assert refused.where == "Line 2, column Emergency contact"
