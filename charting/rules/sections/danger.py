"""Signs of danger, what is asked further, the rule for a neck after an injury."""

from collections.abc import Iterable, Mapping

from bodymaps.reasoning import condition_words, flag_rules, flags, items, neck_rule
from bodymaps.words import sentence_case
from charting.rules.sections.told import Section, Told


def sections() -> tuple[Section, ...]:
    return (_flags(), _asked(), _neck_rule())


def _flags() -> Section:
    data = flag_rules.flags()
    return Section(
        "danger",
        "Danger signs",
        "Raised from drawing, story and findings. Not sure counts as yes. The first two levels hold "
        "treatment back until a decision is recorded.",
        "flags.toml",
        data.version,
        tuple(_flag(rule, data.level_words) for rule in flags.rules()),
    )


def _flag(rule: flags.Rule, level_words: Mapping[str, str]) -> Told:
    graded = [(level_words[one.level], f"{one.words} When: {one.condition}.") for one in rule.entries]
    actions = [(f"What to do: {level_words[level]}", words) for level, words in rule.actions.items()]
    differs = [("Where studies differ", words) for words in rule.differs]
    lines = (("Why", rule.why), *graded, *actions, *differs)
    return Told(rule.id, rule.title, lines, tuple(_with_status(source) for source in rule.sources))


def _with_status(source: str) -> str:
    """A source as the flags give it says nothing where it was checked."""
    return source if source.endswith((" (from memory)", " (common practice)")) else f"{source} (checked)"


def _asked() -> Section:
    return Section(
        "asked-on",
        "What is asked further",
        "Questions and measurements that a drawing or an answer calls for.",
        "asked.toml",
        "",
        tuple(
            Told(
                f"asked-{number}",
                one.group.title,
                (
                    ("Asked", "; ".join(item.label for item in one.items)),
                    ("When", f"{sentence_case(condition_words.in_words(one.when))}."),
                ),
                ("as the danger signs they are for (common practice)",),
            )
            for number, one in enumerate(flag_rules.asked(), 1)
        ),
    )


def _neck_rule() -> Section:
    rule, catalogue = neck_rule.rule(), items.history().items
    named = ", ".join
    steps = (
        ("Asked", "After an injury, with pain of the neck, of somebody alert."),
        (
            "Not for",
            f"Under {rule.least_age} years; {_labels(rule.not_for)}.",
        ),
        (
            "1. Any of these: image",
            f"{rule.old_age} years and more; {_labels(rule.high_risk)}.",
        ),
        (
            "2. None of these: image",
            f"{named(catalogue[key].label for key in rule.low_risk)}; no tenderness in the middle.",
        ),
        ("3. Cannot turn this far to both sides: image", f"{rule.least_rotation} degrees, actively."),
    )
    told = Told("c-spine", "Canadian C-spine rule", steps, (f"{rule.source} ({rule.status})",))
    about = "For a neck hurt in an injury. What was not asked is never taken for the harmless answer."
    return Section("neck", "Neck after an injury", about, neck_rule.FILE, rule.version, (told,))


def _labels(keys: Iterable[str]) -> str:
    return "; ".join(items.history().items[key].label for key in keys)
