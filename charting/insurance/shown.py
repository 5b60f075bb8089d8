"""The four forms of the insurance page: made empty, from a draft, or from what was sent."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django import forms

from charting.contacts.forms import now_there
from charting.drafts.forms import typed_into
from charting.drafts.models import Draft
from charting.drafts.queries import drafts_of
from charting.episodes.models import Episode
from charting.insurance import services
from charting.insurance.forms import AuthorisationForm, CertificationForm, ClaimForm, WorkForm, fresh
from charting.insurance.models import Claim, Policy
from charting.insurance.queries import policies_of
from charting.staff.models import User
from charting.staff.rights import may

CLAIM, AUTHORISATION, WORK, CERTIFICATION = "claim", "authorisation", "work", "certification"


@dataclass(frozen=True)
class FormShown:
    """One form, its key as a draft, and the draft that was brought back into it."""

    form: Any
    draft_key: str
    draft: Draft | None = None

    @property
    def is_open(self) -> bool:
        """Whether it has to be seen: something was typed into it."""
        return bool(self.draft) or bool(self.form.is_bound)


@dataclass(frozen=True)
class Forms:
    """The forms of one episode for one member of staff. Ids of fields begin with the name of the form."""

    user: User
    episode: Episode

    def make(self, name: str, *args: Any, **more: Any) -> Any:
        """One of them by name. `more` as a form of Django takes it."""
        known: dict[str, Any] = {"patient": self.episode.patient, "auto_id": f"{name}_%s", **more}
        if name == CLAIM:
            clinical = may(self.user, "treat")
            return ClaimForm(*args, policies=self.policies, clinical=clinical, **known)
        return _PLAIN[name](*args, **known)

    def shown(self, claim: Claim | None, sent: Mapping[str, forms.Form]) -> dict[str, FormShown]:
        """All of them by name; those in `sent` as they were typed, the others with their drafts. Two queries
        beside those of `policies`.
        """
        keys = {name: key(self.episode) for name, key in _KEYS.items()}
        drafts = drafts_of(self.user, keys.values())
        first = {CLAIM: ClaimForm.values_of(claim), WORK: fresh(now_there(self.episode.patient).date())}
        return {
            name: FormShown(sent[name], key)
            if name in sent
            else self._brought_back(name, key, first.get(name, fresh()), drafts.get(key))
            for name, key in keys.items()
        }

    @cached_property
    def policies(self) -> tuple[Policy, ...]:
        return policies_of(self.episode.patient)

    def _brought_back(self, name: str, key: str, first: dict[str, Any], draft: Draft | None) -> FormShown:
        """An id made with the page stands, never that of a draft: it may have been used meanwhile."""
        typed = typed_into(self.make(name), draft)
        typed.pop("id", None)
        return FormShown(self.make(name, initial={**first, **typed}), key, draft)


_PLAIN: dict[str, Callable[..., Any]] = {
    AUTHORISATION: AuthorisationForm,
    WORK: WorkForm,
    CERTIFICATION: CertificationForm,
}
_KEYS: dict[str, Callable[[Episode], str]] = {
    CLAIM: services.claim_draft,
    AUTHORISATION: services.authorisation_draft,
    WORK: services.work_draft,
    CERTIFICATION: services.certification_draft,
}
