"""The form of the way in."""

from collections.abc import Mapping
from math import ceil
from typing import Any, cast

from django.contrib.auth.forms import AuthenticationForm
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils import timezone

from charting.staff import services
from charting.staff.requests import address_of
from charting.staff.services import MustWait

# A drawing holds some thousands of entries at most; more digits than this were not counted by our page.
MOST_DIGITS = 6


def waiting_in(posted: Mapping[str, Any]) -> int | None:
    """How many entries the device says it has not sent; None when it did not say, or said nonsense."""
    said = str(posted.get("waiting", ""))
    is_count = said.isascii() and said.isdecimal() and len(said) <= MOST_DIGITS
    return int(said) if is_count else None


class SignInForm(AuthenticationForm):
    """Says the same whether the name or the password is wrong: nobody learns who works here. `wait` is the
    seconds to wait after too many of them, else 0.
    """

    wait = 0
    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": "This username and password don't belong together. Capital letters count.",
        "must_wait": "Too many wrong passwords. The next one can be given in %(minutes)s.",
    }

    def clean(self) -> dict[str, Any]:
        name = self.cleaned_data.get("username")
        if not name or not self.cleaned_data.get("password"):
            return self.cleaned_data
        try:
            row = services.begin_try(name=name, address=address_of(cast(HttpRequest, self.request)))
        except MustWait as told:
            raise self._must_wait(told) from told
        try:
            return super().clean()
        finally:
            services.end_try(row=row, name=name, user=self.user_cache)

    def _must_wait(self, told: MustWait) -> ValidationError:
        self.wait = max(1, ceil((told.until - timezone.now()).total_seconds()))
        minutes = ceil(self.wait / 60)
        words = "a minute" if minutes == 1 else f"{minutes} minutes"
        return ValidationError(self.error_messages["must_wait"], "must_wait", {"minutes": words})
