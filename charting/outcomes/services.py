"""Every write of a score: by staff on the page of scores, or by a patient on the device."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction
from django.utils import timezone

from bodymaps.reasoning import outcomes
from charting.audit.services import record
from charting.drafts.services import forget as forget_draft
from charting.handover.models import HandOver
from charting.outcomes.models import OutcomeScore
from charting.staff.models import User
from charting.staff.rights import require
from charting.versioning import Stale, save_if_current
from charting.visits.models import Visit
from charting.visits.services import require_open

SaidBy = OutcomeScore.SaidBy


class WrongAnswers(ValueError):
    """Answers that cannot be: `wrong` says of each field what to mend (outcomes.wrong_in)."""

    def __init__(self, instrument: str, wrong: Mapping[str, str]) -> None:
        self.instrument, self.wrong = instrument, wrong
        super().__init__("; ".join(f"{instrument}, {name}: {words}" for name, words in wrong.items()))


class NotOnTheDevice(PermissionDenied):
    """The device may not record this: its time is over, it belongs to another visit, or a patient does not
    answer this instrument alone.
    """


@dataclass(frozen=True)
class Given:
    """The answers of one instrument, and the version that was shown: 0 where nothing was on record."""

    instrument: str
    answers: Mapping[str, Any]
    version: int
    form: str = ""
    said_by: str = SaidBy.CLINICIAN.value


def draft_key(visit: Visit) -> str:
    return f"outcomes:{visit.pk}"


@transaction.atomic
def save_scores(
    *,
    who: User | HandOver,
    visit: Visit,
    instrument: str,
    answers: Mapping[str, Any],
    version: int,
    form: str = "",
    said_by: str = SaidBy.CLINICIAN.value,
) -> OutcomeScore | None:
    """Make these the answers of one instrument in this visit; without any answer it is taken out, and None
    comes back. What a device sends is always said by the patient.

    Sending the same again changes nothing, whatever the version. Raises WrongAnswers, Stale with the row as
    it stands (unsaved with version 0 where it is gone), VisitSigned, PermissionDenied.
    """
    _require(who, visit, instrument)
    require_open(visit)
    if isinstance(who, HandOver):
        said_by = SaidBy.PATIENT.value
    said = tidy(answers)
    _check(instrument, said, form, said_by)
    row = OutcomeScore.objects.filter(visit=visit, instrument=instrument).first()
    if _is_blank(said):
        _take_out(who, visit, instrument, row, version)
        return None
    if row and (row.answers, row.form) == (said, form):
        return row
    row = _keep(visit, instrument, row, version, {"answers": said, "form": form, "said_by": said_by})
    record(who=who, did="recorded score", what=visit, instrument=instrument, form=form, version=row.version)
    return row


@transaction.atomic
def save_page(*, who: User, visit: Visit, given: Iterable[Given]) -> None:
    """Everything that stands on the page of scores, all of it or none. Raises as save_scores."""
    for one in given:
        save_scores(
            who=who,
            visit=visit,
            instrument=one.instrument,
            answers=one.answers,
            version=one.version,
            form=one.form,
            said_by=one.said_by,
        )
    forget_draft(who=who, key=draft_key(visit))


@transaction.atomic
def forget(*, who: User, visit: Visit, instrument: str, version: int) -> None:
    """Take one score out of an open visit. Raises Stale, VisitSigned; one that is not there is no error."""
    save_scores(who=who, visit=visit, instrument=instrument, answers={}, version=version)


def tidy(answers: Mapping[str, Any]) -> dict[str, Any]:
    """Without what is empty, and names without spaces at their ends."""
    said = {name: value for name, value in answers.items() if value is not None}
    if isinstance(said.get("activities"), list):
        said["activities"] = [_tidy_activity(one) for one in said["activities"]]
    return said


def has_answer(answers: Mapping[str, Any]) -> bool:
    """Whether anything is rated or counted: names of activities alone are no answer."""
    rated = [one.get("value") for one in answers.get("activities", ()) if isinstance(one, dict)]
    others = [value for name, value in answers.items() if name != "activities"]
    return any(value is not None for value in (*rated, *others))


def _is_blank(answers: Mapping[str, Any]) -> bool:
    """Nothing at all, not even the name of an activity: that is kept, for it was typed."""
    return not any(value not in (None, []) for value in answers.values())


def _tidy_activity(one: Any) -> Any:
    if not isinstance(one, dict) or not isinstance(one.get("name"), str):
        return one
    return {"name": " ".join(one["name"].split()), "value": one.get("value")}


def _require(who: User | HandOver, visit: Visit, instrument: str) -> None:
    if isinstance(who, User):
        require(who, "treat")
        return
    running = HandOver.objects.filter(
        pk=who.pk, visit=visit, ended_at=None, confirmed_at__isnull=False, expires_at__gt=timezone.now()
    )
    known = outcomes.instruments().get(instrument)
    if known is None or not known.alone or not running.exists():
        raise NotOnTheDevice("This cannot be answered on the device now.")


def _check(instrument: str, answers: Mapping[str, Any], form: str, said_by: str) -> None:
    known = outcomes.instruments().get(instrument)
    if known is None:
        raise WrongAnswers(instrument, {"instrument": "There is no such instrument."})
    if said_by not in SaidBy.values:
        raise WrongAnswers(instrument, {"said_by": f"{said_by!r} is none of {', '.join(SaidBy.values)}."})
    wrong = outcomes.wrong_in(known, answers, form) if answers else {}
    if form and known.form(form) is None:
        wrong["form"] = f"There is no form {form!r} of this instrument."
    if wrong:
        raise WrongAnswers(instrument, wrong)


def _take_out(
    who: User | HandOver, visit: Visit, instrument: str, row: OutcomeScore | None, version: int
) -> None:
    if row is None:
        return
    if row.version != version:
        raise Stale(row)
    row.delete()
    record(who=who, did="took score out", what=visit, instrument=instrument, version=version)


def _keep(
    visit: Visit, instrument: str, row: OutcomeScore | None, version: int, values: Mapping[str, Any]
) -> OutcomeScore:
    if row is not None:
        save_if_current(row, version=version, changed_at=timezone.now(), **values)
        return row
    if version:
        raise Stale(OutcomeScore(visit=visit, instrument=instrument, version=0))
    try:
        with transaction.atomic():
            return OutcomeScore.objects.create(visit=visit, instrument=instrument, **values)
    except IntegrityError as problem:
        raise Stale(OutcomeScore.objects.get(visit=visit, instrument=instrument)) from problem
