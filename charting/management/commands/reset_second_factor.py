"""Take the second factor off somebody who has lost it, where no owner can sign in to do it."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from charting.staff import second_factor
from charting.staff.models import User
from charting.staff.services import CommandLine


class Command(BaseCommand):
    """manage.py reset_second_factor USERNAME. Exit 2 with one line when it cannot be done.

    Make sure first that it is this person who asks: from then on the password is enough to set up another.
    """

    help = "Take the second factor off somebody who has lost it, and sign them out everywhere."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username")

    def handle(self, *args: Any, username: str, **options: Any) -> None:
        user = User.objects.filter(username=username).first()
        if user is None:
            raise CommandError(f"Nobody here is called {username}.", returncode=2)
        second_factor.forget(who=CommandLine(user.practice_id), user=user)
        self.stdout.write(f"{user} is signed out everywhere and sets up another at the next sign-in.")
