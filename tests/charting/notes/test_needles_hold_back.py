"""A signature waits for settled needles and for late advice, also when they change at the last moment."""

import pytest

from bodymaps import atlas
from charting.notes import services
from charting.notes.models import SignedNote
from charting.notes.services import NotSigned
from charting.treatment.gate_services import give_late_advice, record_incident
from charting.treatment.incidents import shown_in, state_of
from tests.charting import recorded
from tests.charting.recorded import NEEDLES, PASSWORD

pytestmark = pytest.mark.usefixtures("quick_paper")


def sign(visit, who):
    read = recorded.as_read(visit)
    return services.sign(who=who, visit=visit, password=PASSWORD, read=read)


def needled(visit, place, **counts):
    return recorded.treat(visit, "needling", place, needles={**NEEDLES, **counts})


def test_unequal_needles_hold_the_signature_back_until_they_are_told_of(visit, mara):
    needled(visit, "soleus.right", count_out=2)
    with pytest.raises(NotSigned, match="Needles in and out differ"):
        sign(visit, mara)
    shown = shown_in(visit.treatments.all(), atlas.load())
    said = {"words": "One short.", "done": "Found on the couch.", "told_patient": True}
    record_incident(who=mara, visit=visit, state=state_of(shown), **said)
    assert sign(visit, mara).pk


def test_needles_over_the_lung_hold_it_back_until_the_advice_is_recorded(visit, mara):
    needled(visit, "rhomboidei.right")
    with pytest.raises(NotSigned, match="advice about late symptoms"):
        sign(visit, mara)
    give_late_advice(who=mara, visit=visit, words="Short breath: call.", call="112", understood=True)
    assert sign(visit, mara).pk


def test_needles_that_come_while_the_papers_are_made_hold_it_back_too(visit, mara, monkeypatch):
    freeze = services._freeze

    def meanwhile(*what):
        frozen = freeze(*what)
        needled(visit, "soleus.right", count_out=2)
        monkeypatch.setattr(services, "recorded_in", lambda visit: frozen.record)
        return frozen

    monkeypatch.setattr(services, "_freeze", meanwhile)
    with pytest.raises(NotSigned, match="Needles in and out differ"):
        sign(visit, mara)
    visit.refresh_from_db()
    assert visit.signed_at is None and not SignedNote.objects.exists()


def test_the_page_of_the_note_names_it(visit, as_mara):
    needled(visit, "soleus.right", count_out=2)
    assert "Needles in and out differ" in as_mara.get(f"/visits/{visit.pk}/note/").content.decode()
