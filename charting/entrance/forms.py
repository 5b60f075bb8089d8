"""The form of the way in."""

from django.contrib.auth.forms import AuthenticationForm


class SignInForm(AuthenticationForm):
    """Says the same whether the name or the password is wrong: nobody learns who works here."""

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": "This username and password don't belong together. Capital letters count.",
    }
