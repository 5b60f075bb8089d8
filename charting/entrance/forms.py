"""The forms of the way in and of one's own account."""

from collections.abc import Mapping
from math import ceil
from typing import Any, cast

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils import timezone

from charting.staff import known_device, second_factor, tries
from charting.staff.models import User
from charting.staff.requests import address_of
from charting.staff.tries import MustWait

# A drawing holds some thousands of entries at most; more digits than this were not counted by our page.
MOST_DIGITS = 6
WRONG_CODE = (
    "This code is not right. An authenticator shows another one every 30 seconds, and each is good once; "
    "if it is refused again, look whether the clock of that device is right."
)


def waiting_in(posted: Mapping[str, Any]) -> int | None:
    """How many entries the device says it has not sent; None when it did not say, or said nonsense."""
    said = str(posted.get("waiting", ""))
    is_count = said.isascii() and said.isdecimal() and len(said) <= MOST_DIGITS
    return int(said) if is_count else None


class Waits:
    """A form whose wrong answers are counted. `wait`: the seconds to wait after too many, else 0."""

    wait = 0
    must_wait = "Too many wrong passwords. The next one can be given in {}."

    def told_to_wait(self, told: MustWait) -> ValidationError:
        self.wait = max(1, ceil((told.until - timezone.now()).total_seconds()))
        minutes = ceil(self.wait / 60)
        words = "a minute" if minutes == 1 else f"{minutes} minutes"
        return ValidationError(self.must_wait.format(words), "must_wait")


class SignInForm(Waits, AuthenticationForm):
    """Says the same whether the name or the password is wrong: nobody learns who works here."""

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": "This username and password don't belong together. Capital letters count.",
    }

    def clean(self) -> dict[str, Any]:
        name = self.cleaned_data.get("username")
        if not name or not self.cleaned_data.get("password"):
            return self.cleaned_data
        named = User.objects.filter(username=name).first()
        request = cast(HttpRequest, self.request)
        device = known_device.device_of(request, named.pk if named else None)
        counted = tries.password_of(name, address=address_of(request), device=device)
        try:
            row = tries.begin(counted)
        except MustWait as told:
            raise self.told_to_wait(told) from told
        try:
            cleaned = super().clean()
        except ValidationError:
            tries.was_wrong(row=row, counted=counted, named=named)
            raise
        tries.was_right(row)
        return cleaned


class CodeForm(Waits, forms.Form):
    """The code after the password: of the authenticator, or one of the backup codes. `gave` is which."""

    gave = ""
    must_wait = "Too many wrong codes. The next one can be given in {}."
    code = forms.CharField(
        label="Code",
        max_length=40,
        widget=forms.TextInput(
            {"autocomplete": "one-time-code", "autocapitalize": "none", "autofocus": True}
        ),
        help_text="The six figures that your authenticator shows, or one of your backup codes.",
    )

    def __init__(self, *args: Any, request: HttpRequest, user: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.request, self.user = request, user

    def clean_code(self) -> str:
        device = known_device.device_of(self.request, self.user.pk)
        counted = tries.code_of(self.user, address=address_of(self.request), device=device)
        try:
            row = tries.begin(counted)
        except MustWait as told:
            raise self.told_to_wait(told) from told
        self.gave = second_factor.use_code(who=self.user, code=self.cleaned_data["code"])
        if not self.gave:
            tries.was_wrong(row=row, counted=counted, named=self.user, did=tries.WRONG_CODE)
            raise ValidationError(WRONG_CODE, "wrong_code")
        tries.was_right(row)
        return self.gave


class OldCodeForm(CodeForm):
    """The same, before another authenticator takes the place of this one."""

    code = forms.CharField(
        label="Code of the authenticator you have now",
        max_length=40,
        widget=forms.TextInput({"autocomplete": "one-time-code", "autocapitalize": "none"}),
        help_text="Or one of your backup codes.",
    )


class KnownPassword(Waits, forms.Form):
    """The password once more, before something of one's own account is changed."""

    password = forms.CharField(
        label="Your password", strip=False, widget=forms.PasswordInput({"autocomplete": "current-password"})
    )

    def __init__(self, *args: Any, request: HttpRequest, user: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.request, self.user = request, user

    def clean_password(self) -> str:
        password = str(self.cleaned_data["password"])
        counted = tries.known_password_of(self.user, address=address_of(self.request))
        try:
            row = tries.begin(counted)
        except MustWait as told:
            raise self.told_to_wait(told) from told
        if not self.user.check_password(password):
            tries.was_wrong(row=row, counted=counted, named=self.user)
            raise ValidationError("That is not your password. Capital letters count.", "wrong_password")
        tries.was_right(row)
        return password


class PasswordForm(KnownPassword):
    """The one of now, and the next one twice."""

    new = forms.CharField(
        label="New password",
        strip=False,
        widget=forms.PasswordInput({"autocomplete": "new-password"}),
        help_text="12 characters or more: several words that one can remember, for example.",
    )
    again = forms.CharField(
        label="New password once more",
        strip=False,
        widget=forms.PasswordInput({"autocomplete": "new-password"}),
    )

    def clean_again(self) -> str:
        again = str(self.cleaned_data["again"])
        if again != self.cleaned_data.get("new", again):
            raise ValidationError("The two new passwords differ.", "differ")
        return again


class SetUpForm(forms.Form):
    """The first code of an authenticator that is set up. `sealed`: its secret, which stands here alone."""

    sealed = forms.CharField(max_length=400, widget=forms.HiddenInput)
    first_code = forms.CharField(
        label="The code it shows now",
        max_length=12,
        widget=forms.TextInput({"autocomplete": "off", "inputmode": "numeric"}),
    )

    def __init__(self, *args: Any, user: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.user = user

    def clean(self) -> dict[str, Any]:
        """Looked at before a code of an earlier authenticator is used up."""
        sealed, code = self.cleaned_data.get("sealed"), self.cleaned_data.get("first_code")
        if sealed and code:
            try:
                second_factor.first_step(sealed, code, self.user)
            except ValidationError as problem:
                self.add_error("first_code", problem)
        return self.cleaned_data
