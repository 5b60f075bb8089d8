import pytest

from charting.screening.queries import state_of
from charting.screening.services import record_findings


@pytest.fixture
def url(blank):
    return f"/visits/{blank.pk}/neuro-screen/"


@pytest.fixture
def sent(blank):
    """What a browser sends from a page of the blank visit: sent(strength_C5_right="4")."""

    def made(page="neuro", **fields):
        return {"state": state_of(blank, page), **fields}

    return made


@pytest.fixture
def found(blank, mara):
    """found({("touch:C5", "right"): "1"}): recorded by Mara, without remarks."""

    def keep(findings, page="neuro"):
        said = {cell: grade if isinstance(grade, tuple) else (grade, "") for cell, grade in findings.items()}
        state = state_of(blank, page)
        record_findings(who=mara, visit=blank, state=state, findings=said, page=page)

    return keep
