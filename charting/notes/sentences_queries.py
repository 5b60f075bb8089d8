"""Every read of what a clinician made of the assembled sentences, and of the practice's text blocks."""

from collections.abc import Mapping

from django.shortcuts import get_object_or_404

from charting.notes.models import NoteSentence, NoteText, TextBlock
from charting.report.sentences import Edit
from charting.report.soap import SECTIONS, Written
from charting.staff.models import User
from charting.visits.models import Visit


def rows_of(visit: Visit) -> dict[str, NoteSentence]:
    """The changed sentences of a visit by key. One query."""
    rows = NoteSentence.objects.filter(visit=visit).select_related("changed_by")
    return {row.key: row for row in rows.order_by("pk")}


def written_in(text: NoteText, rows: Mapping[str, NoteSentence]) -> Written:
    """What was made of a note, as report.content takes it."""
    return Written(
        own={name: getattr(text, name) for name in SECTIONS},
        edits={key: Edit(row.stood, row.words, row.taken_out) for key, row in rows.items()},
        sections={key: row.section for key, row in rows.items()},
    )


def blocks_of(user: User) -> tuple[TextBlock, ...]:
    """Every text block of the practice, those out of use too. One query."""
    found = TextBlock.objects.filter(practice=user.practice).select_related("changed_by")
    order = list(SECTIONS)
    return tuple(sorted(found, key=lambda block: (order.index(block.section), block.title.lower())))


def block_of(user: User, block_id: int) -> TextBlock:
    """Raises Http404 for a block of another practice."""
    return get_object_or_404(TextBlock, pk=block_id, practice=user.practice)
