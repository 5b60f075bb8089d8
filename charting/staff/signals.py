"""Signing in and out, put on record wherever it happens."""

from typing import Any

from django.contrib.auth.signals import user_logged_in, user_logged_out
from django.dispatch import receiver
from django.http import HttpRequest

from charting.staff import away, sessions
from charting.staff.models import User


@receiver(user_logged_in)
def began(sender: Any, request: HttpRequest, user: User, **more: Any) -> None:
    away.begin(request)
    sessions.begin(request, user)


@receiver(user_logged_out)
def ended(sender: Any, request: HttpRequest, **more: Any) -> None:
    sessions.close(request.session.session_key)
