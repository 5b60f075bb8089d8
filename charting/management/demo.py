"""The demo practice: who and what is in it, and how to sign in."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from django.contrib.auth.hashers import check_password

from charting.staff.models import Practice, User

FILE = Path(__file__).parent / "demo.toml"


@dataclass(frozen=True)
class SetUp:
    """Who acts before there is anybody: the set-up itself."""

    audit_name: str = "set-up of the demo practice"
    audit_role: str = ""
    audit_practice_id: int | None = None
    audit_user_id: int | None = None


@cache
def load() -> dict[str, Any]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


def sign_in_words() -> str:
    """How to sign in to the demo practice, in lines for a terminal; "" when this is not one."""
    if not Practice.objects.filter(name=load()["practice"]["name"]).exists():
        return ""
    names = ", ".join(f"{person['username']} ({person['title']})" for person in load()["staff"])
    return f"Demo practice, everything in it invented. Sign in as {names}.\nPassword: {load()['password']}"


def who_uses_the_published_password() -> tuple[str, ...]:
    """The user names of everybody who could sign in with the password of the demo file, which all can read.

    Whoever it is: an account of the demo practice may have been renamed, or somebody have liked the password.
    """
    password = load()["password"]
    by_name = User.objects.filter(is_active=True).order_by("username")
    return tuple(user.username for user in by_name if check_password(password, user.password))
