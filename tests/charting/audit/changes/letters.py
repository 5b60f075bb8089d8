"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

from collections.abc import Callable
from types import ModuleType
from typing import Any

from django.utils import timezone

from charting.letters import content, services
from charting.letters.editing import Edits, Typed
from charting.letters.gathered import gather
from charting.letters.models import Letter
from charting.report import services as report
from charting.report.home_sheet import home_sheet
from charting.report.models import IssuedPaper
from charting.report.services import About
from charting.treatment.models import HomeProgramme
from charting.visits.models import Visit
from tests.charting.more_addresses.insurance import an_episode
from tests.charting.recorded import PASSWORD


def _a_letter(who: Any, visit: Visit) -> Letter:
    said = {"patient": visit.patient, "episode": an_episode(visit), "begun_by": who}
    return Letter.objects.create(kind="summary", **said)


def begin_letter(who, visit):
    services.begin(who=who, episode=an_episode(visit), kind="referrer")


def write_letter(who, visit):
    words = Edits(own={"next": "Pain is no sign that something breaks."})
    services.save(who=who, letter=_a_letter(who, visit), typed=Typed(1, "", "", words))


def discard_letter(who, visit):
    services.discard(who=who, letter=_a_letter(who, visit))


def sign_letter(who, visit):
    letter = _a_letter(who, visit)
    said = {"patient": visit.patient, "clinician": who, "episode": letter.episode}
    Visit.objects.create(signed_at=timezone.now(), **said)
    read = content.fingerprint(content.assemble(gather(who, letter.episode), letter))
    services.sign(who=who, letter=letter, password=PASSWORD, read=read)


def issue_paper(who, visit):
    HomeProgramme.objects.get_or_create(visit=visit, defaults={"items": [{"title": "Arm circles"}]})
    about = About(visit.patient, IssuedPaper.Kind.HOME, "printed home programme", visit)
    report.issue(who=who, about=about, sheet=home_sheet(visit), paper="a4", render=lambda *_, **__: b"%PDF")


CHANGES: dict[Callable[..., Any], ModuleType] = {
    begin_letter: services,
    write_letter: services,
    discard_letter: services,
    sign_letter: services,
    issue_paper: report,
}
