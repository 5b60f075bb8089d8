"""Nobody goes around charting.patients.access. OWASP ASVS 5.0: 8.2.2, 8.3.1: rows are chosen in one place."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3] / "charting"
# What reads people without the door, and why it may.
ALLOWED = {
    "patients/access.py": "the door itself",
    "patients/services.py": "registers: the next record number, an id that was used before",
    "sites/emergency_queries.py": "an emergency: asked with a reason, counted, and written down each time",
    "sites/services.py": "closes a site: all of its people, for an owner",
    "letters/services.py": "holds the row of a person whose episode was opened through the door",
    "merging/services.py": "after both records were held through the door",
    "merging/apart.py": "after both records were held through the door",
    "retention/queries.py": "records whose time is over, for an owner, wherever they were seen",
    "retention/services.py": "removes them, for an owner",
    "oversight/queries.py": "ids alone, for who reads the log; no name leaves it",
    "exchange/fhir/reading.py": "the records merged into one that was opened through the door",
}
AROUND = re.compile(r"\bPatient\.(objects|_default_manager)\b|practice\.patients\b")


def those_who_go_around(root: Path) -> set[str]:
    # Commands are typed with the rights of the machine, migrations change tables.
    files = (one for one in root.rglob("*.py") if not {"migrations", "management"} & set(one.parts))
    return {
        str(one.relative_to(root))
        for one in files
        if AROUND.search(one.read_text("utf-8").replace("Patient.objects.none()", ""))
    }


def test_people_are_read_through_the_one_door():
    assert those_who_go_around(ROOT) - set(ALLOWED) == set()


def test_one_who_goes_around_is_seen(tmp_path):
    (tmp_path / "planted.py").write_text("rows = Patient.objects.filter(pk=1)\n")
    assert those_who_go_around(tmp_path) == {"planted.py"}
