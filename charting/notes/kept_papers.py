"""The papers of a signed note: made once, kept byte for byte."""

import hashlib
from collections.abc import Sequence
from typing import Any

from charting.notes.models import SignedNote, SignedPaper
from charting.report import pdf
from charting.report.papers import Added, Signature
from charting.staff.models import Paper


def made(
    content: dict[str, Any],
    signed: Signature,
    sha256: str,
    addenda: Sequence[Added] = (),
    *,
    waits: bool = False,
    cosigned: Signature | None = None,
) -> dict[str, bytes]:
    """The bytes of each size of paper. `waits`: a trainee signed, and nobody has co-signed yet. Takes some
    two seconds: never within a transaction.
    """
    how: dict[str, Any] = {"signed": signed, "sha256": sha256, "addenda": addenda}
    how |= {"waits": waits} if waits else {}
    how |= {"cosigned": cosigned} if cosigned else {}
    return {paper: pdf.render(content, paper=paper, **how) for paper in Paper.values}


def store(note: SignedNote, addenda: int, papers: dict[str, bytes], *, cosigned: bool = False) -> None:
    """Beside the earlier ones, which stay as they are."""
    about = {"note": note, "addenda": addenda, "cosigned": cosigned}
    for paper, pdf_bytes in papers.items():
        sha256 = hashlib.sha256(pdf_bytes).hexdigest()
        SignedPaper.objects.create(**about, paper=paper, pdf=pdf_bytes, sha256=sha256)
