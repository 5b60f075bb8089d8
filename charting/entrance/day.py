"""The day list: who is expected, who is in the room, what is to be finished. Sorts rows that were read."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property

from charting.appointments.models import Appointment
from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit

State = Appointment.State
HOUR = 60


@dataclass(frozen=True)
class Row:
    """One person in the list: an appointment, a visit, or both. `minutes` since they came or the visit began,
    or, while they are expected, since their time; 0 before it.
    """

    appointment: Appointment | None
    visit: Visit | None
    minutes: int

    @property
    def patient(self) -> Patient:
        return self._either.patient

    @property
    def clinician(self) -> User:
        return self._either.clinician

    @cached_property
    def new_visit(self) -> uuid.UUID:
        """Made with the page, so that a double tap begins one visit."""
        return uuid.uuid4()

    @property
    def so_long(self) -> str:
        """ "12 min", "1 h 5 min" """
        hours, rest = divmod(self.minutes, HOUR)
        return f"{hours} h {rest} min" if hours else f"{rest} min"

    @property
    def _either(self) -> Appointment | Visit:
        either = self.visit or self.appointment
        if either is None:
            raise ValueError("a row of the day list needs an appointment or a visit")
        return either


@dataclass(frozen=True)
class Day:
    """One day in its sections. `here` are those who wait; `in_visit` those whose visit has begun."""

    expected: tuple[Row, ...]
    here: tuple[Row, ...]
    in_visit: tuple[Row, ...]
    to_finish: tuple[Row, ...]
    ended: tuple[Row, ...]

    @property
    def in_the_room(self) -> tuple[Row, ...]:
        return self.here + self.in_visit


def sorted_day(
    day: date, now: datetime, appointments: Iterable[Appointment], open_visits: Iterable[Visit]
) -> Day:
    """`now` is by the clock of the practice. Open visits belong to the list of today alone."""
    is_today = day == now.date()
    booked = tuple(appointments)
    here = [each for each in booked if each.state == State.ARRIVED and is_today]
    going = [each for each in open_visits if is_today]
    on = [each for each in going if not _is_over(each, now)]
    return Day(
        expected=tuple(_of(each, now) for each in booked if _is_expected(each, is_today=is_today)),
        here=tuple(_of(each, now) for each in sorted(here, key=lambda each: each.arrived_at or now)),
        in_visit=tuple(_visiting(each, now) for each in on),
        to_finish=tuple(_visiting(each, now) for each in going if each not in on),
        ended=tuple(_of(each, now) for each in booked if each.state in (State.NOSHOW, State.CANCELLED)),
    )


def appointment_of(visit: Visit) -> Appointment | None:
    """The one it was begun from; None for somebody who came without."""
    found: Appointment | None = getattr(visit, "appointment", None)
    return found


def _is_expected(row: Appointment, *, is_today: bool) -> bool:
    return row.state == State.BOOKED or (row.state == State.ARRIVED and not is_today)


def _is_over(visit: Visit, now: datetime) -> bool:
    """Begun on an earlier day; or today, and its appointment would have ended by now, begun late or not."""
    if visit.started_at.astimezone(now.tzinfo).date() < now.date():
        return True
    booked = appointment_of(visit)
    return booked is not None and _end(visit, booked) < now


def _end(visit: Visit, booked: Appointment) -> datetime:
    return max(visit.started_at, booked.starts_at) + timedelta(minutes=booked.minutes)


def _of(row: Appointment, now: datetime) -> Row:
    since = row.arrived_at if row.state == State.ARRIVED else row.starts_at
    return Row(row, None, _minutes(since or now, now))


def _visiting(visit: Visit, now: datetime) -> Row:
    return Row(appointment_of(visit), visit, _minutes(visit.started_at, now))


def _minutes(since: datetime, now: datetime) -> int:
    return max(0, int((now - since).total_seconds() // 60))
