"""What the pages of requests for amendment may use."""

from dataclasses import dataclass

from charting.drafts.models import Draft
from charting.notes import amendments
from charting.notes.amendments import Amendments
from charting.notes.amendments_forms import RequestForm, StepForm
from charting.notes.amendments_queries import Asked, requests_of
from charting.notes.amendments_services import draft_key, step_draft_key
from charting.patients.models import Patient


@dataclass(frozen=True)
class RequestsPage:
    patient: Patient
    asked: tuple[Asked, ...]
    form: RequestForm
    rules: Amendments
    draft_key: str
    draft: Draft | None


@dataclass(frozen=True)
class RequestPage:
    """One request; `form` is None where nothing can follow any more."""

    patient: Patient
    asked: Asked
    form: StepForm | None
    rules: Amendments
    draft_key: str
    draft: Draft | None

    @property
    def grounds(self) -> dict[str, str]:
        return {one.id: one.words for one in self.rules.grounds.values()}


def requests_page(patient: Patient, form: RequestForm, draft: Draft | None = None) -> RequestsPage:
    return RequestsPage(patient, requests_of(patient), form, amendments.load(), draft_key(patient), draft)


def request_page(asked: Asked, form: StepForm, draft: Draft | None = None) -> RequestPage:
    open_form = form if asked.may_follow else None
    key = step_draft_key(asked.row)
    return RequestPage(asked.row.patient, asked, open_form, amendments.load(), key, draft)
