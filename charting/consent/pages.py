"""What the pages of consent may use."""

from dataclasses import dataclass

from charting.consent import signature, texts
from charting.consent.forms import SignForm
from charting.consent.models import Consent
from charting.consent.queries import consents_of
from charting.consent.services import draft_key
from charting.consent.texts import ConsentText
from charting.drafts.models import Draft
from charting.flags.queries import FlagState, state_of
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write


@dataclass(frozen=True)
class Signed:
    """One consent on record, its signature as a path ("" when signed by typed name)."""

    consent: Consent
    paragraphs: tuple[str, ...]
    path: str


@dataclass(frozen=True)
class ConsentsPage:
    """`danger`: consent to treatment waits while it holds back."""

    signed: tuple[Signed, ...]
    texts: tuple[ConsentText, ...]
    may_write: bool
    danger: FlagState


@dataclass(frozen=True)
class SignPage:
    """One text, to be read and signed; not while it `waits` for a decision about a sign of danger."""

    text: ConsentText
    form: SignForm
    explained_by: User
    draft_key: str
    draft: Draft | None
    danger: FlagState
    box: str = f"0 0 {signature.WIDTH} {signature.HEIGHT}"
    width: int = signature.WIDTH
    height: int = signature.HEIGHT

    @property
    def waits(self) -> bool:
        return self.text.treats and self.danger.holds_back


def consents_page(visit: Visit, user: User) -> ConsentsPage:
    signed = tuple(
        Signed(row, tuple(row.body.split("\n\n")), signature.path(row.signature))
        for row in consents_of(visit)
    )
    return ConsentsPage(signed, tuple(texts.load().values()), may_write(user, visit), state_of(visit))


def sign_page(
    visit: Visit, user: User, text: ConsentText, form: SignForm, *, draft: Draft | None = None
) -> SignPage:
    return SignPage(text, form, user, draft_key(visit, text), draft, state_of(visit))
