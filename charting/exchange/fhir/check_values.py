"""Values that must be right wherever they stand: codes, quantities, times, files, narratives."""

import base64
import hashlib
import re
from collections.abc import Callable, Iterator
from typing import Any
from xml.etree import ElementTree  # noqa: S405 - reads what parts.narrative wrote, nothing from elsewhere

from charting.exchange.fhir import codes
from charting.exchange.fhir.parts import XHTML
from charting.exchange.fhir.rules import rules
from charting.exchange.fhir.walking import every

_TIME = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}.*")
_ZONED = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d+)?(Z|[+-]\d{2}:\d{2})")
_TIMES = (
    "DateTime",
    "date",
    "issued",
    "recorded",
    "recordedDate",
    "when",
    "time",
    "start",
    "end",
    "creation",
)
_DIGITS = re.compile(r"(\d+)-(\d)")


def nothing_empty(resource: dict[str, Any]) -> Iterator[str]:
    for path, value in every(resource):
        if value is None or value in ("", [], {}) or (isinstance(value, str) and not value.strip()):
            yield f"{path} is empty"


def times_have_a_zone(resource: dict[str, Any]) -> Iterator[str]:
    for path, value in every(resource):
        is_time = path.rpartition(".")[2].endswith(_TIMES) and isinstance(value, str)
        if is_time and _TIME.fullmatch(value) and not _ZONED.fullmatch(value):
            yield f"{path} {value!r} has no zone"


def codings_are_known(resource: dict[str, Any]) -> Iterator[str]:
    """A system and a code each; of LOINC only what was looked up, with a right check digit; no SNOMED CT."""
    looked_up = {(code.system, code.code) for code in codes.load().codes.values()}
    own = set(codes.load().systems.values())
    for path, value in every(resource):
        if not (isinstance(value, dict) and _is_coding(path)) or "type" in value:
            continue
        system, code = value.get("system", ""), value.get("code", "")
        if not system or not code:
            yield f"{path} has no system or no code"
        elif system not in own:
            yield f"{path}: {system} is none of the systems in use"
        elif system == codes.system("loinc") and (
            (system, code) not in looked_up or not has_right_digit(code)
        ):
            yield f"{path}: nobody looked up LOINC {code}"


def _is_coding(path: str) -> bool:
    return path.endswith(".coding") or path in ("class", "signature.type") or path == "coding"


def has_right_digit(code: str) -> bool:
    """The last digit of a LOINC code is that of Luhn (mod 10) over those before it."""
    match = _DIGITS.fullmatch(code)
    if not match:
        return False
    digits = [int(each) for each in reversed(match[1])]
    doubled = [2 * each if place % 2 == 0 else each for place, each in enumerate(digits)]
    return (10 - sum(each // 10 + each % 10 for each in doubled)) % 10 == int(match[2])


def units_are_ucum(resource: dict[str, Any]) -> Iterator[str]:
    known = set(codes.load().units.values()) | {"{score}"}
    for path, value in every(resource):
        if path.endswith("valueQuantity") and isinstance(value, dict):
            if value.get("system") and value.get("code") not in known:
                yield f"{path}: {value.get('code')!r} is no unit of UCUM in use"
            if not isinstance(value.get("value"), int | float):
                yield f"{path} has no number"


def files_are_whole(resource: dict[str, Any]) -> Iterator[str]:
    for path, value in every(resource):
        if isinstance(value, dict) and "data" in value and "hash" in value:
            data = base64.b64decode(value["data"], validate=True)
            digest = hashlib.sha1(data, usedforsecurity=False).digest()
            if len(data) != value["size"] or base64.b64encode(digest).decode() != value["hash"]:
                yield f"{path}: size or hash is not that of the data"


def narratives_are_xhtml(resource: dict[str, Any]) -> Iterator[str]:
    for path, value in every(resource):
        if path.endswith("div") and isinstance(value, str):
            yield from (f"{path}: {problem}" for problem in _narrative(value, set(rules()["narrative"])))


def _narrative(text: str, allowed: set[str]) -> Iterator[str]:
    try:
        root = ElementTree.fromstring(text)  # noqa: S314 - our own, see above
    except ElementTree.ParseError as problem:
        yield f"is no XML: {problem}"
        return
    if root.tag != f"{{{XHTML}}}div":
        yield "is no div of XHTML"
    names = {each.tag.removeprefix(f"{{{XHTML}}}") for each in root.iter()}
    if names - allowed:
        yield f"holds {', '.join(sorted(names - allowed))}"
    if not "".join(root.itertext()).strip():
        yield "says nothing"


CHECKS: tuple[Callable[[dict[str, Any]], Iterator[str]], ...] = (
    nothing_empty,
    times_have_a_zone,
    codings_are_known,
    units_are_ucum,
    files_are_whole,
    narratives_are_xhtml,
)
