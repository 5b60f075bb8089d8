"""The pieces that resources are made of, as plain dicts. Nothing empty is ever written: FHIR forbids it."""

import base64
import hashlib
import re
import uuid
from collections.abc import Iterable
from datetime import date, datetime
from html import escape
from typing import Any
from zoneinfo import ZoneInfo

from charting.exchange.fhir import codes

Resource = dict[str, Any]
XHTML = "http://www.w3.org/1999/xhtml"
# What neither XML nor a FHIR string may hold.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff]|[\ud800-\udfff]")


def made(**members: Any) -> dict[str, Any]:
    """The members that hold something: no None, "", [] or {}; false and 0 stay. Texts are cleaned."""
    cleaned = {name: _clean(value) for name, value in members.items()}
    return {name: value for name, value in cleaned.items() if value not in (None, "", [], {}, ())}


def resource(type_: str, id_: uuid.UUID, **members: Any) -> Resource:
    return {"resourceType": type_, "id": str(id_), **made(**members)}


def address_of(id_: uuid.UUID | str) -> str:
    """Under which a resource stands in a bundle."""
    return f"urn:uuid:{id_}"


def reference(type_: str, id_: uuid.UUID | str, display: str = "") -> dict[str, Any]:
    return made(reference=address_of(id_), type=type_, display=display)


def coding(system: str, code: str, display: str = "", version: str = "") -> dict[str, Any]:
    """A code of one of our systems, or of ICD-10-CM; foreign ones stand in codes.toml."""
    return made(system=codes.system(system), version=version, code=" ".join(code.split()), display=display)


def concept(text: str = "", *codings: dict[str, Any]) -> dict[str, Any]:
    return made(coding=[each for each in codings if each], text=text)


def known(name: str, text: str = "") -> dict[str, Any]:
    """A concept that is one foreign code."""
    return concept(text, codes.coding(name))


def quantity(value: int | float, unit: str) -> dict[str, Any]:
    """With its UCUM code, where the unit has one; as written where not."""
    ucum = codes.load().units.get(unit, "")
    return made(value=value, unit=unit, system=codes.system("ucum") if ucum else "", code=ucum)


def score(value: int | float) -> dict[str, Any]:
    return {"value": value, "unit": "{score}", "system": codes.system("ucum"), "code": "{score}"}


def moment(at: datetime, zone: str) -> str:
    """With seconds and zone, as dateTime and instant want it."""
    return at.astimezone(ZoneInfo(zone)).isoformat(timespec="seconds")


def day(value: date | None) -> str:
    return value.isoformat() if value else ""


def period(start: str, end: str = "") -> dict[str, Any]:
    return made(start=start, end=end)


def attachment(media_type: str, data: bytes, *, title: str = "", created: str = "") -> dict[str, Any]:
    """With its bytes; the hash is SHA-1 because R4 says so, and proves nothing against forgery."""
    digest = hashlib.sha1(data, usedforsecurity=False).digest()
    return made(
        contentType=media_type,
        data=base64.b64encode(data).decode(),
        size=len(data),
        hash=base64.b64encode(digest).decode(),
        title=title,
        creation=created,
    )


def narrative(paragraphs: Iterable[str]) -> dict[str, Any]:
    """Plain paragraphs, escaped; {} when there is nothing to say."""
    said = [clean for each in paragraphs if (clean := _clean(each))]
    if not said:
        return {}
    body = "".join(f"<p>{escape(each, quote=False)}</p>".replace("\n", "<br/>") for each in said)
    return {"status": "generated", "div": f'<div xmlns="{XHTML}">{body}</div>'}


def notes(*texts: str) -> list[dict[str, Any]]:
    return [{"text": clean} for each in texts if (clean := _clean(each))]


def _clean(value: Any) -> Any:
    return _CONTROL.sub("", value.replace("\r\n", "\n")).strip() if isinstance(value, str) else value
