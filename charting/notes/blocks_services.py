"""Every write of a practice's text blocks."""

from django.db import IntegrityError, transaction

from charting.audit.services import record
from charting.drafts.services import forget
from charting.notes.models import TextBlock
from charting.staff.models import User
from charting.staff.rights import require
from charting.versioning import save_if_current

RIGHT = "word notes"


class TitleTaken(Exception):
    """Another block under the same heading has this title."""

    def __init__(self, title: str) -> None:
        super().__init__(
            f"There is a block “{title}” under this heading already. Give this one another title."
        )


def draft_key(block: TextBlock | None) -> str:
    return f"text-block:{block.pk if block else 'new'}"


@transaction.atomic
def add_block(*, who: User, section: str, title: str, words: str) -> TextBlock:
    """Add a block to the practice of `who`. The same block again is the one added before: a second tap adds
    nothing. Raises PermissionDenied, TitleTaken.
    """
    require(who, RIGHT)
    same = {"practice": who.practice, "section": section, "title": title}
    block, made = TextBlock.objects.get_or_create(**same, defaults={"words": words, "changed_by": who})
    if not made:
        if block.words != words:
            raise TitleTaken(title)
        return block
    forget(who=who, key=draft_key(None))
    record(who=who, did="added text block", what=block, section=section)
    return block


@transaction.atomic
def change_block(
    *, who: User, block: TextBlock, version: int, section: str, title: str, words: str, in_use: bool
) -> None:
    """Change a block, or take it out of use. Notes that hold its words keep them. Raises PermissionDenied,
    TitleTaken, Stale when somebody changed it since `version`.
    """
    require(who, RIGHT)
    said = {"section": section, "title": title, "words": words, "in_use": in_use, "changed_by": who}
    try:
        with transaction.atomic():
            save_if_current(block, version=version, **said)
    except IntegrityError as problem:
        raise TitleTaken(title) from problem
    forget(who=who, key=draft_key(block))
    record(who=who, did="changed text block", what=block, version=block.version, in_use=in_use)
