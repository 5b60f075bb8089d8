"""What is said of two drawings that are laid over each other."""

from bodymaps import words
from bodymaps.compare_file import FILE, LimbPlaces, Rules, rules
from charting.rules.sections.told import Section, Told, cited

PRACTICE = cited(("common practice", "common practice"))


def sections() -> tuple[Section, ...]:
    held = rules()
    about = (
        "Gone, new and unchanged skin is counted, not judged. The limits of what is called a move or left "
        "out of a picture are this product's judgement; what two drawings show is said, and nothing about "
        "what follows."
    )
    found = (_redraws(held), _left_out(held), _spine(held), *(_limb(one) for one in held.limbs))
    return (Section("two-drawings", "Two drawings", about, FILE.name, held.version, found),)


def _redraws(held: Rules) -> Told:
    redraw = held.redraw
    lines = (
        ("Likeness", "the skin that both cover by the skin that either covers (Jaccard), over both views"),
        (
            "Beside it stands",
            f"{redraw.mean:g} ± {redraw.sd:g}: two drawings of one person, {redraw.minutes} minute apart "
            f"({redraw.people})",
        ),
        ("That is", "no limit: it proves neither that something has changed nor that nothing has"),
        ("One drawing without pain", "no likeness is given; two without pain, none either"),
    )
    return Told("redraws", "How alike two drawings are", lines, cited((redraw.source, redraw.status)))


def _left_out(held: Rules) -> Told:
    lines = (
        (
            "Left out of the picture",
            f"pieces under {held.crumb_mm2:g} mm² of the figure; they stay in every number",
        ),
        (
            "A region without pain now, or with pain now",
            f"one worth naming of which {words.percent(held.region_share)} or more of what was drawn is "
            "gone, or is new",
        ),
    )
    return Told("left-out", "What is named", lines, PRACTICE)


def _spine(held: Rules) -> Told:
    lines = (
        (
            "Distance",
            "along the skin of the figure from the midline of neck and trunk behind, never across air: the "
            "mean, and what 95 % of the drawn skin lies within",
        ),
        ("Towards or away", f"only when the latter changes by {held.least_mm / 10:g} cm or more (judgement)"),
        ("Not called either", "when the mean moves the other way by as much"),
    )
    return Told("spine", "Towards the spine or away", lines, PRACTICE)


def _limb(limb: LimbPlaces) -> Told:
    lines = (
        ("From the root outward", words.listed([said for _, said in limb.places])),
        ("Near the spine", limb.root_words),
    )
    return Told(f"limb-{limb.id}", f"How far down the {limb.id} pain is drawn", lines, PRACTICE)
