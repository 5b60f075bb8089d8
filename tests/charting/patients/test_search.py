"""Find a person by name or birth date; no name is ever in an address."""

from datetime import date

import pytest

from charting.patients.models import Patient
from charting.patients.names import folded
from charting.patients.queries import MOST, search
from charting.patients.services import register


@pytest.fixture
def people(mara):
    """Zoë Müller-O'Neill, Łukasz Żak, Jean-Luc d'Arc, born on telling days."""
    born = {
        ("Müller-O'Neill", "Zoë"): date(1975, 3, 12),
        ("Żak", "Łukasz"): date(1990, 11, 30),
        ("d'Arc", "Jean-Luc"): date(2001, 12, 3),
    }
    for (family, given), day in born.items():
        register(who=mara, family_name=family, given_names=given, birth_date=day)


def found(user, text):
    return [patient.family_name for patient in search(user, text).patients]


@pytest.mark.parametrize(
    "text",
    ["muller", "MÜLLER", "Mueller", "zoe", "Zoe Mul", "müller zoë", "oneill", "O’Neill", "o'n mul"],
)
def test_it_finds_a_name_without_accents_case_or_order(people, mara, text):
    assert found(mara, text) == ["Müller-O'Neill"]


@pytest.mark.parametrize(("text", "family"), [("zak", "Żak"), ("lukasz", "Żak"), ("darc jean", "d'Arc")])
def test_it_finds_letters_that_are_no_accents(people, mara, text, family):
    assert found(mara, text) == [family]


@pytest.mark.parametrize("text", ["ller", "xyz", "zoe zak", "%", "_", "!"])
def test_it_finds_nobody_by_what_no_name_begins_with(people, mara, text):
    assert found(mara, text) == []


@pytest.mark.parametrize(
    "text",
    ["12.3.1975", "12/03/1975", "1975-03-12", "12 March 1975", "12 mar 75", "March 12, 1975", "12031975"],
)
def test_it_finds_a_birth_date_as_people_write_it(people, mara, text):
    assert "Müller-O'Neill" in found(mara, text)


def test_it_takes_a_date_with_two_meanings_for_both(people, mara):
    register(who=mara, family_name="Other", given_names="Way", birth_date=date(1975, 12, 3))
    assert found(mara, "12.3.1975") == ["Müller-O'Neill", "Other"]


def test_it_finds_a_record_number(people, mara):
    assert found(mara, "2") == ["Żak"]


def test_it_finds_nobody_of_another_practice(people, ines):
    assert found(ines, "muller") == []
    assert found(ines, "12.3.1975") == []
    assert found(ines, "") == []


def test_it_says_when_there_are_more_than_fit(mara, practice):
    for number in range(1, MOST + 2):
        name = f"Person{number:02d}"
        Patient.objects.create(
            practice=practice,
            record_number=number,
            family_name=name,
            given_names="Test",
            birth_date=date(1980, 1, 1),
            search_name=folded(name),
        )
    result = search(mara, "person")
    assert (len(result.patients), result.more) == (MOST, True)
    assert search(mara, "person0").more is False


def test_it_keeps_what_was_looked_for_out_of_addresses(people, as_mara):
    response = as_mara.post("/patients/", {"q": "Müller"})
    assert (response.status_code, response.headers["Location"]) == (302, "/patients/")
    page = as_mara.get("/patients/").content.decode()
    assert "Müller-O&#x27;Neill" in page
    assert 'method="post"' in page


def test_it_ignores_what_stands_in_an_address(people, as_mara):
    assert "1 found" not in as_mara.get("/patients/?q=muller").content.decode()


def test_it_answers_htmx_with_the_list_alone(people, as_mara):
    response = as_mara.post("/patients/", {"q": "zak"}, headers={"HX-Request": "true"})
    text = response.content.decode()
    assert "Żak" in text and "<html" not in text


def test_it_forgets_the_search_when_somebody_else_signs_in(people, as_mara, poll):
    as_mara.post("/patients/", {"q": "Müller"})
    as_mara.post("/sign-out/")
    as_mara.force_login(poll)
    assert "1 found" not in as_mara.get("/patients/").content.decode()


def test_the_cast_is_stored_as_the_search_wants_it(anna):
    assert anna.search_name == folded(f"{anna.given_names} {anna.family_name}")
