"""What is asked of a signed note before something is written into it."""

import html
import re

from django.template.loader import render_to_string
from django.utils.html import strip_tags

from charting.notes.models import Addendum, AmendmentRequest, SignedNote


def entry_just_so(row: Addendum) -> Addendum | None:
    """The entry that a second tap would add again: same person, kind and words."""
    same = {"author": row.author, "kind": row.kind, "text": row.text, "wrong": row.wrong}
    return Addendum.objects.filter(note=row.note, request=row.request, **same).last()


def is_entered(request: AmendmentRequest, note: SignedNote) -> bool:
    """Whether an accepted request stands in this note already."""
    return Addendum.objects.filter(note=note, request=request).exists()


def stands_in(note: SignedNote, words: str) -> bool:
    """Whether these words are read in the signed note, or in what was written into it; blanks and capitals do
    not count. The words of a page are compared, for that is what somebody copies from.
    """
    page = render_to_string("notes/_recorded.html", {"note": note.content, "figures": (), "with_words": True})
    everything = [html.unescape(strip_tags(page)), *note.addenda.values_list("text", flat=True)]
    return _bare(words) in _bare("\n".join(everything))


def _bare(words: str) -> str:
    return re.sub(r"\s+", "", words).casefold()
