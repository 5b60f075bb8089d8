"""Tell whether a printed note, or its PDF, is the one that was signed."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from charting.audit.models import AuditEntry
from charting.audit.verify import verify
from charting.management.commands.verify_trail import heads_in
from charting.notes.models import SignedNote, SignedPaper
from charting.report.code import beginning_of
from charting.report.content import fingerprint

MOST = 64 * 1024 * 1024
Row = dict[str, Any]


@dataclass(frozen=True)
class Known:
    """A signed note: its hash as stored, its content, and the SHA-256 of each of its papers."""

    sha256: str
    content: Row
    papers: tuple[str, ...]
    visit: Any = None
    practice: int = 0

    @property
    def words(self) -> str:
        signed = self.content.get("signature", {})
        number = self.content["patient"]["record_number"]
        return f"record {number}, signed by {signed.get('name', '?')}, {signed.get('when', '?')}"


class Command(BaseCommand):
    """manage.py verify_note (FILE.pdf | --code CODE [--hash HEX]) [--against record.zip] [--heads FILE]

    Against the database, or offline against the file with everything of a person. Exit 3: it is not the note.
    """

    help = "Check a note by its PDF, or by the code and hash at its foot."

    def add_arguments(self, parser: CommandParser) -> None:
        which = parser.add_mutually_exclusive_group(required=True)
        which.add_argument("pdf", nargs="?", metavar="FILE.pdf")
        which.add_argument("--code", help="as it is printed at the foot of a page")
        parser.add_argument("--hash", default="", help="SHA-256 as it is printed beside the code")
        parser.add_argument("--against", metavar="ZIP", help="a file with everything of a person")
        parser.add_argument("--heads", metavar="FILE", help="heads kept elsewhere (write_heads)")

    def handle(self, *args: Any, pdf: str | None, code: str | None, **options: Any) -> None:
        try:
            paper = hashlib.sha256(Path(pdf).read_bytes()).hexdigest() if pdf else ""
            start = options["hash"].lower() or (beginning_of(code) if code else "")
            if code and not start.startswith(beginning_of(code)):
                raise CommandError("Code and hash are not of the same note.", returncode=3)
            where = options["against"]
            notes = _in_zip(Path(where)) if where else _in_database(paper, start)
            heads = heads_in(options["heads"]) if options["heads"] else ()
        except (OSError, ValueError, KeyError, zipfile.BadZipFile) as error:
            raise CommandError(f"It could not be checked: {error}", returncode=2) from None
        fits = (one for one in notes if (paper in one.papers if paper else one.sha256.startswith(start)))
        note = next(fits, None)
        if note is None:
            raise CommandError(_unknown(bool(paper)), returncode=3)
        self._tell(note, bool(paper))
        if not where:
            self._tell_trail(note, heads)

    def _tell(self, note: Known, is_pdf: bool) -> None:
        if fingerprint(note.content) != note.sha256:
            raise CommandError("The stored content was changed: it does not give its hash.", returncode=3)
        what = "This file is, byte for byte, a paper stored" if is_pdf else "Code and hash are those"
        self.stdout.write(f"{what} of the note of {note.words}.")
        self.stdout.write(f"The stored content gives the hash {note.sha256}.")

    def _tell_trail(self, note: Known, heads: Any) -> None:
        rows = AuditEntry.objects.filter(chain=note.practice, action="signed", object_id=str(note.visit))
        row = rows.first()
        if row is None or row.detail.get("sha256") != note.sha256:
            raise CommandError("The trail tells of no signature over this hash.", returncode=3)
        report = verify(note.practice, heads)
        if not report.holds:
            raise CommandError(f"The trail does not hold: {report.breaks[0]}", returncode=3)
        self.stdout.write(f"The trail holds, and says so at entry {row.seq} of {row.at:%Y-%m-%d %H:%M} UTC.")
        later = [head for head in heads if head.chain == note.practice and head.seq >= row.seq]
        if later:
            self.stdout.write(f"A head kept elsewhere since {later[0].at:%Y-%m-%d %H:%M} says the same.")
        else:
            self.stdout.write("No head kept elsewhere is later than it: who owns the database is believed.")


def _in_database(paper: str, start: str) -> Iterator[Known]:
    if paper:
        held = SignedPaper.objects.filter(sha256=paper).values("note")
        rows = SignedNote.objects.filter(pk__in=held)
    else:
        rows = SignedNote.objects.filter(content_sha256__startswith=start)
    for row in rows.select_related("visit__patient"):
        papers = tuple(row.papers.values_list("sha256", flat=True))
        practice = row.visit.patient.practice_id
        yield Known(row.content_sha256, row.content, papers, row.visit_id, practice)


def _in_zip(file: Path) -> Iterator[Known]:
    """Needs no database: content and the hashes of the papers stand in record.json."""
    with zipfile.ZipFile(file) as whole:
        if whole.getinfo("record.json").file_size > MOST * 4:
            raise ValueError("its record.json is too large")
        rows = json.loads(whole.read("record.json"))["rows"]
        files = {hashlib.sha256(whole.read(name)).hexdigest() for name in whole.namelist() if ".pdf" in name}
    for row in rows.get("signednote", []):
        papers = [one for one in rows.get("signedpaper", []) if one["note_id"] == row["id"]]
        held = tuple(one["pdf"]["sha256"] for one in papers if one["pdf"]["sha256"] in files)
        yield Known(row["content_sha256"], row["content"], held)


def _unknown(is_pdf: bool) -> str:
    if is_pdf:
        return (
            "No stored paper has these bytes: it was changed, or printed or saved anew. "
            "Type the code from its foot (--code)."
        )
    return "No signed note has this code and hash."
