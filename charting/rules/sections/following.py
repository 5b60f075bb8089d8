"""How it is worked out what to examine next."""

from bodymaps import words
from bodymaps.reasoning import items, next_file
from bodymaps.reasoning.next_file import Numbers
from charting.rules.sections.told import Section, Told, cited

PRACTICE = cited(("common practice", "common practice"))


def sections() -> tuple[Section, ...]:
    numbers = next_file.load()
    about = (
        "The few findings that would separate the first candidates best. Every number here is this product's "
        "judgement; it decides what is proposed, and nothing else."
    )
    found = (_worth(numbers), _tests(numbers), _muscles(numbers), _organs(numbers))
    return (Section("examine-next", "What to examine next", about, next_file.FILE, numbers.version, found),)


def _worth(numbers: Numbers) -> Told:
    among, measure = numbers.among, numbers.measure
    lines = (
        (
            "Held against each other",
            f"the first {among.candidates} of the order with evidence, but none that evidence could not "
            "bring together with the first, and every muscle that brought on the known pain; nobody "
            f"weighs more than {words.percent(among.leader_most)}",
        ),
        (
            "Worth",
            "how much the outcome is expected to tell about which of them it is, in bits: mutual information",
        ),
        (
            "Proposed",
            f"up to {among.proposals}: the one worth most, then the one that adds most to it, each worth "
            f"{among.least_gain:g} bits or more; {among.muscles} of them muscles where any are worth it; a "
            f"screen of nerves first where a root, plexus or nerve is among the first {among.screen_among}",
        ),
        (
            "Left out",
            "what is on record, what was tried and could not be tested, what stands for the same thing",
        ),
    )
    return Told("worth", "What a finding is worth", lines, cited((measure.source, measure.status)))


def _tests(numbers: Numbers) -> Told:
    groups = {group.id: group.title for group in items.findings().groups}
    named = [groups[one] for one in numbers.tests.groups]
    lines = (
        (
            "Asked for",
            f"{words.listed(named)}; every test and range of the joints; feeling, strength, reflexes",
        ),
        (
            "How often a result is expected",
            "follows from its published ratios, or from the strength of common practice: sensitivity and "
            "specificity that give both ratios",
        ),
        (
            "A result that says nothing",
            f"is taken for nearly nothing: a ratio of {numbers.tests.silent:g}, or of one divided by it",
        ),
        (
            "Several that count together",
            "are proposed as one for who is no further behind the first than "
            f"{numbers.tests.together_within:g}",
        ),
        ("The surest outcome", f"is taken for {words.percent(numbers.tests.surest)}"),
    )
    return Told("tests", "Tests", lines, PRACTICE)


def _muscles(numbers: Numbers) -> Told:
    pressing = numbers.pressing
    lines = (
        (
            "How often the known pain is expected",
            "follows from what pressing counts for the muscle and against it",
        ),
        (
            "Another muscle that shares the area",
            "brings the known pain on as often as it shares it; pressed elsewhere, the share counts "
            f"{words.percent(pressing.elsewhere)}",
        ),
        (
            "Hardly told apart",
            f"muscles whose places lie within {pressing.finger_mm:g} mm and of which one refers to "
            f"{words.percent(pressing.same_share)} or more of the other's area: one of them is proposed",
        ),
        ("Named as its own", f"a place from {words.percent(pressing.place_share)} of the area on"),
    )
    return Told("muscles", "Muscles", lines, cited((pressing.source, pressing.status)))


def _organs(numbers: Numbers) -> Told:
    lines = (
        ("Never weighed", "no organ is settled by what a hand finds"),
        ("Among the first", numbers.words["exclude_why"]),
        ("While a sign of danger waits for a decision", "nothing is proposed"),
    )
    return Told("organs", "Organs", lines, PRACTICE)
