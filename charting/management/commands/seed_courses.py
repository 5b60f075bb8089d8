"""manage.py seed_courses: twelve invented people over months, in the demo practice and nowhere else.

Takes some five minutes, for every signed visit makes its papers; each visit is kept as it is written. A
second run finishes what is not finished, and adds nothing to what is.
"""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from charting.management import courses
from charting.management.course_checks import CourseError


class Command(BaseCommand):
    help = "Write the courses of twelve invented patients into the demo practice."

    def handle(self, *args: Any, **options: Any) -> None:
        say = self.stdout.write if options["verbosity"] > 0 else (lambda _: None)
        try:
            made = courses.write_all(say)
        except (courses.NotHere, CourseError) as problem:
            raise CommandError(str(problem), returncode=2) from None
        say(f"{made} course{'' if made == 1 else 's'} written.")
