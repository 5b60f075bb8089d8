"""Composition: the note, version by version."""

from collections.abc import Mapping, Sequence

from charting.exchange.fhir import codes, encounter, ids, organization, practitioner
from charting.exchange.fhir.parts import (
    Resource,
    address_of,
    known,
    made,
    moment,
    narrative,
    reference,
    resource,
)
from charting.exchange.fhir.reading import KeptVisit
from charting.exchange.fhir.versions import Version, versions_of
from charting.exchange.fhir.words import INSURER, beside_of, sections_of
from charting.notes.models import Addendum

# Observations: what the person says, and what was found.
SAID, FOUND = "said", "found"
# Under which heading the parts of the record stand.
UNDER = {
    "subjective": ("QuestionnaireResponse", "BodyStructure", SAID),
    "objective": (FOUND,),
    "assessment": ("Condition", "ClinicalImpression"),
    "plan": ("Procedure",),
}
Held = Mapping[str, Sequence[Resource]]


def resources_of(one: KeptVisit, held: Held) -> list[Resource]:
    """`held`: the other resources of the visit by type. The oldest version first."""
    every = versions_of(one)
    return [
        _composition(one, version, every[place - 1] if place else None, held)
        for place, version in enumerate(every)
    ]


def _composition(one: KeptVisit, version: Version, before: Version | None, held: Held) -> Resource:
    authors = [practitioner.named(one.note.signed_by if one.note else one.visit.clinician)]
    authors += [practitioner.named(row.author, row.author_name) for row in _added(one, version)]
    return resource(
        "Composition",
        version.id,
        meta={"versionId": str(version.number)},
        identifier={
            "system": codes.system("uri"),
            "value": address_of(ids.beneath(one.id, "composition")),
        },
        status=version.status,
        type=known("progress_note"),
        subject=reference("Patient", one.visit.patient_id),
        encounter=encounter.named(one),
        date=moment(version.at, one.zone),
        author=[author for place, author in enumerate(authors) if author not in authors[:place]],
        title=f"Visit note, {one.content['visit']['day']}",
        attester=_attesters(one, version),
        custodian=organization.named(one.practice),
        relatesTo=[{"code": "replaces", "targetReference": reference("Composition", before.id)}]
        if before
        else [],
        section=[
            *_sections(one, held),
            *_beside(one, held),
            *_later(one, version),
            *_papers(version),
            *_rest(one, held),
        ],
    )


def _attesters(one: KeptVisit, version: Version) -> list[dict]:
    if one.note is None:
        return []
    who = practitioner.named(one.note.signed_by, one.note.signer_name)
    mode = "professional" if one.note.needs_cosign else "legal"
    found = [{"mode": mode, "time": moment(one.note.signed_at, one.zone), "party": who}]
    second = one.cosignature
    if second and version.cosigned:
        party = practitioner.named(second.signed_by, second.signer_name)
        found.append({"mode": "legal", "time": moment(second.signed_at, one.zone), "party": party})
    return found


def _sections(one: KeptVisit, held: Held) -> list[dict]:
    """A heading under which nothing stands says so: that is not the same as nothing found."""
    found = []
    for id_, title, said in sections_of(one.content):
        entries = [each for kind in UNDER[id_] for each in _of_kind(kind, held)]
        text = narrative(said) or narrative(["Nothing is recorded under this heading."])
        found.append(made(title=title, text=text, entry=_named(entries)))
    return found


def _of_kind(kind: str, held: Held) -> Sequence[Resource]:
    if kind not in (SAID, FOUND):
        return held.get(kind, ())
    survey = known("survey")
    return [each for each in held.get("Observation", ()) if (survey in each["category"]) == (kind == SAID)]


def _beside(one: KeptVisit, held: Held) -> list[dict]:
    """What nobody edits and no sentence tells: dangers, stops that were gone past, reactions."""
    return [
        made(title=title, text=narrative(said), entry=_named(held.get(type_, ())))
        for type_, title, said in beside_of(one.content)
    ]


def _added(one: KeptVisit, version: Version) -> tuple[Addendum, ...]:
    return one.addenda[: version.addenda]


def _later(one: KeptVisit, version: Version) -> list[dict]:
    said = [
        "\n".join(filter(None, (_heading(row, one), row.wrong and f"Wrong: {row.wrong}", row.text)))
        for row in _added(one, version)
    ]
    second = one.cosignature
    if second and version.cosigned and second.words.strip():
        said.append(f"With the co-signature of {second.signer_name}:\n{second.words}")
    return [{"title": "Written after signing", "text": narrative(said)}] if said else []


def _heading(row: Addendum, one: KeptVisit) -> str:
    about = f", about {row.about_on:%Y-%m-%d}" if row.about_on else ""
    when = moment(row.written_at, one.zone)
    return f"{row.get_kind_display()} {row.number}{about}, written {when} by {row.author_name}"


def _papers(version: Version) -> list[dict]:
    if version.paper is None:
        return []
    return [
        {"title": "The note as it was printed", "entry": [reference("DocumentReference", version.paper_id)]}
    ]


def _rest(one: KeptVisit, held: Held) -> list[dict]:
    told = {title for _, title, _ in beside_of(one.content)}
    named = [("Consents", "Consent"), *([] if INSURER in told else [(INSURER, "Coverage")])]
    return [{"title": title, "entry": _named(held[type_])} for title, type_ in named if held.get(type_)]


def _named(resources: Sequence[Resource]) -> list[dict]:
    return [reference(each["resourceType"], each["id"]) for each in resources]
