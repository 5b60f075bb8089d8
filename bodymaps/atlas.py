"""The atlas: where each muscle refers pain, and the skin each nerve root supplies. Drawn for the right side
and mirrored for the left.

`load()` reads data/atlas/compiled.json, which `python -m bodymaps.making.atlas` makes from the text files
beside it, and refuses it with AtlasError (file, entry, reason) when anything in it is not as promised.
"""

from __future__ import annotations

from functools import cache

from bodymaps import atlas_file
from bodymaps.atlas_file import VERSION
from bodymaps.patterns import (
    ALL_SITES,
    FOLDER,
    LAYERS,
    SIDES,
    VIEWS,
    ZONES,
    Atlas,
    AtlasError,
    Dermatome,
    Muscle,
    Place,
    Site,
    Structure,
    Zone,
    known_muscles,
)

__all__ = [
    "ALL_SITES",
    "COMPILED",
    "FOLDER",
    "LAYERS",
    "SIDES",
    "VERSION",
    "VIEWS",
    "ZONES",
    "Atlas",
    "AtlasError",
    "Dermatome",
    "Muscle",
    "Place",
    "Site",
    "Structure",
    "Zone",
    "known_muscles",
    "load",
]

COMPILED = FOLDER / "compiled.json"


@cache
def load() -> Atlas:
    """The atlas of this release, checked. Costs about a twentieth of a second, once per process."""
    return atlas_file.read(COMPILED.read_text(encoding="utf-8"), COMPILED.name)
