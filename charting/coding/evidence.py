"""What a visit says about where it hurts and what it comes from: against this codes are held.

The drawing, the muscles in which something was found, and the sources that conclusions name; what a
conclusion rules out is left out. Nothing is read into it.
"""

from dataclasses import dataclass

from charting.coding.sites import Site

SIDES = ("right", "left")

# (layer, id, side)
Named = tuple[str, str, str]


@dataclass(frozen=True)
class Evidence:
    """`drawn`: (id of a part, side of the skin); `named`: muscles with findings and sources concluded."""

    drawn: frozenset[tuple[str, str]] = frozenset()
    named: frozenset[Named] = frozenset()

    @property
    def is_empty(self) -> bool:
        return not (self.drawn or self.named)

    def speaks_for(self, site: Site) -> bool:
        """Whether it is there: by what was found or concluded where the site is about that, else by the
        drawing.
        """
        about = {one for one in self.named if one[0] in site.layers}
        return bool(self.named_in(site)) if about else bool(self.parts_in(site))

    def named_in(self, site: Site) -> frozenset[Named]:
        return frozenset(one for one in self.named if one[:2] in site.sources)

    def parts_in(self, site: Site) -> frozenset[str]:
        return frozenset(part for part, _ in self.drawn if part in site.parts)

    def sides(self, site: Site | None) -> frozenset[str]:
        """On which sides it is there; of the whole body for a code without a site."""
        drawn = {side for part, side in self.drawn if site is None or part in site.parts}
        named = {side for *_, side in (self.named if site is None else self.named_in(site))}
        return frozenset(drawn | named) & frozenset(SIDES)
