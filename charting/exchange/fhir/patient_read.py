"""A Patient read back: from our own bundle or another system's, as the form for one person would send it."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from charting.patients.forms import PatientForm
from charting.patients.models import Patient

LONGEST_SYSTEM, LONGEST_VALUE = 200, 120
MOST_PEOPLE, MOST_NUMBERS = 50, 20
LABELS = {
    "family_name": "name.family",
    "given_names": "name.given",
    "birth_date": "birthDate",
    "sex": "gender",
    "phone": "telecom (phone)",
    "email": "telecom (email)",
    "address": "address",
    "emergency_name": "contact.name",
    "emergency_phone": "contact.telecom",
    "emergency_relation": "contact.relationship",
}


class NotRead(Exception):
    """The file holds no person that can be read; the text says what to mend."""


@dataclass(frozen=True)
class ReadPatient:
    """One person. `about`: clean values, {} when something is to be mended; `wrong`: (member, what to mend);
    `numbers`: (system, value) by which others know the person; `notes`: what is not taken over.
    """

    place: int
    name: str
    about: dict[str, Any]
    wrong: tuple[tuple[str, str], ...]
    numbers: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


def patients_in(content: bytes) -> tuple[ReadPatient, ...]:
    """Every person of a file that holds a Patient or a Bundle. Raises NotRead."""
    found = _resources(content)
    if not found:
        raise NotRead("It holds no Patient. Export the person as HL7 FHIR R4 in JSON, and bring that.")
    if len(found) > MOST_PEOPLE:
        raise NotRead(f"It holds {len(found)} people; at most {MOST_PEOPLE} are taken in at once.")
    return tuple(_read(place, each) for place, each in enumerate(found, 1))


def _resources(content: bytes) -> list[Mapping[str, Any]]:
    try:
        whole = json.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise NotRead("It is no text in UTF-8. FHIR is always UTF-8: export it once more.") from None
    except (ValueError, RecursionError):
        raise NotRead("It is no JSON. Bring the JSON form of the export, not XML or PDF.") from None
    if not isinstance(whole, dict) or "resourceType" not in whole:
        raise NotRead("It is JSON and no FHIR: the member resourceType is missing.")
    if whole["resourceType"] == "Patient":
        return [whole]
    if whole["resourceType"] != "Bundle":
        raise NotRead(f"It is a FHIR {whole['resourceType']}. Bring a Patient, or a Bundle with one.")
    inner = [_dict(entry).get("resource") for entry in _list(whole.get("entry"))]
    return [each for each in inner if isinstance(each, dict) and each.get("resourceType") == "Patient"]


def _read(place: int, said: Mapping[str, Any]) -> ReadPatient:
    typed = _typed(said)
    form = PatientForm({**typed, **_birth_parts(said)})
    wrong = [(LABELS.get(name, name), str(errors[0])) for name, errors in form.errors.items()]
    wrong = [each for each in wrong if each[0] not in ("birthDate", "gender")]
    wrong += [*_wrong_birth(said, form), *_wrong_sex(said)]
    name = f"{typed['given_names']} {typed['family_name']}".strip()
    about = {} if wrong else form.about()
    return ReadPatient(
        place, name or "without a name", about, tuple(wrong), tuple(_numbers(said)), tuple(_notes(said))
    )


def _typed(said: Mapping[str, Any]) -> dict[str, str]:
    """As the form would send it. What is too long or no address of e-mail is told of by the form."""
    name, contact = _name(said), _dict(next(iter(_list(said.get("contact"))), {}))
    relation = _dict(next(iter(_list(contact.get("relationship"))), {}))
    return {
        "family_name": _text(name.get("family")),
        "given_names": " ".join(filter(None, map(_text, _list(name.get("given"))))),
        "sex": _text(said.get("gender")),
        "phone": _telecom(said, "phone"),
        "email": _telecom(said, "email"),
        "address": _address(said),
        "emergency_name": _name_words(_dict(contact.get("name"))),
        "emergency_phone": _telecom(contact, "phone"),
        "emergency_relation": _concept(relation),
    }


def _name(said: Mapping[str, Any]) -> Mapping[str, Any]:
    """The official name, else the usual one, else the first that is not of former days."""
    names = [_dict(each) for each in _list(said.get("name"))]
    for use in ("official", "usual"):
        for name in names:
            if name.get("use") == use:
                return name
    return next((name for name in names if name.get("use") not in ("old", "maiden")), {})


def _name_words(name: Mapping[str, Any]) -> str:
    parts = [*map(_text, _list(name.get("given"))), _text(name.get("family"))]
    return _text(name.get("text")) or " ".join(filter(None, parts))


def _telecom(said: Mapping[str, Any], system: str) -> str:
    every = [_dict(each) for each in _list(said.get("telecom"))]
    here = [each for each in every if each.get("system") == system and each.get("use") != "old"]
    return _text(here[0].get("value")) if here else ""


def _address(said: Mapping[str, Any]) -> str:
    every = [_dict(each) for each in _list(said.get("address"))]
    here = next((each for each in every if each.get("use") != "old"), {})
    town = " ".join(filter(None, (_text(here.get("postalCode")), _text(here.get("city")))))
    parts = (
        *map(_text, _list(here.get("line"))),
        town,
        _text(here.get("state")),
        _text(here.get("country")),
    )
    return _text(here.get("text")) or "\n".join(filter(None, parts))


def _concept(said: Mapping[str, Any]) -> str:
    coded = [_text(_dict(each).get("display")) for each in _list(said.get("coding"))]
    return _text(said.get("text")) or next(filter(None, coded), "")


def _birth_parts(said: Mapping[str, Any]) -> dict[str, str]:
    born = _text(said.get("birthDate"))
    parts = born.split("-") if _is_day(born) else ["", "", ""]
    year, month, day = parts
    return {"birth_date_day": day, "birth_date_month": month, "birth_date_year": year}


def _wrong_birth(said: Mapping[str, Any], form: PatientForm) -> Iterator[tuple[str, str]]:
    born = _text(said.get("birthDate"))
    if not born:
        yield "birthDate", "It is missing. Add the date of birth where the file comes from."
    elif not _is_day(born):
        yield "birthDate", f"“{born[:40]}” is no whole day such as 1975-03-07."
    elif "birth_date" in form.errors:
        yield "birthDate", str(form.errors["birth_date"][0])


def _wrong_sex(said: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    sex = _text(said.get("gender"))
    if sex and sex not in Patient.Sex.values:
        yield "gender", f"“{sex[:40]}” is none of {', '.join(Patient.Sex.values)}."


def _is_day(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _numbers(said: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Those that can be kept: with a system, and of a length that fits."""
    seen: set[tuple[str, str]] = set()
    for each in map(_dict, _list(said.get("identifier"))):
        number = _text(each.get("system")), _text(each.get("value"))
        fits = all(number) and len(number[0]) <= LONGEST_SYSTEM and len(number[1]) <= LONGEST_VALUE
        if fits and number not in seen and len(seen) < MOST_NUMBERS:
            seen.add(number)
            yield number


def _notes(said: Mapping[str, Any]) -> Iterator[str]:
    if said.get("active") is False:
        yield "The other system says that this record is not in use any more."
    if said.get("deceasedBoolean") is True or said.get("deceasedDateTime"):
        yield "The other system says that this person has died."
    if len(_list(said.get("contact"))) > 1:
        yield "Only the first contact is taken over."


def _text(value: Any) -> str:
    return value.replace("\x00", "").strip() if isinstance(value, str) else ""


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _dict(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {}
