"""What the pages of consent may use."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils import timezone

from bodymaps.reasoning import consent_areas
from charting.consent import circumstances, difference, signature, texts
from charting.consent.coverage import Asked, Standing, judge
from charting.consent.difference import Paragraph
from charting.consent.forms import ConfirmForm, SignForm, WithdrawForm
from charting.consent.models import Consent, ConsentConfirmed
from charting.consent.queries import changed_since, standing, texts_in_use
from charting.consent.services import confirm_key, draft_key, withdrawal_key
from charting.consent.texts import ConsentText
from charting.drafts.forms import typed_into
from charting.drafts.models import Draft
from charting.drafts.queries import drafts_under
from charting.examination.queries import muscles_of
from charting.flags.queries import FlagState, state_of
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import may
from charting.visits.models import Visit
from charting.visits.queries import may_write


@dataclass(frozen=True)
class Signed:
    """One consent on record, its signature as a path ("" when signed by typed name)."""

    standing: Standing
    paragraphs: tuple[str, ...]
    path: str

    @property
    def consent(self) -> Consent:
        return self.standing.consent

    @property
    def allows(self) -> str:
        """What it allows, in words."""
        return ", ".join(texts.procedures()[each].words for each in self.standing.procedures)


@dataclass(frozen=True)
class Earlier:
    """A consent of an earlier visit, and what this visit needs of it.

    `confirmation`: it was confirmed by word of mouth. `form`: it can be. `changes`: its text was changed,
    and is signed anew. `is_gone`: the text is out of use.
    """

    signed: Signed
    confirmation: ConsentConfirmed | None = None
    form: ConfirmForm | None = None
    draft_key: str = ""
    changes: tuple[Paragraph, ...] = ()
    is_gone: bool = False


@dataclass(frozen=True)
class Reach:
    """How far consent to one procedure reaches in this visit: areas of the muscles on its list."""

    procedure: str
    covered: tuple[str, ...]
    left: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class ConsentsPage:
    """`danger`: consent to treatment waits while it holds back. `taken_back`: of earlier visits."""

    signed: tuple[Signed, ...]
    earlier: tuple[Earlier, ...]
    taken_back: tuple[Signed, ...]
    reach: tuple[Reach, ...]
    texts: tuple[ConsentText, ...]
    may_write: bool
    danger: FlagState

    @property
    def to_confirm(self) -> int:
        return sum(each.confirmation is None for each in self.earlier)


@dataclass(frozen=True)
class SignPage:
    """One text, to be read and signed; not while it `waits` for a decision about a sign of danger.

    `since`: what changed in the text since this person signed it last.
    """

    text: ConsentText
    form: SignForm
    explained_by: User
    draft_key: str
    draft: Draft | None
    danger: FlagState
    answers: str
    is_under_age: bool
    since: tuple[Paragraph, ...]
    box: str = f"0 0 {signature.WIDTH} {signature.HEIGHT}"
    width: int = signature.WIDTH
    height: int = signature.HEIGHT

    @property
    def asks_first(self) -> bool:
        """Whether some of the answers that bear on it are not known yet."""
        return "not asked" in self.answers or "answered," in self.answers or "not answered" in self.answers

    @property
    def is_held(self) -> bool:
        return self.text.treats and self.danger.holds_back

    @property
    def waits(self) -> bool:
        """In a sensitive area the examination alone can still be agreed to."""
        return self.is_held and not self.text.sensitive


@dataclass(frozen=True)
class PatientConsents:
    """All consents of a person, signed last first."""

    patient: Patient
    signed: tuple[Signed, ...]
    may_withdraw: bool


@dataclass(frozen=True)
class WithdrawPage:
    """One consent to be taken back, and which others with it."""

    patient: Patient
    signed: Signed
    form: WithdrawForm
    draft_key: str
    draft: Draft | None


def consents_page(visit: Visit, user: User, wrong: Mapping[int, ConfirmForm] | None = None) -> ConsentsPage:
    """`wrong`: forms that could not be taken, by consent, as they were typed."""
    known, in_use = standing(visit.patient), texts_in_use(visit.patient.practice)
    writes = may_write(user, visit)
    before = [each for each in known if _is_before(each, visit)]
    kept = [each for each in before if each.withdrawn is None or visit.pk in each.confirmed_in]
    today = [each for each in known if each.consent.visit_id == visit.pk]
    shown = [each for each in latest([*kept, *today]) if each in kept]
    typed = drafts_under(user, f"confirm:{visit.pk}:") if writes else {}
    return ConsentsPage(
        signed=tuple(signed(each) for each in today),
        earlier=tuple(
            _earlier(each, visit, in_use, typed, (wrong or {}).get(each.consent.pk)) for each in shown
        ),
        taken_back=tuple(signed(each) for each in before if each not in kept),
        reach=_reach(visit, known),
        texts=tuple(in_use.values()),
        may_write=writes,
        danger=state_of(visit),
    )


def sign_page(
    visit: Visit, user: User, text: ConsentText, form: SignForm, *, draft: Draft | None = None
) -> SignPage:
    return SignPage(
        text=text,
        form=form,
        explained_by=user,
        draft_key=draft_key(visit, text),
        draft=draft,
        danger=state_of(visit),
        answers=circumstances.answers_of(text, visit),
        is_under_age=circumstances.is_under_age(visit.patient, visit),
        since=_since(visit, text),
    )


def patient_consents(user: User, patient: Patient) -> PatientConsents:
    rows = tuple(signed(each) for each in reversed(standing(patient)))
    return PatientConsents(patient, rows, may(user, "treat"))


def withdraw_page(
    patient: Patient, each: Standing, form: WithdrawForm, draft: Draft | None = None
) -> WithdrawPage:
    return WithdrawPage(patient, signed(each), form, withdrawal_key(patient), draft)


def signed(each: Standing) -> Signed:
    row = each.consent
    return Signed(each, tuple(row.body.split("\n\n")), signature.path(row.signature))


def latest(consents: Sequence[Standing]) -> tuple[Standing, ...]:
    """Without those that a later one of the same text includes, in order of signing."""
    return tuple(
        each
        for place, each in enumerate(consents)
        if not any(_includes(later, each) for later in consents[place + 1 :])
    )


def _includes(later: Standing, each: Standing) -> bool:
    same = later.consent.text_id == each.consent.text_id
    return same and set(each.procedures) <= set(later.procedures) and set(each.areas) <= set(later.areas)


def _is_before(each: Standing, visit: Visit) -> bool:
    return each.consent.visit_id != visit.pk and each.consent.signed_at < (visit.signed_at or timezone.now())


def _earlier(
    each: Standing,
    visit: Visit,
    in_use: Mapping[str, ConsentText],
    typed: Mapping[str, Draft],
    wrong: ConfirmForm | None,
) -> Earlier:
    shown, row = signed(each), each.consent
    said = next((one for one in each.confirmations if one.visit_id == visit.pk), None)
    text = in_use.get(row.text_id)
    if said or visit.is_signed or text is None:
        return Earlier(shown, said, is_gone=text is None)
    if changed_since(row, text):
        return Earlier(shown, changes=_changes(row, text))
    key = confirm_key(visit, row)
    form = ConfirmForm(sensitive=bool(each.sensitive), prefix=f"c{row.pk}")
    form.initial = typed_into(form, typed.get(key))
    return Earlier(shown, form=wrong or form, draft_key=key)


def _reach(visit: Visit, known: Sequence[Standing]) -> tuple[Reach, ...]:
    """For every procedure that somebody has ever agreed to. One query."""
    rows = muscles_of(visit)
    keys = dict.fromkeys(
        key for row in rows for key in consent_areas.of_muscle(row.muscle, row.side, row.site)
    )
    asked = {each for one in known for each in one.procedures} if keys else set()
    return tuple(_reach_of(id_, visit, known, tuple(keys)) for id_ in texts.procedures() if id_ in asked)


def _reach_of(procedure: str, visit: Visit, known: Sequence[Standing], keys: Sequence[str]) -> Reach:
    at, zone = visit.signed_at or timezone.now(), visit.patient.practice.zone
    found = {key: judge(known, Asked(visit.pk, procedure, key, at, zone)) for key in keys}
    return Reach(
        texts.procedures()[procedure].words,
        tuple(consent_areas.words_of(key) for key, one in found.items() if one.ok),
        tuple((consent_areas.words_of(key), one.why) for key, one in found.items() if not one.ok),
    )


def _since(visit: Visit, text: ConsentText) -> tuple[Paragraph, ...]:
    rows = [each.consent for each in standing(visit.patient) if each.consent.text_id == text.id]
    return _changes(rows[-1], text) if rows else ()


def _changes(row: Consent, text: ConsentText) -> tuple[Paragraph, ...]:
    before = f"{row.title}\n\n{circumstances.words_alone(row.body)}"
    return difference.changes(before, f"{text.title}\n\n{text.body}")
