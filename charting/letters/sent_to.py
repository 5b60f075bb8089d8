"""To whom a letter goes, as far as the record says it."""

from charting.episodes.models import Episode
from charting.insurance.queries import cover_of
from charting.letters.models import Letter


def sent_to(episode: Episode, kind: str) -> tuple[str, str]:
    """(name, address): the payer of a progress report, who referred; ("", "") where nobody is on record."""
    cover = cover_of(episode) if kind != Letter.Kind.SUMMARY else None
    if cover is None:
        return "", ""
    if kind == Letter.Kind.REFERRER:
        return cover.claim.referred_by, cover.claim.referrer_address
    payer = cover.payer
    return (payer.name, "\n".join(filter(None, (payer.street, payer.town)))) if payer else ("", "")
