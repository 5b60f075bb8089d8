"""A visit in which the hand has found something, and one form of its assessment."""

import re

import pytest

from charting.assessment import pages
from charting.examination.models import MuscleFinding

ACTIVE = {"band": "yes", "spot": "yes", "referral": "yes", "recognised": "yes"}


@pytest.fixture
def felt(visit):
    """Infraspinatus, right: an active trigger point, 3 of 3."""
    row = {"muscle": "infraspinatus", "side": "right", "site": "", "signs": ACTIVE, "pain": 7}
    return MuscleFinding.objects.create(visit=visit, position=1, **row)


@pytest.fixture
def page(visit, mara):
    """The page as it stands now: page()."""
    return lambda: pages.assessment_page(pages.read_visit(visit), mara)


@pytest.fixture
def send(visit, as_mara, page):
    """send(number, name=value): what a browser sends of the form of one area. 302 unless said otherwise."""

    def send(number, status=302, **typed):
        card = next(card for card in page().cards if card.place.number == number)
        hidden = {"stroke": card.place.first, "where": card.place.where, "version": card.version}
        texts = {each.field: each.text for group in card.groups for each in group.taken}
        response = as_mara.post(f"/visits/{visit.pk}/assessment/", {**hidden, **texts, **typed})
        assert response.status_code == status, re.sub(r"\s+", " ", response.content.decode())[:2000]
        return response

    return send
