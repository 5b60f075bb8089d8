"""What waits while a flag of the first two levels is not decided about, and what does not."""

import pytest

from charting.consent import services as consents
from charting.consent.models import Consent
from charting.consent.texts import load
from charting.flags.queries import FlagsOpen, state_of
from charting.notes.queries import gaps_in, recorded_in
from tests.charting import recorded
from tests.charting.addresses import signature
from tests.charting.flags.conftest import CAUDA, decide, say


@pytest.fixture
def held(visit):
    """Everything is recorded; bladder, bowel, saddle: yes."""
    say(visit, **{CAUDA: "yes"})
    return visit


def examine(client, visit, query=""):
    return client.get(f"/visits/{visit.pk}/what-to-examine/{query}")


def decide_all(mara, visit):
    for flag in state_of(visit).open_flags:
        decide(mara, visit, flag.id)


def sign(client, visit, text):
    version = load()[text].version
    areas = [] if text == "examination" else ["neck"]
    return client.post(f"/visits/{visit.pk}/consents/{text}/sign/", signature(version=version, areas=areas))


def test_no_muscle_and_no_fewest_sources_stand_on_the_page(held, mara, as_mara):
    before = examine(as_mara, held)
    page = before.context["page"]
    assert (page.lines, page.explained, page.doubts, page.left) == ((), [], (), ())
    text = before.content.decode()
    assert "nfraspinatus" not in text and f'href="/visits/{held.pk}/flags/"' in text
    decide_all(mara, held)
    after = examine(as_mara, held)
    assert after.context["page"].lines and after.context["page"].explained
    assert "nfraspinatus" in after.content.decode()


def test_nerves_joints_and_organs_stay(held, mara, as_mara):
    before = examine(as_mara, held).context["page"]
    assert before.others and before.roots
    decide_all(mara, held)
    after = examine(as_mara, held).context["page"]
    assert (before.others, before.roots) == (after.others, after.roots)


def test_no_muscle_is_picked_by_its_address(held, mara, as_mara):
    query = "?pick=infraspinatus.right"
    for headers in ({}, {"HX-Request": "true"}):
        response = as_mara.get(f"/visits/{held.pk}/what-to-examine/{query}", headers=headers)
        assert "nfraspinatus" not in response.content.decode()
    decide_all(mara, held)
    response = as_mara.get(f"/visits/{held.pk}/what-to-examine/{query}", headers={"HX-Request": "true"})
    assert "nfraspinatus" in response.content.decode()


def test_a_nerve_root_is_still_picked(held, as_mara):
    response = as_mara.get(f"/visits/{held.pk}/what-to-examine/?pick=C6.right")
    assert response.context["page"].picked.heading == "Nerve root C6, right"


def test_consent_to_treatment_waits_and_says_why(held, mara, as_mara):
    before = Consent.objects.count()
    text = as_mara.get(f"/visits/{held.pk}/consents/manual-treatment/sign/").content.decode()
    assert "Consent to treatment waits" in text and ">Sign</button>" not in text
    response = sign(as_mara, held, "manual-treatment")
    text = response.content.decode()
    assert response.status_code == 409 and "Consent to treatment waits" in text and "Anna Keller" in text
    assert Consent.objects.count() == before
    decide_all(mara, held)
    assert sign(as_mara, held, "manual-treatment").status_code == 302
    assert Consent.objects.count() == before + 1


def test_the_gate_stands_in_the_service_and_not_only_on_the_page(held, mara):
    text = load()["manual-treatment"]
    given = {"signer": "patient", "signer_name": "Anna Keller", "questions": "", "device_time": ""}
    ink = {"signature": [[[1.0, 2.0], [90.0, 80.0]]], "by_typed_name": False}
    with pytest.raises(FlagsOpen):
        consents.sign(who=mara, visit=held, text=text, version=text.version, **given, **ink)


def test_consent_to_the_examination_does_not_wait(held, as_mara):
    before = Consent.objects.count()
    assert sign(as_mara, held, "examination").status_code == 302
    assert Consent.objects.count() == before + 1


def test_a_decision_that_no_longer_holds_takes_it_back(held, mara, as_mara):
    decide_all(mara, held)
    say(held, saddle_numb="yes")
    assert examine(as_mara, held).context["page"].lines == ()
    assert sign(as_mara, held, "manual-treatment").status_code == 409


def test_the_note_may_be_signed_but_not_silently(held, mara):
    recorded_now = recorded_in(held)
    gaps = gaps_in(recorded_now)
    assert gaps.stops == ()
    assert any("not decided about: Cauda equina" in warning for warning in gaps.warnings)
    assert any("Cauda equina" in named for named in recorded_now["danger"]["undecided"])
    decide_all(mara, held)
    assert recorded_in(held)["danger"]["undecided"] == []


def test_the_printed_sheet_of_the_person_stays_possible(held, as_mara):
    assert as_mara.get(f"/visits/{held.pk}/sheet/").status_code in (200, 404)


def test_a_flag_to_watch_holds_nothing_back(visit, as_mara):
    state = state_of(visit)
    assert {flag.level for flag in state.flags} == {"watch"}
    assert examine(as_mara, visit).context["page"].lines
    assert sign(as_mara, visit, "manual-treatment").status_code == 302


def test_without_a_drawing_it_is_the_same(blank, as_mara):
    recorded.answer_danger_screen(blank, fever="unsure")
    assert examine(as_mara, blank).context["page"].danger.holds_back
