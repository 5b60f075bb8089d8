"""What a signed note shows beside itself: requests about it, and every paper that is kept."""

from dataclasses import dataclass

from charting.notes.amendments_queries import Asked, accepted_for, requests_about
from charting.notes.models import AmendmentRequest, SignedNote


@dataclass(frozen=True)
class PaperKept:
    """A state of the note whose papers are stored: `addenda` of them printed, co-signed or not."""

    addenda: int
    cosigned: bool


@dataclass(frozen=True)
class Later:
    """`accepted`: the requests that may be entered into this note as an amendment."""

    requests: tuple[Asked, ...]
    accepted: tuple[AmendmentRequest, ...]
    papers: tuple[PaperKept, ...]


def later_of(note: SignedNote) -> Later:
    about = requests_about(note)
    kept = note.papers.order_by("addenda", "cosigned").values_list("addenda", "cosigned").distinct()
    return Later(about, accepted_for(note, about), tuple(PaperKept(*one) for one in kept))
