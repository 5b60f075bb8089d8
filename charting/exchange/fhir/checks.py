"""What a bundle must keep to and no JSON schema can see (rules.toml). A right export has no problem."""

from collections.abc import Callable, Iterator
from typing import Any

from charting.exchange.fhir import check_values
from charting.exchange.fhir.rules import rules
from charting.exchange.fhir.walking import at, references_in

Bundle = dict[str, Any]
Resource = dict[str, Any]


def problems_in(bundle: Bundle) -> tuple[str, ...]:
    """Each in one line that names the resource and the member; () when there are none."""
    entries = bundle.get("entry") or []
    held = {entry["fullUrl"]: entry["resource"] for entry in entries}
    found = [*_addresses(entries), *_of_type(bundle, entries)]
    for resource in held.values():
        named = f"{resource['resourceType']} {resource['id']}"
        found += [f"{named}: {problem}" for problem in _of_resource(resource, held)]
    return tuple(found)


def _addresses(entries: list[dict[str, Any]]) -> Iterator[str]:
    seen: set[str] = set()
    for entry in entries:
        address, resource = entry["fullUrl"], entry["resource"]
        if address != f"urn:uuid:{resource['id']}":
            yield f"{address}: the id of its resource is {resource['id']}"
        if address in seen:
            yield f"{address}: stands twice in the bundle"
        seen.add(address)


def _of_type(bundle: Bundle, entries: list[dict[str, Any]]) -> Iterator[str]:
    if not bundle.get("identifier", {}).get("value") or not bundle["identifier"].get("system"):
        yield "Bundle: has no identifier with a system"
    if not bundle.get("timestamp"):
        yield "Bundle: has no timestamp"
    if bundle["type"] == "document":
        yield from _of_document(entries)
    for entry in entries:
        if set(entry) - {"fullUrl", "resource"}:
            yield f"{entry['fullUrl']}: search, request and response have no place in a {bundle['type']}"


def _of_document(entries: list[dict[str, Any]]) -> Iterator[str]:
    """A composition first; beside it only what it speaks of, directly or not, and who signed that."""
    if not entries or entries[0]["resource"]["resourceType"] != "Composition":
        yield "Bundle: the first entry of a document must be a Composition"
        return
    held = {entry["fullUrl"]: entry["resource"] for entry in entries}
    reached = _reached(entries[0]["fullUrl"], held)
    for address, resource in held.items():
        if resource["resourceType"] == "Provenance":
            about = {each["reference"] for each in resource["target"]}
            if about & reached:
                continue
        if address not in reached:
            yield f"{resource['resourceType']} {resource['id']}: nothing in the document speaks of it"


def _reached(first: str, held: dict[str, Resource]) -> set[str]:
    reached, waiting = {first}, [first]
    while waiting:
        for _, said in references_in(held[waiting.pop()]):
            address = said["reference"]
            if address in held and address not in reached:
                reached.add(address)
                waiting.append(address)
    return reached


def _of_resource(resource: Resource, held: dict[str, Resource]) -> Iterator[str]:
    known = rules()["resource"].get(resource["resourceType"])
    if known is None:
        yield "no rule is known for this kind of resource"
        return
    for name in known["required"]:
        if name not in resource:
            yield f"{name} is missing"
    if known.get("status") and resource.get("status") not in known["status"]:
        yield f"status {resource.get('status')!r} is not in its value set"
    yield from _concepts(resource, known.get("concepts") or {})
    yield from _nested(resource)
    yield from _references(resource, known.get("refers") or {}, held)
    for check in (*_OWN.get(resource["resourceType"], ()), *check_values.CHECKS):
        yield from check(resource)


def _concepts(resource: Resource, bound: dict[str, list[str]]) -> Iterator[str]:
    for name, values in bound.items():
        said = [each.get("code") for each in resource.get(name, {}).get("coding", [])]
        if name in resource and not set(said) & set(values):
            yield f"{name} {said} is not in its value set"


def _nested(resource: Resource) -> Iterator[str]:
    for path, values in rules()["nested"].items():
        for value in at(resource, path):
            if value not in values:
                yield f"{path} {value!r} is not in its value set"


def _references(resource: Resource, refers: dict[str, list[str]], held: dict[str, Resource]) -> Iterator[str]:
    for path, said in references_in(resource):
        target = held.get(said["reference"])
        if target is None:
            yield f"{path} refers to {said['reference']}, which is not in the bundle"
        elif said.get("type") not in (None, target["resourceType"]):
            yield f"{path} says {said['type']} of a {target['resourceType']}"
        elif path in refers and target["resourceType"] not in refers[path]:
            yield f"{path} must not refer to a {target['resourceType']}"


def _observation(resource: Resource) -> Iterator[str]:
    """obs-6, obs-7 and one value only; without value, component or reason nothing would be said at all."""
    for part in (resource, *resource.get("component", ())):
        values = [name for name in part if name.startswith("value")]
        if len(values) > 1:
            yield f"has several values: {', '.join(values)}"
        if values and "dataAbsentReason" in part:
            yield "has a value and a reason why there is none"
        if not (values or "dataAbsentReason" in part or part.get("component")):
            yield "has neither a value nor a reason why there is none"
        if part is not resource and not part.get("code"):
            yield "a component without a code"
    has_value = any(name.startswith("value") for name in resource)
    codes = _codes(resource)
    if has_value and any(codes & _codes(part) for part in resource.get("component", ())):
        yield "a component has the code of the whole, beside a value of the whole"


def _codes(part: dict[str, Any]) -> set[tuple[str, str]]:
    return {(each["system"], each["code"]) for each in part.get("code", {}).get("coding", [])}


def _consent(resource: Resource) -> Iterator[str]:
    if not (resource.get("policy") or resource.get("policyRule")):
        yield "ppc-1: has neither policy nor policyRule"
    if not resource.get("patient"):
        yield "ppc-5: consent to treatment without a patient"


def _sections(resource: Resource) -> Iterator[str]:
    """cmp-1: a section holds text, entries or sections."""
    for section in resource.get("section", ()):
        if not (section.get("text") or section.get("entry") or section.get("section")):
            yield f"section {section.get('title')!r} holds nothing"


def _encounter(resource: Resource) -> Iterator[str]:
    for said in resource.get("diagnosis", ()):
        if said["condition"].get("type") not in ("Condition", "Procedure"):
            yield "diagnosis.condition must refer to a Condition or a Procedure"


def _signatures(resource: Resource) -> Iterator[str]:
    for said in resource.get("signature", ()):
        for name in ("type", "when", "who"):
            if name not in said:
                yield f"a signature without {name}"


def _contacts(resource: Resource) -> Iterator[str]:
    for contact in resource.get("contact", ()):
        if not set(contact) & {"name", "telecom", "address", "organization"}:
            yield "pat-1: a contact without name, number or address"


_OWN: dict[str, tuple[Callable[[Resource], Iterator[str]], ...]] = {
    "Observation": (_observation,),
    "Consent": (_consent,),
    "Encounter": (_encounter,),
    "Composition": (_sections,),
    "Provenance": (_signatures,),
    "Patient": (_contacts,),
}
