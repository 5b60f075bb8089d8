"""Who works there and who is treated: practice, sites, staff, persons."""

import random
import tomllib
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings

from charting.management.scale.bulk import put
from charting.patients.models import Patient, PatientSite
from charting.patients.names import folded
from charting.staff.models import Practice, Site, User

FILE = Path(__file__).parent / "scale.toml"
OLDEST = 95 * 365


@cache
def words() -> dict[str, Any]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Staff:
    practice: Practice
    sites: tuple[Site, ...]
    clinicians: tuple[User, ...]
    desk: User


def new_id(dice: random.Random) -> uuid.UUID:
    return uuid.UUID(int=dice.getrandbits(128), version=4)


def name(dice: random.Random) -> tuple[str, str]:
    """(given, family)"""
    told = words()
    return dice.choice(told["given"]), dice.choice(told["stems"]) + dice.choice(told["endings"])


def staff(clinicians: int, password: str, dice: random.Random) -> Staff:
    """Every fourth clinician works at two of the sites only, the others everywhere."""
    told = words()
    practice = Practice.objects.create(
        name=told["name"], town=told["town"], time_zone=settings.TIME_ZONE, is_demo=True
    )
    sites = tuple(Site.objects.create(practice=practice, name=each) for each in told["sites"])
    first = _member(practice, "clinician1", User.Role.CLINICIAN, password, dice)
    treating = [first, *(_member(practice, f"clinician{n + 1}", User.Role.CLINICIAN, first, dice)
                         for n in range(1, clinicians))]  # fmt: skip
    for one in treating[3::4]:
        one.every_site = False
        one.save(update_fields=["every_site"])
        one.sites.set(sites[:2])
    desk, _, _ = (_member(practice, role, role, first, dice) for role in ("desk", "owner", "auditor"))
    return Staff(practice, sites, tuple(treating), desk)


def _member(practice: Practice, username: str, role: str, password: str | User, dice: random.Random) -> User:
    """`password`: or somebody who has the same, for each new one costs a slow hash."""
    given, family = name(dice)
    user = User(username=username, practice=practice, role=role, first_name=given, last_name=family)
    if isinstance(password, User):
        user.password = password.password
    else:
        user.set_password(password)
    user.save()
    return user


def patients(known: Staff, first_seen: Sequence[datetime], dice: random.Random) -> list[Patient]:
    """One for each first visit, with a site. They stay in memory: what follows names them."""
    made = [_patient(known.practice, number, at, dice) for number, at in enumerate(first_seen, 1)]
    put(iter(made))
    put(_at_sites(known, made, dice))
    return made


def _patient(practice: Practice, number: int, at: datetime, dice: random.Random) -> Patient:
    given, family = name(dice)
    return Patient(
        id=new_id(dice),
        practice_id=practice.pk,
        record_number=number,
        given_names=given,
        family_name=family,
        search_name=folded(f"{given} {family}"),
        birth_date=date.today() - timedelta(days=dice.randint(365, OLDEST)),
        sex=dice.choice(Patient.Sex.values),
        phone=f"000 {dice.randint(0, 999_999):06}",
        created_at=at,
    )


def _at_sites(known: Staff, made: Sequence[Patient], dice: random.Random) -> Iterator[PatientSite]:
    for one in made:
        yield PatientSite(patient_id=one.pk, site_id=dice.choice(known.sites).pk, added_at=one.created_at)
