"""Where somebody is signed in: put on record, looked at, ended from elsewhere.

Django keeps the session itself; a row of ours says whose it is. Deleting Django's is what ends it, at once.
"""

from datetime import timedelta

from django.contrib.sessions.models import Session
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from charting.staff.device_words import device_in_words
from charting.staff.models import StaffSession, User
from charting.staff.requests import address_of

# ASVS 7.3.1 and 7.3.2 leave the figures to the trade: a quarter of an hour without a sign of life, and a
# working day at most. 45 CFR 164.312(a)(2)(iii) asks for the first without a figure. Common practice.
IDLE = timedelta(minutes=15)
LONGEST = timedelta(hours=12)
KEPT_FOR = timedelta(days=30)


def begin(request: HttpRequest, user: User) -> None:
    """A row for the session that just began. Rows and sessions whose time is long over go."""
    if request.session.session_key is None:
        request.session.save()
    now = timezone.now()
    StaffSession.objects.filter(last_seen_at__lt=now - KEPT_FOR).delete()
    StaffSession.objects.update_or_create(
        session_key=request.session.session_key,
        defaults={"user": user, "began_at": now, "last_seen_at": now, "ended_at": None, **_from(request)},
    )


def seen(request: HttpRequest) -> None:
    StaffSession.objects.filter(session_key=request.session.session_key).update(last_seen_at=timezone.now())


def close(session_key: str | None) -> None:
    """The session of this key is over by itself: signed out, or too long without a sign of life."""
    StaffSession.objects.filter(session_key=session_key, ended_at=None).update(ended_at=timezone.now())


def follow(before: str | None, now: str | None) -> None:
    """A session that goes on under a new key."""
    StaffSession.objects.filter(session_key=before).update(session_key=now)


def running(user: User) -> QuerySet[StaffSession]:
    """Where this person is signed in now, the last seen first."""
    now = timezone.now()
    return StaffSession.objects.filter(
        user=user, ended_at=None, last_seen_at__gt=now - IDLE, began_at__gt=now - LONGEST
    )


def drop_all(user: User) -> int:
    """End every session of this person, within a change that leaves its own audit row: somebody disabled,
    a new first password, a second factor taken off. Returns how many.
    """
    return drop(StaffSession.objects.filter(user=user, ended_at=None))


def drop(rows: QuerySet[StaffSession]) -> int:
    """End these. Returns how many."""
    Session.objects.filter(session_key__in=list(rows.values_list("session_key", flat=True))).delete()
    return rows.update(ended_at=timezone.now())


def _from(request: HttpRequest) -> dict[str, str]:
    if "REMOTE_ADDR" not in request.META:
        return {}
    return {"device": device_in_words(request.headers.get("User-Agent", "")), "address": address_of(request)}
