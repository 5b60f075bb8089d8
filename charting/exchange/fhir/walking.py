"""Ways through a resource: every value with where it stands."""

from collections.abc import Iterator
from typing import Any


def every(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Each value with its path, those of lists under the path of the list: ("agent.who", {...})."""
    yield path, value
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from every(inner, f"{path}.{name}" if path else name)
    elif isinstance(value, list):
        for inner in value:
            yield from every(inner, path)


def at(resource: dict[str, Any], path: str) -> Iterator[Any]:
    """What stands under a path, each of a list alone."""
    for found, value in every(resource):
        if found == path and not isinstance(value, list):
            yield value


def references_in(resource: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every reference that names an address, with its path."""
    for path, value in every(resource):
        if isinstance(value, dict) and isinstance(value.get("reference"), str):
            yield path, value
