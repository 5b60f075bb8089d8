"""Before a needle goes in: who, where, how deep, and what is told afterwards."""

from bodymaps import atlas
from bodymaps.reasoning import condition_words, consent_areas, items, needling, needling_file, needling_rules
from bodymaps.reasoning.needling_rules import Depth, Rule
from bodymaps.words import listed, sentence_case
from charting.rules.sections.told import Section, Told, cited

LEVELS = {"stop": "Stop", "caution": "Take care", "note": "To know"}
KINDS = {
    needling_rules.ADVISED: "Warned of above {mm} mm",
    needling_rules.REACHED: "Warned of from {mm} mm on",
    needling_rules.DISTANCE: "Warned of from {mm} mm on",
}
NOBODY = "Nobody can go past it."
WITH_REASON = "A clinician can go past it with a reason that prints in the note."


def sections() -> tuple[Section, ...]:
    return (_gates(), _lung(), _areas())


def _gates() -> Section:
    known = needling_file.load()
    about = (
        "What holds a needle back or asks for care, beside consent for the area and decided signs of danger, "
        "which nobody can go past. What lies under each muscle stands in the atlas and is shown first. No "
        "gate says that needling is safe."
    )
    found = (_asked(), *(_rule(rule) for rule in (*known.rules, *known.visit.values(), known.unknown)))
    return Section("needling", "Before a needle goes in", about, needling_rules.FILE, known.version, found)


def _asked() -> Told:
    asked, labels = needling_file.load().asked, items.history().items
    lines = (
        (LEVELS["stop"], f"Not answered: {listed([labels[key].label for key in asked.stop])}."),
        (LEVELS["caution"], f"Not answered: {listed([labels[key].label for key in asked.caution])}."),
        ("Why", asked.words),
    )
    return Told("asked", "Not asked is never no", lines, cited((asked.source, asked.status)))


def _rule(rule: Rule) -> Told:
    lines = [(LEVELS[rule.level], rule.words)]
    lines += [("When", f"{sentence_case(condition_words.in_words(rule.when))}.")] if rule.when else []
    lines += [("Where", _where(rule))] if not rule.where.is_person else []
    if rule.level == "stop":
        lines.append(("Going past", WITH_REASON if rule.overridable else NOBODY))
    return Told(rule.id, rule.title, tuple(lines), cited((rule.source, rule.status)))


def _where(rule: Rule) -> str:
    if rule.where.pleura:
        return "Muscles with lung beneath."
    areas = [consent_areas.areas()[id_].label for id_ in rule.where.areas]
    return f"{sentence_case(listed([*areas, *(_name(id_) for id_ in rule.where.muscles)]))}."


def _lung() -> Section:
    known = needling_file.load()
    about = (
        "For these muscles depth, length and direction of the needle are asked, the advice about late "
        "symptoms has to be recorded, and both sides in one visit are warned of."
    )
    listed_ = [_name(one.muscle) for one in known.pleura.values() if one.listed]
    others = [_name(one.muscle) for one in known.pleura.values() if not one.listed]
    muscles = Told(
        "muscles",
        "Muscles with lung beneath",
        (
            ("In published lists", f"{sentence_case(listed(listed_))}."),
            (
                "Named by the atlas",
                f"{sentence_case(listed(others))}; of long muscles only sites over the lung.",
            ),
        ),
        cited(known.list_source),
    )
    advice = needling.late_advice()
    late = Told(
        "late-advice",
        advice.title,
        (("Told", advice.words), ("Call", advice.call)),
        cited((advice.source, advice.status)),
    )
    depths = (_depth(one) for one in known.depths)
    title = "Needles over the lung"
    return Section(
        "needling-lung", title, about, needling_rules.FILE, known.version, (muscles, *depths, late)
    )


def _depth(one: Depth) -> Told:
    lines = ((KINDS[one.kind].format(mm=f"{one.mm:g}"), f"{sentence_case(one.words)}."),)
    return Told(one.id, f"Published depth: {one.mm:g} mm", lines, cited((one.source, one.status)))


def _areas() -> Section:
    about = (
        "Through which skin each muscle is reached. Consent to treat it names this area; a sensitive one has "
        "a consent of its own."
    )
    found = tuple(_area(id_, area.label, area.sensitive) for id_, area in consent_areas.areas().items())
    return Section("consent-areas", "Areas that consent names", about, consent_areas.FILE, "", found)


def _area(id_: str, label: str, sensitive: bool) -> Told:
    reached = [muscle for muscle in atlas.load().muscles if id_ in {key.split()[0] for key in _keys(muscle)}]
    whys = [f"{_name(one)}: {why}." for one in reached if (why := consent_areas.why_of(one))]
    lines = [("Muscles", f"{sentence_case(listed([_name(one) for one in reached]))}.")]
    lines += [
        ("Sensitive", "It has a consent of its own, and somebody is offered to be present.")
    ] * sensitive
    lines += [("Judgement", sentence_case(why)) for why in whys]
    return Told(id_, label, tuple(lines), cited(("common practice",) * 2))


def _keys(muscle: str) -> tuple[str, ...]:
    return consent_areas.of_muscle(muscle, "right")


def _name(muscle: str) -> str:
    return atlas.load().muscles[muscle].name
