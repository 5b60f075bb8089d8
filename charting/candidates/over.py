"""A picked pattern over the figure, and the facts beside it."""

from dataclasses import dataclass

from bodymaps import atlas, own, words
from bodymaps.atlas import ALL_SITES, Atlas, Dermatome, Muscle, Structure
from charting.candidates import picks
from charting.candidates.picks import LayerPicture, Pick
from charting.candidates.weighing import Panel


@dataclass(frozen=True)
class SiteFact:
    """Where one trigger point lies; `pick` shows its pattern alone."""

    pick: str
    where: str
    how_common: str
    note: str
    is_shown: bool


@dataclass(frozen=True)
class Picked:
    """The pattern on the figure and the facts beside it. Without a pick: empty layers, no facts. `panel`:
    what speaks for and against it; where there is none, `no_panel` says why.
    """

    pick: str
    heading: str
    layers: tuple[LayerPicture, ...]
    muscle: Muscle | None
    sites: tuple[SiteFact, ...]
    root: Dermatome | None
    other: Structure | None = None
    panel: Panel | None = None
    no_panel: str = ""

    @property
    def is_own(self) -> bool:
        return self.muscle is not None and own.is_own(self.muscle)


def picked(text: str, box: str, known: Atlas | None = None) -> Picked:
    """What a pick shows, in the `box` of the figure under it. Needs the atlas only (by default that of the
    release), no drawing.
    """
    known = known or atlas.load()
    pick = picks.parse(text, known)
    layers = picks.layers_of(pick, known, box)
    if pick is None:
        return Picked("", "", layers, None, (), None)
    if pick.layer:
        other = known.structures[pick.layer][pick.id]
        side = "" if pick.side == "midline" else f", {pick.side}"
        return Picked(pick.key, f"{in_words(other.name)}{side}", layers, None, (), None, other)
    if pick.is_root:
        root = known.dermatomes[pick.id]
        return Picked(pick.key, f"Nerve root {words.root(pick.id)}, {pick.side}", layers, None, (), root)
    muscle = known.muscles[pick.id]
    heading = f"{in_words(muscle.name)}, {pick.side}"
    return Picked(pick.key, heading, layers, muscle, _sites(muscle, pick), None)


def in_words(name: str) -> str:
    """A name at the beginning of a line."""
    return name[:1].upper() + name[1:]


def _sites(muscle: Muscle, pick: Pick) -> tuple[SiteFact, ...]:
    return tuple(
        SiteFact(
            pick=Pick(muscle.id, pick.side, site.id).key,
            where=in_words(site.where),
            how_common=site.how_common,
            note=site.note,
            is_shown=pick.site in (ALL_SITES, site.id),
        )
        for site in muscle.sites
    )
