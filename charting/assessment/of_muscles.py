"""Sentences about what the hand felt."""

from collections.abc import Iterator

from bodymaps.reasoning import felt
from bodymaps.reasoning.felt import Felt, Verdict
from charting.assessment.made import MUSCLE, Made, Record, joined, name_of, sided, small
from charting.assessment.written import OPEN, RULED_OUT, SOURCE, By

ABOUT = {
    felt.ACTIVE: SOURCE,
    felt.LATENT: SOURCE,
    felt.TENDER_SPOT: SOURCE,
    felt.INCOMPLETE: OPEN,
    felt.NOT_MET: RULED_OUT,
}
HOW = "palpation"


def of_muscles(record: Record) -> Iterator[Made]:
    for found in record.case.felt:
        judged = felt.verdict(found)
        if judged.result in ABOUT:
            text = f"{named(found, record)}: {said(found, judged)} ({HOW})."
            yield Made(key_of(found), ABOUT[judged.result], text, by_of(found))


def by_of(found: Felt) -> By:
    return MUSCLE, found.muscle, found.side


def key_of(found: Felt) -> str:
    return f"felt:{found.muscle}:{found.side}:{found.site}"


def named(found: Felt, record: Record) -> str:
    """ "Scalenus medius (upper), left"; the site where the muscle has several."""
    muscle = record.atlas.muscles.get(found.muscle)
    several = muscle is not None and len(muscle.sites) > 1
    site = f" ({found.site.replace('_', ' ')})" if found.site and several else ""
    return sided(f"{name_of(by_of(found), record.atlas)}{site}", found.side)


def said(found: Felt, judged: Verdict) -> str:
    """ "active trigger point, 3 of 3, pain known to the patient; local twitch: seen or felt; pain on pressing
    7 of 10".
    """
    known = ", pain known to the patient" if judged.result == felt.ACTIVE else ""
    return joined(
        (f"{judged.words}{known}", judged.remark, *_more(found, judged), _pain(found), _pressure(found))
    )


def _more(found: Felt, judged: Verdict) -> Iterator[str]:
    """The other signs that are there; of what is no trigger point, the three that are not."""
    for sign in felt.load().signs:
        if judged.result == felt.NOT_MET and sign.criterion and not found.is_(sign.id):
            yield f"{small(sign.label)} {sign.no}"
        elif not sign.criterion and sign.id != "recognised" and found.is_(sign.id):
            yield f"{small(sign.label)}{'' if sign.id == 'stretch_pain' else f': {sign.yes}'}"
    grade = found.signs.get(felt.STRENGTH, "")
    if grade not in ("", felt.NOT_TESTED):
        yield f"strength {grade} of 5"


def _pain(found: Felt) -> str:
    return "" if found.pain is None else f"pain on pressing {found.pain} of 10"


def _pressure(found: Felt) -> str:
    if found.pressure is None:
        return ""
    count = len(found.pressure.trials)
    return f"pressure pain threshold {found.pressure.kpa:.0f} kPa{f', mean of {count}' if count > 1 else ''}"
