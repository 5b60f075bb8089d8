"""Every file that goes into the one file: what it is called, what it is, and how it is read when its turn
comes.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime

from charting.contacts.models import Attachment, AttachmentStruck
from charting.exchange.fhir import picture
from charting.exchange.fhir.reading import KeptVisit
from charting.letters.models import LetterPaper
from charting.notes.models import SignedPaper
from charting.patients.models import Patient
from charting.patients.queries import of_person, of_person_or_visit
from charting.report import pdf
from charting.report.models import IssuedPaper

# What is pressed together already.
PRESSED = (".pdf", ".png", ".jpg")


@dataclass(frozen=True)
class File:
    """`name`: its path in the whole; `title`: what a person reads; `group`: under which heading."""

    name: str
    title: str
    group: str
    read: Callable[[], bytes]

    @property
    def is_pressed(self) -> bool:
        return self.name.endswith(PRESSED)


def of_visit(one: KeptVisit, folder: str) -> Iterator[File]:
    """The note in every version and size that was stored, or a draft; the drawing."""
    if one.note is None:
        paper = one.practice.paper
        yield File(
            f"{folder}/note-draft-{paper}.pdf",
            "Draft of the note, not signed",
            folder,
            lambda: pdf.render(one.content, paper=paper),
        )
    else:
        rows = one.note.papers.defer("pdf").order_by("addenda", "cosigned", "paper")
        yield from (_paper(row, folder) for row in rows)
    drawing = one.content.get("drawing") or {}
    if not drawing.get("is_empty", True):
        yield from (_drawing(view, folder) for view in drawing.get("views") or [])


def _paper(row: SignedPaper, folder: str) -> File:
    later = f"-with-{row.addenda}-later" if row.addenda else ""
    second = "-co-signed" if row.cosigned else ""
    words = f", with {row.addenda} written later" if row.addenda else ", as signed"
    title = f"Note{words}{', co-signed' if row.cosigned else ''}, {row.get_paper_display()}"
    return File(f"{folder}/note{later}{second}-{row.paper}.pdf", title, folder, lambda: _bytes(row, "pdf"))


def _drawing(view: dict, folder: str) -> File:
    name = f"{folder}/drawing-{view['view']}.svg"
    return File(name, f"Drawing: {view['title'].lower()}", folder, lambda: picture.svg_of(view).encode())


def beside_the_visits(person: Patient) -> Iterator[File]:
    """Letters, papers given out, and papers that others wrote."""
    letters = LetterPaper.objects.filter(of_person(person, "signed__letter__patient")).defer("pdf")
    for number, letter in enumerate(
        letters.select_related("signed__letter").order_by("signed__signed_at", "paper"), 1
    ):
        yield _letter(number, letter, person)
    issued = IssuedPaper.objects.filter(of_person_or_visit(person)).defer("pdf")
    for number, row in enumerate(issued.order_by("issued_at"), 1):
        yield _issued(number, row, person)
    struck = AttachmentStruck.objects.values("paper")
    pages = Attachment.objects.filter(of_person(person)).exclude(paper__in=struck).defer("content")
    for number, page in enumerate(pages.order_by("added_at", "paper", "page"), 1):
        yield _attachment(number, page)


def _letter(number: int, row: LetterPaper, person: Patient) -> File:
    letter = row.signed.letter
    on = day_of(row.signed.signed_at, person)
    name = f"letters/{number:02}-{on}-{letter.kind}-{row.paper}.pdf"
    title = f"{letter.get_kind_display()} of {on}, {row.get_paper_display()}"
    return File(name, title, "letters", lambda: _bytes(row, "pdf"))


def _issued(number: int, row: IssuedPaper, person: Patient) -> File:
    on = day_of(row.issued_at, person)
    name = f"given-out/{number:02}-{on}-{row.kind}-{row.paper}.pdf"
    title = f"{row.get_kind_display()}, given out on {on}, {row.get_paper_display()}"
    return File(name, title, "given-out", lambda: _bytes(row, "pdf"))


def _attachment(number: int, page: Attachment) -> File:
    end = "jpg" if page.media_type == "image/jpeg" else "png"
    name = f"from-others/{number:02}-{page.what}-page-{page.page}.{end}"
    of = f", page {page.page} of {page.pages}" if page.pages > 1 else ""
    return File(name, f"{page.title}{of}", "from-others", lambda: _bytes(page, "content"))


def day_of(at: datetime, person: Patient) -> str:
    return at.astimezone(person.practice.zone).date().isoformat()


def _bytes(row: SignedPaper | LetterPaper | IssuedPaper | Attachment, name: str) -> bytes:
    """Read when its turn comes, so that no more than one file is held at a time."""
    return bytes(getattr(row, name))
