"""Give a clinician the right to write own patterns, where the practice has no owner who could."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.management.base import BaseCommand, CommandError, CommandParser

from charting.patterns import services
from charting.staff.models import User
from charting.staff.services import CommandLine


class Command(BaseCommand):
    """manage.py grant_patterns USERNAME [--take-back]. Exit 2 with one line when it cannot be done."""

    help = "Give a clinician the right to write the practice's own patterns."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username")
        parser.add_argument("--take-back", action="store_true")

    def handle(self, *args: Any, username: str, take_back: bool, **options: Any) -> None:
        user = User.objects.filter(username=username).first()
        if user is None:
            raise CommandError(f"Nobody here is called {username}.", returncode=2)
        try:
            services.set_right(who=CommandLine(user.practice_id), user=user, writes=not take_back)
        except PermissionDenied as problem:
            raise CommandError(str(problem), returncode=2) from None
        self.stdout.write(f"{user} {'no longer writes' if take_back else 'writes'} patterns.")
