"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

from collections.abc import Callable
from types import ModuleType
from typing import Any

CHANGES: dict[Callable[..., Any], ModuleType] = {}
