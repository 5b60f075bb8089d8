"""How findings are graded."""

from bodymaps.reasoning import items
from charting.rules.sections.told import Section, Told


def sections() -> tuple[Section, ...]:
    return (_scales(),)


def _scales() -> Section:
    catalogue = items.findings()
    found = tuple(
        Told(
            f"scale-{scale.id}",
            scale.name,
            tuple((grade.id, grade.words) for grade in scale.grades),
            (f"{scale.source} ({scale.status})",),
        )
        for scale in catalogue.scales.values()
    )
    about = "How findings are graded. Grades are ranks: never added up or averaged. NT is never normal."
    return Section("scales", "Scales", about, "findings.toml", catalogue.version, found)
