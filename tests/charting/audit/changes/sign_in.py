"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

import time
from collections.abc import Callable
from types import ModuleType
from typing import Any

from charting.staff import account_services, second_factor
from charting.staff import second_factor_secret as kept
from charting.staff.models import StaffSession


def an_authenticator(who: Any) -> tuple[str, str]:
    """Its sealed secret, and the code it shows now."""
    sealed = second_factor.fresh_secret(who)
    secret = second_factor.secret_in(sealed, who)
    return sealed, kept.code_at(secret, int(time.time()) // kept.STEP_SECONDS)


def set_up(who: Any, visit: Any) -> None:
    sealed, code = an_authenticator(who)
    second_factor.set_up(who=who, sealed=sealed, code=code)


def change_password(who: Any, visit: Any) -> None:
    account_services.change_password(who=who, password="seven-lanterns-at-low-tide", session_key=None)


def end_a_session(who: Any, visit: Any) -> None:
    row = StaffSession.objects.create(user=who, session_key="0" * 32)
    account_services.end_session(who=who, row_id=row.pk)


def end_the_others(who: Any, visit: Any) -> None:
    account_services.end_other_sessions(who=who, session_key=None)


CHANGES: dict[Callable[..., Any], ModuleType] = {
    set_up: second_factor,
    change_password: account_services,
    end_a_session: account_services,
    end_the_others: account_services,
}
