"""Turns the two-sided grid of the neurological screen into clean values."""

from collections.abc import Iterator
from typing import Any, NamedTuple

from django import forms
from django.forms import BoundField

from charting.screening import neuro_screen
from charting.screening.models import NeuroFinding
from charting.screening.neuro_screen import Item, Section
from charting.screening.queries import NeuroTable

# (item key, side) to (grade, remark)
Findings = dict[tuple[str, str], tuple[str, str]]
REASON = "Say why it was not tested."


class Cell(NamedTuple):
    """One side of one test: the radio buttons and the remark."""

    side: str
    grade: BoundField
    remark: BoundField


class GridRow(NamedTuple):
    item: Item
    right: Cell
    left: Cell


class GridSection(NamedTuple):
    section: Section
    rows: list[GridRow]


class Grades(forms.RadioSelect):
    """Radio buttons of which one is marked as the normal grade, for the script and the style sheet."""

    def __init__(self, normal: str) -> None:
        super().__init__()
        self.normal = normal

    def create_option(self, name: str, value: Any, *args: Any, **kwargs: Any) -> dict[str, Any]:
        option = super().create_option(name, value, *args, **kwargs)
        if value == self.normal:
            option["attrs"]["data-normal"] = True
        return option


class NeuroForm(forms.Form):
    """A grade for each test and side; what was not done is left open. NT needs a reason."""

    state = forms.CharField(widget=forms.HiddenInput, max_length=16)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for section, item in neuro_screen.load().tests():
            for side in NeuroFinding.Side:
                where = f"{section.title}, {item.label}, {side.label.lower()}"
                self._add(field_name(item.key, side), where, section)

    def _add(self, name: str, where: str, section: Section) -> None:
        self.fields[name] = forms.ChoiceField(
            label=where,
            required=False,
            choices=[(grade.value, grade.words) for grade in section.grades],
            widget=Grades(section.normal),
        )
        self.fields[f"{name}_remark"] = forms.CharField(
            label=f"Remark: {where}",
            required=False,
            max_length=200,
            widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": "Remark"}),
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for name in self._names():
            untested = cleaned.get(name) == neuro_screen.load().not_tested
            if untested and not (cleaned.get(f"{name}_remark") or "").strip():
                self.add_error(f"{name}_remark", REASON)
        return cleaned

    def grid(self) -> list[GridSection]:
        return [
            GridSection(section, [self._row(item) for item in section.items])
            for section in neuro_screen.load().sections
        ]

    def findings(self) -> Findings:
        """What was graded; a remark without a grade is no finding."""
        return {
            (item.key, side.value): (
                self.cleaned_data[field_name(item.key, side)],
                self.cleaned_data[f"{field_name(item.key, side)}_remark"].strip(),
            )
            for _, item in neuro_screen.load().tests()
            for side in NeuroFinding.Side
            if self.cleaned_data[field_name(item.key, side)]
        }

    @staticmethod
    def values_of(table: NeuroTable) -> dict[str, str]:
        values = {}
        for row in (row for section in table.tables for row in section.rows):
            for side, finding in (("right", row.right), ("left", row.left)):
                values[field_name(row.key, side)] = finding.grade
                values[f"{field_name(row.key, side)}_remark"] = finding.remark
        return values

    @staticmethod
    def with_normals(values: dict[str, Any]) -> dict[str, Any]:
        """The same values with the normal grade wherever nothing was chosen."""
        normal = {
            field_name(item.key, side): section.normal
            for section, item in neuro_screen.load().tests()
            for side in NeuroFinding.Side
        }
        return {**values, **{name: grade for name, grade in normal.items() if not values.get(name)}}

    def _names(self) -> Iterator[str]:
        return (
            field_name(item.key, side)
            for _, item in neuro_screen.load().tests()
            for side in NeuroFinding.Side
        )

    def _row(self, item: Item) -> GridRow:
        cells = []
        for side in NeuroFinding.Side:
            name = field_name(item.key, side)
            cells.append(Cell(side.label, self[name], self[f"{name}_remark"]))
        return GridRow(item, *cells)


def field_name(key: str, side: str) -> str:
    """ "touch:C6", "right" -> "touch_C6_right" """
    return f"{key.replace(':', '_')}_{side}"
