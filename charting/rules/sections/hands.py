"""The examining hand: signs of a muscle, what they say of it, how far joints move."""

from bodymaps.reasoning import evidence_muscles, evidence_rules, felt, muscle_signs, ranges
from bodymaps.reasoning.evidence_muscles import Pressing, Saying, Silent
from bodymaps.reasoning.muscle_signs import Said, Sign
from bodymaps.reasoning.ranges import Change, Movement, Usual
from charting.rules.sections.told import Section, Told, cited

NO_FIGURE = "no figure"
RESULTS = {
    felt.ACTIVE: "active",
    felt.LATENT: "latent",
    felt.INCOMPLETE: "incomplete",
    felt.TENDER_SPOT: "tender spot only",
    felt.NOT_MET: "no trigger point",
}


def sections() -> tuple[Section, ...]:
    return (_muscles(), _palpation(), _ranges())


def _muscles() -> Section:
    known = muscle_signs.load()
    about = (
        "What each sign asks of the hand and how well two examiners agree on it. What was not tested is "
        "never taken for no."
    )
    found = (
        _criteria(known.criteria),
        *(_note(number, one) for number, one in enumerate(known.notes, 1)),
        *(_sign(sign) for sign in known.signs),
        _measured("strength", known.strength),
        _measured("pressure", known.pressure),
    )
    return Section("muscles", "Signs of a muscle", about, muscle_signs.FILE, known.version, found)


def _criteria(said: Said) -> Told:
    known = muscle_signs.load()
    three = ", ".join(known.sign(sign).label.lower() for sign in felt.CRITERIA)
    lines = (
        ("Trigger point", f"{felt.ENOUGH} or 3 of: {three}."),
        ("Active", "A trigger point that brings on a pain the patient knows."),
        ("Latent", "A trigger point that does not."),
        ("Tender spot only", "The sensitive spot, and neither of the other two."),
        ("Incomplete", "One of these signs was not tested and would decide. What is sure already is said."),
    )
    return Told("criteria", "What makes a trigger point", lines, cited((said.source, said.status)))


def _note(number: int, said: Said) -> Told:
    title = said.words.partition(":")[0].rstrip(".")
    return Told(f"note-{number}", title, (("What holds", said.words),), cited((said.source, said.status)))


def _sign(sign: Sign) -> Told:
    said = (*sign.reliability, *((sign.used,) if sign.used else ()))
    lines = [("Asked", sign.ask), ("Answers", f"{sign.yes}; {sign.no}; not tested")]
    lines += [("Criterion", "One of the three of the consensus.")] if sign.criterion else []
    lines += [("How often", sign.used.words)] if sign.used else []
    return Told(sign.id, sign.label, (*lines, *_agreement(sign.reliability)), _sources(said))


def _measured(name: str, one: muscle_signs.Strength | muscle_signs.Threshold) -> Told:
    lines = (("Asked", one.ask), *_agreement(one.reliability))
    return Told(name, one.label, lines, _sources(one.reliability))


def _agreement(said: tuple[Said, ...]) -> list[tuple[str, str]]:
    return [("How repeatable", one.words) for one in said] or [("How repeatable", NO_FIGURE)]


def _sources(said: tuple[Said, ...]) -> tuple[str, ...]:
    return cited(*((one.source, one.status) for one in said)) or cited(("common practice",) * 2)


def _palpation() -> Section:
    known = evidence_muscles.known()
    about = (
        "Said of the muscle that was examined and of no other. Of several sites the strongest counts, and "
        "pressing counts once. There is no published ratio."
    )
    found = (
        *(_pressing(one) for one in known.pressing),
        _stretching(known.stretching.saying, known.stretching.signs),
        *(_silent(one) for one in known.silent),
    )
    title = "What the hand felt, as evidence"
    version = evidence_rules.load(evidence_rules.FILES[0])["version"]
    return Section("palpation", title, about, evidence_muscles.FILE, version, found)


def _pressing(one: Pressing) -> Told:
    known = {
        True: ", and the patient knows the pain",
        False: ", and the patient does not say it is the known pain",
    }
    when = " or ".join(RESULTS[result] for result in one.results)
    when += known[one.recognised] if one.recognised is not None else ""
    return _saying(one.saying, f"Pressed: {when}.")


def _stretching(saying: Saying, signs: tuple[str, ...]) -> Told:
    labels = " or ".join(muscle_signs.load().sign(sign).label.lower() for sign in signs)
    return _saying(saying, f"Stretched: {labels}.")


def _saying(one: Saying, when: str) -> Told:
    words = one.words.replace(" ({verdict})", "")
    lines = (("When", when), (one.speaks.capitalize(), f"{words} (weight {one.weight:+.2f})"))
    return Told(one.id, one.title, lines, cited((one.source, one.status)))


def _silent(one: Silent) -> Told:
    lines = (("Weighs", one.words),)
    return Told(f"silent-{one.id}", one.title, lines, cited((one.source, one.status)))


def _ranges() -> Section:
    known = ranges.load()
    about = (
        "Movements, and the least change that is more than error of measurement, with its level. A range is "
        "compared with the other side and with earlier; no figure here says that somebody is ill."
    )
    titles = {joint.id: joint.title for joint in known.joints}
    found = tuple(_movement(each, titles[each.joint]) for each in known.movements.values())
    return Section("ranges", "Range of joints", about, ranges.FILE.name, known.version, found)


def _movement(one: Movement, joint: str) -> Told:
    changes = [("Least change", _change(one, each)) for each in one.changes]
    usual = [("Published", _usual(one, each)) for each in one.usual]
    lines = (("Measured", one.how), *(changes or [("Least change", NO_FIGURE)]), *usual)
    said = [(each.source, each.status) for each in one.changes]
    said += [(each.source, each.status) for each in one.usual]
    return Told(
        one.id, f"{joint}: {one.label.lower()}", lines, cited(*said) or cited(("common practice",) * 2)
    )


def _change(one: Movement, change: Change) -> str:
    value = one.with_unit(change.value)
    if change.lower < change.value:
        value = f"{one.with_unit(change.lower)} to {value}"
    how = f", {change.of}" if change.of else ""
    instrument = ranges.load().instruments[change.instrument].title
    return f"{value} (level: {change.level}), {instrument}{how}. {change.population}."


def _usual(one: Movement, usual: Usual) -> str:
    ages = "any age" if usual.youngest is None else f"{usual.youngest} to {usual.oldest} years"
    return f"{one.with_unit(usual.value)}, {ages}. {usual.population}."
