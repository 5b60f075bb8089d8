"""What an address of the atlas asks for."""

from dataclasses import dataclass
from typing import Any

from django import forms

from bodymaps import parts, skin
from bodymaps.skin import Patch
from charting.atlas.kinds import KINDS
from charting.drawing.picture import TITLES

NO_POINT = "That is no point of the figure. Tap the figure, or choose a region."
NO_REGION = "The figure has no such region. Choose one from the list, or tap the figure."
TOO_LONG = "Search with fewer letters: 120 at most."
# Far beyond the frame of the figure: what is only beside the body is answered as that.
FARTHEST = 5000.0


@dataclass(frozen=True)
class Asked:
    """`text` to find; a `point` (view, x, y in mm) or a `patch` of skin to ask about; what to show."""

    text: str = ""
    kind: str = ""
    point: tuple[str, float, float] | None = None
    patch: Patch | None = None
    pick: str = ""
    look: str = ""
    error: str = ""

    @property
    def is_where(self) -> bool:
        return self.point is not None or self.patch is not None


class AtlasForm(forms.Form):
    """Everything is optional; a point is asked about before a region, and both before a text."""

    q = forms.CharField(required=False, max_length=120, error_messages={"max_length": TOO_LONG})
    kind = forms.CharField(required=False)
    view = forms.ChoiceField(
        choices=list(TITLES.items()), required=False, error_messages={"invalid_choice": NO_POINT}
    )
    x = forms.FloatField(required=False, min_value=-FARTHEST, max_value=FARTHEST)
    y = forms.FloatField(required=False, min_value=-FARTHEST, max_value=FARTHEST)
    region = forms.CharField(required=False)
    pick = forms.CharField(required=False)
    look = forms.CharField(required=False)

    def clean_region(self) -> Patch | None:
        key: str = self.cleaned_data["region"]
        if not key:
            return None
        if key not in by_key():
            raise forms.ValidationError(NO_REGION)
        return by_key()[key]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        given = [name for name in ("view", "x", "y") if self.data.get(name)]
        if given and any(data.get(name) in (None, "") for name in ("view", "x", "y")):
            raise forms.ValidationError(NO_POINT)
        return data

    def asked(self) -> Asked:
        """What is asked for as far as it can be read; the first thing to mend in `error`."""
        self.is_valid()
        data = self.cleaned_data
        view, x, y = (data.get(name) for name in ("view", "x", "y"))
        return Asked(
            text=data.get("q", "").strip(),
            kind=_known(data.get("kind", ""), {kind.slug for kind in KINDS}),
            point=(view, x, y) if view and x is not None and y is not None else None,
            patch=data.get("region"),
            pick=data.get("pick", ""),
            look=_known(data.get("look", ""), {place.id for place in parts.load().places}),
            error=self._first_error(),
        )

    def _first_error(self) -> str:
        for name, said in self.errors.items():
            return NO_POINT if name in ("x", "y") else str(said[0])
        return ""


def key_of(patch: Patch) -> str:
    """How an address names a patch of skin: "front:shoulder_anterior.right"."""
    return f"{patch.ids[0]}.{patch.side}"


def by_key() -> dict[str, Patch]:
    return {key_of(patch): patch for patch in skin.load().patches}


def _known(value: str, known: set[str]) -> str:
    return value if value in known else ""
