"""Whether what a database holds is what was signed: every hash beside a content worked out again, every chain
of the trail walked. Reads the few columns it needs, so that a copy of an older release is read too.
"""

import hashlib
from collections.abc import Callable, Iterator
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections
from django.db.models import Model

from charting.audit.heads import Head, chains
from charting.audit.models import AuditEntry
from charting.audit.verify import verify_every
from charting.contacts.models import Attachment
from charting.letters.models import LetterPaper, SignedLetter
from charting.notes.models import SignedNote, SignedPaper
from charting.patterns.models import PatternFile
from charting.report.content import fingerprint
from charting.report.models import IssuedPaper

Hash = Callable[[Any], str]


def _of_bytes(content: Any) -> str:
    return hashlib.sha256(bytes(content)).hexdigest()


def _of_text(content: str) -> str:
    return hashlib.sha256(content.encode()).hexdigest()


# Everything that is kept beside its own hash: model, content, hash, and how one comes from the other.
HASHED: tuple[tuple[type[Model], str, str, Hash], ...] = (
    (SignedNote, "content", "content_sha256", fingerprint),
    (SignedPaper, "pdf", "sha256", _of_bytes),
    (SignedLetter, "content", "content_sha256", fingerprint),
    (LetterPaper, "pdf", "sha256", _of_bytes),
    (IssuedPaper, "pdf", "sha256", _of_bytes),
    (Attachment, "content", "sha256", _of_bytes),
    (PatternFile, "text", "sha256", _of_text),
)


def problems(using: str = DEFAULT_DB_ALIAS) -> Iterator[str]:
    """What is not as it was signed or written, in words; nothing when all is."""
    yield from changed(using)
    yield from broken(using)


def changed(using: str) -> Iterator[str]:
    """Signed notes, letters and papers whose content has another hash now."""
    for model, content, hashed, hash_of in HASHED:
        rows = model._base_manager.using(using).values_list("pk", content, hashed)
        for key, kept, wanted in rows.iterator(chunk_size=50):
            if hash_of(kept) != wanted:
                yield f"{model._meta.verbose_name} {key}: is not what it was when it was stored"


def broken(using: str) -> Iterator[str]:
    """Chains of the trail that do not hold."""
    if is_chained(using):
        for report in verify_every(using=using):
            yield from (f"trail {report.chain}, {each}" for each in report.breaks)


def heads(using: str) -> tuple[Head, ...]:
    """The last row of each chain; none before there were chains."""
    rows = AuditEntry.objects.using(using).order_by("-seq")
    if not is_chained(using):
        return ()
    found = ((chain, rows.filter(chain=chain).values_list("seq", "hash", "at")[0]) for chain in chains(using))
    return tuple(Head(chain, *last) for chain, last in found)


def is_chained(using: str) -> bool:
    """Whether the release that wrote this knew chains."""
    connection = connections[using]
    with connection.cursor() as cursor:
        columns = connection.introspection.get_table_description(cursor, AuditEntry._meta.db_table)
    return "hash" in {column.name for column in columns}
