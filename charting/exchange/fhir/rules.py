"""rules.toml, read once."""

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "rules.toml"


@cache
def rules() -> dict[str, Any]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))
