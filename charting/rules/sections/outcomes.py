"""Scores of outcome: how each is made, and what is published of its change."""

from bodymaps.reasoning import outcomes, outcomes_file
from bodymaps.reasoning.outcomes import Instrument, Rule
from bodymaps.reasoning.outcomes_words import level_of, size_of
from charting.rules.sections.told import Section, Told, cited

KINDS = {"important": "Important change", "detectable": "Detectable change"}


def sections() -> tuple[Section, ...]:
    known = outcomes.load()
    about = (
        "How each score is made, missing items among it, and which changes are published. Points and per "
        "cent are judged apart, and a rule counts as reached at its very size. A change is more than "
        "measurement error only beyond every detectable change found for the part of the body; within "
        "it only below all."
    )
    found = tuple(_instrument(one) for one in known.instruments.values())
    return (Section("outcomes", "Scores of outcome", about, outcomes_file.NAME, known.version, found),)


def _instrument(one: Instrument) -> Told:
    lines = [("About", one.about), ("Licence", one.licence)]
    lines += [("Scored", each.words) for each in one.scoring]
    lines += [("Bands", one.bands.remark)] if one.bands else []
    lines += [(KINDS[rule.kind], _rule(rule)) for rule in one.rules]
    lines += [("Mind", each.words) for each in one.notes]
    lines += [("Alone on the device", one.why_not_alone or "Yes, in our own words.")]
    said = [(each.source, each.status) for each in (*one.scoring, *one.notes)]
    said += [(rule.source, rule.status) for rule in one.rules]
    said += [(form.source, form.status) for form in one.forms]
    said += [(one.bands.source, one.bands.status)] if one.bands else []
    return Told(f"score-{one.id}", one.name, tuple(lines), cited(*said))


def _rule(rule: Rule) -> str:
    label = f" ({rule.label})" if rule.label else ""
    single = " of a single activity" if rule.of else ""
    level = f", {level_of(rule)}" if rule.confidence else ""
    return f"{size_of(rule)}{label}{single}{level}. {rule.population}. {rule.source} ({rule.status})."
