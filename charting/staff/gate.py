"""Who checks the log opens the log, and no page that could name a patient."""

from collections.abc import Callable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from charting.staff.models import User
from charting.staff.rights import may

# The nouns that know no patient; every other address is closed, also one that is made tomorrow.
KNOW_NO_PATIENT = tuple(f"charting.{noun}." for noun in ("entrance", "staff", "drafts", "oversight"))


class OnlyTheLog:
    """Refuses an auditor whatever belongs to another noun: by a page that says so, not by an empty one."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable[..., HttpResponse], *_: Any) -> None:
        """Raises PermissionDenied. Addresses that need nobody signed in are open to an auditor too."""
        if not getattr(view, "login_required", True) or not isinstance(request.user, User):
            return
        if only_reads_the_log(request.user) and not view.__module__.startswith(KNOW_NO_PATIENT):
            raise PermissionDenied(
                "An auditor reads the log. Pages about patients are not open to this role."
            )


def only_reads_the_log(user: User) -> bool:
    return may(user, "read log") and not may(user, "register")
