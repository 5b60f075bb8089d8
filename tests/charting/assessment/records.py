"""Records to make sentences from, without a database."""

from bodymaps import atlas
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.felt import Felt
from charting.assessment.made import Record

ACTIVE = {"band": "yes", "spot": "yes", "referral": "yes", "recognised": "yes"}
NORMAL_C6 = {
    "touch:C6": "2",
    "pin:C6": "2",
    "strength:C6": "5",
    "reflex:biceps": "2",
    "reflex:brachioradialis": "2",
}


def record(*felt: Felt, findings=None, **more) -> Record:
    """`findings`: {key: grade} on the right, {(key, side): grade} elsewhere."""
    cells = {
        (key if isinstance(key, tuple) else (key, "right")): grade for key, grade in (findings or {}).items()
    }
    return Record(Case(felt=felt, findings=cells), atlas.load(), **more)
