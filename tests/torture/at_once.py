"""Many at one row at the same moment, on SQLite and PostgreSQL: `python -m tests.torture.at_once [times]`.

16 clinicians sign one note, and one signs. Two people save the same words from the same page, and nobody's
are lost silently. 20 taps of one form make one record. Threads with connections of their own; papers are left
out, and passwords hashed quickly, for neither has a part in who is first.
"""

import subprocess
import sys
import uuid
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

from tests import cluster
from tests.torture import held
from tests.torture.practice import folder_of_its_own
from tests.torture.told import Told

SIGNERS, TIMES = 16, 200
EDITS, TAPS = 1000, 20
HERE = "here"


def main(times: int = TIMES, edits: int = EDITS) -> int:
    """Each database in a process of its own."""
    numbers = [str(times), str(edits)]
    command = [sys.executable, "-m", "tests.torture.at_once", HERE]
    codes = [subprocess.run([*command, "", *numbers], check=False).returncode]
    with cluster.running() as url:
        codes.append(subprocess.run([*command, url, *numbers], check=False).returncode)
    return max(codes)


def on_one(url: str, times: int, edits: int) -> int:
    told = Told()
    told.figure("PostgreSQL" if url else "SQLite")
    with folder_of_its_own(url):
        from django.conf import settings

        from charting.notes import kept_papers
        from tests.charting import recorded

        settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
        kept_papers.made = lambda *all_of, **named: {"a4": b"%PDF", "letter": b"%PDF"}
        here = recorded.practice()
        people = [recorded.member(here, f"signer{number}") for number in range(SIGNERS)]
        _signing(told, here, people, times)
        _editing(told, here, people[:2], edits)
        _tapping(told, here, people[0])
        wrong = held.chain_problems()
        told.promise(f"the chain of the trail has no gap and no fork {wrong[:2] or ''}", not wrong)
    return told.end()


def together(acts: list[Any]) -> list[Any]:
    """What each gave, or the name of what it raised. All begin at the same moment."""
    from django.db import connection

    start = Barrier(len(acts))

    def run(act: Any) -> Any:
        try:
            start.wait()
            return act()
        except Exception as problem:
            return type(problem).__name__
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


def _signing(told: Told, here: Any, people: list[Any], times: int) -> None:
    from charting.audit.models import AuditEntry
    from charting.notes import services
    from charting.notes.models import SignedNote
    from charting.visits.models import Visit
    from tests.charting import recorded

    person = recorded.patient(here, number=1)
    wins, refusals = [], 0
    for _ in range(times):
        visit = recorded.whole_visit(person, people[0])
        read = recorded.as_read(visit)
        acts = [
            lambda who=who: services.sign(  # type: ignore[misc]
                who=who,
                visit=Visit.objects.get(pk=visit.pk),  # noqa: B023 - called here and now
                password=recorded.PASSWORD,
                read=read,  # noqa: B023
            )
            for who in people
        ]
        outcomes = together(acts)
        wins.append(sum(isinstance(each, SignedNote) for each in outcomes))
        refusals += outcomes.count("AlreadySigned")
    rows = AuditEntry.objects.filter(action="signed").count()
    told.promise(f"{times} times {SIGNERS} signed one note: one won each time", wins == [1] * times)
    told.promise(f"{refusals:,} were told that it is signed already", refusals == times * (SIGNERS - 1))
    told.promise(f"{rows} rows of the trail say so", rows == times)


def _editing(told: Told, here: Any, people: list[Any], edits: int) -> None:
    """Both save from the same version each time; whose words went in is the one who was told so."""
    from charting.history.services import save_story
    from charting.versioning import Stale
    from charting.visits.models import Visit
    from tests.charting import recorded

    visit = Visit.objects.create(patient=recorded.patient(here, number=2), clinician=people[0])
    save_story(who=people[0], visit=visit, version=0, complaint="0", history="")
    silent = shown = 0

    def save(who: Any, words: str, version: int) -> tuple[str, str]:
        try:
            save_story(who=who, visit=visit, version=version, complaint=words, history="")
            return "kept", words
        except Stale as clash:
            return "shown", clash.current.complaint  # type: ignore[attr-defined]

    for number in range(1, edits // 2 + 1):
        words = [f"{who.username} {number}" for who in people]
        acts = [
            lambda who=who, said=said, number=number: save(who, said, number)  # type: ignore[misc]
            for who, said in zip(people, words, strict=True)
        ]
        outcomes = dict(together(acts))
        stands = Visit.objects.get(pk=visit.pk).story.complaint
        shown += outcomes.get("shown") == stands
        silent += outcomes.get("kept") != stands
    told.promise(f"{edits:,} conflicting edits, {silent} overwritten silently", not silent)
    told.promise(
        f"{shown:,} of {edits // 2:,} who came second were shown the words of the other", shown == edits // 2
    )


def _tapping(told: Told, here: Any, who: Any) -> None:
    from charting.audit.models import AuditEntry
    from charting.visits.models import Visit
    from charting.visits.services import start
    from tests.charting import recorded

    person = recorded.patient(here, number=3)
    visit_id = uuid.uuid4()
    outcomes = together(
        [lambda: start(who=who, patient=person, id=visit_id, clinician=who) for _ in range(TAPS)]
    )
    rows = Visit.objects.filter(patient=person).count()
    said = AuditEntry.objects.filter(action="started visit", object_id=str(visit_id)).count()
    same = sum(getattr(each, "pk", None) == visit_id for each in outcomes)
    told.promise(
        f"{TAPS} taps made {rows} visit, all {same} were led to it, {said} row of the trail",
        (rows, same, said) == (1, TAPS, 1),
    )


if __name__ == "__main__":
    if HERE in sys.argv:
        sys.exit(on_one(sys.argv[2], int(sys.argv[3]), int(sys.argv[4])))
    sys.exit(main(*map(int, sys.argv[1:])))
