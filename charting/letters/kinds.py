"""The three kinds of letter: which sections each has, and which sentences stand in them."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from charting.letters import ahead, plain, reason, went
from charting.letters.gathered import Gathered
from charting.letters.models import Letter
from charting.report.sentences import Assembled

Told = Callable[[Gathered], Iterator[tuple[str, str]]]
MEASURES, TREATMENTS = "measures", "treatments"


@dataclass(frozen=True)
class Section:
    """`tells`: what its sentences are made by; `table`: which table stands below them, "" for none; `hint`:
    what the clinician may add in own words. `is_list`: each sentence on a line of its own.
    """

    id: str
    title: str
    tells: tuple[Told, ...] = ()
    table: str = ""
    hint: str = ""
    is_list: bool = False


SECTIONS: dict[str, tuple[Section, ...]] = {
    Letter.Kind.PROGRESS: (
        Section("reason", "Reason for care", (reason.complaint,)),
        Section(
            "course", "From the first visit to now", (went.span, went.missed, went.drawing), table=MEASURES
        ),
        Section(
            "goals",
            "Goals",
            (reason.goals, reason.activities),
            hint="What is to be reached, by when, and what shows that it is.",
        ),
        Section("found", "Last findings", (ahead.conclusions, ahead.assessment), is_list=True),
        Section("treatment", "Treatment given", (went.reactions, went.home), table=TREATMENTS),
        Section(
            "plan",
            "Plan",
            (ahead.plan, ahead.discharged),
            hint="Why further care is needed, how often and how long.",
        ),
    ),
    Letter.Kind.REFERRER: (
        Section(
            "opening",
            "",
            (reason.thanks, reason.complaint, reason.injury),
            hint="A first sentence of your own.",
        ),
        Section("found", "What was found", (ahead.conclusions, ahead.assessment), is_list=True),
        Section("course", "How it went", (went.span, went.measures, went.drawing)),
        Section("treatment", "What was done", (went.treated, went.reactions)),
        Section("plan", "What is planned", (ahead.plan, ahead.discharged)),
        Section("request", "What I ask of you", hint="An image, a medicine, a second look: what, and why."),
    ),
    Letter.Kind.SUMMARY: (
        Section("came", "Why you came", (plain.came, plain.complaint, plain.goals)),
        Section("found", "What we think", (plain.found_out,)),
        Section("did", "What we did", (plain.did, plain.reactions)),
        Section("went", "How it went", (plain.scores, plain.drawn), is_list=True),
        Section("home", "What you can do", (plain.home,), is_list=True),
        Section("next", "What comes next", (plain.booked,), hint="In short words, as you would say it."),
    ),
}
TITLES = {
    Letter.Kind.PROGRESS: "Progress report",
    Letter.Kind.REFERRER: "Report to the referrer",
    Letter.Kind.SUMMARY: "Your summary",
}


def assembled(kind: str, found: Gathered) -> tuple[Assembled, ...]:
    """Every sentence that the record gives, in the order of the sections. Keys begin with their section."""
    return tuple(
        Assembled(section.id, f"{section.id}.{key}", words)
        for section in SECTIONS[kind]
        for tell in section.tells
        for key, words in tell(found)
    )
