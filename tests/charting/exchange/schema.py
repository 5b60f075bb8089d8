"""The JSON schema of HL7 FHIR R4, one validator for each kind of resource.

SOURCE: fhir.schema.json.gz is the file fhir.schema.json of HL7 FHIR Release 4 (4.0.1), its id is
http://hl7.org/fhir/json-schema/4.0. HL7 publishes the specification under CC0, "No Rights Reserved" (its page
license.html; those of later releases were read). The copy came with a package of FHIR definitions of the npm
registry; that it is byte for byte the file of hl7.org was not compared.
"""

import gzip
import json
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft6Validator

FILE = Path(__file__).parent / "fhir.schema.json.gz"


@cache
def _definitions() -> dict[str, Any]:
    return json.loads(gzip.decompress(FILE.read_bytes()))["definitions"]


@cache
def _validator(type_: str) -> Draft6Validator:
    return Draft6Validator({"$ref": f"#/definitions/{type_}", "definitions": _definitions()})


def errors_in(bundle: dict[str, Any]) -> list[str]:
    """Each resource against its own definition, then the bundle around them."""
    found = []
    for entry in bundle["entry"]:
        resource = entry["resource"]
        for error in _validator(resource["resourceType"]).iter_errors(resource):
            where = ".".join(map(str, error.absolute_path))
            found.append(f"{resource['resourceType']} {where}: {error.message[:200]}")
    around = {**bundle, "entry": [{"fullUrl": entry["fullUrl"]} for entry in bundle["entry"]]}
    return [*found, *(error.message[:200] for error in _validator("Bundle").iter_errors(around))]
