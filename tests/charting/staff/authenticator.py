"""An authenticator in the hand of a test: it knows the secret and shows the code of a moment."""

import time
from dataclasses import dataclass

from charting.staff import second_factor
from charting.staff import second_factor_secret as kept
from charting.staff.models import SecondFactor, User


@dataclass(frozen=True)
class Authenticator:
    secret: bytes

    def code(self, *, steps: int = 0) -> str:
        return kept.code_at(self.secret, int(time.time()) // kept.STEP_SECONDS + steps)


def given_to(user: User) -> tuple[Authenticator, list[str]]:
    """Set up and not used yet, with the backup codes."""
    sealed = second_factor.fresh_secret(user)
    held = Authenticator(second_factor.secret_in(sealed, user))
    codes = second_factor.set_up(who=user, sealed=sealed, code=held.code())
    SecondFactor.objects.filter(user=user).update(last_step=0)
    return held, codes
