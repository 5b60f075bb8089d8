"""A practice of two sites: anna is seen at the mill, otto works by the lake."""

import pytest
from django.test import Client

from charting.patients.models import EmergencyAccess, PatientSite
from charting.sites import emergency_services
from charting.sites.emergency_queries import Sought
from tests.charting import recorded
from tests.charting.people import signed_in

REASON = "Collapsed at the lake, needles were in place."


@pytest.fixture
def mill(practice):
    return recorded.site(practice, "At the Mill")


@pytest.fixture
def lake(practice):
    return recorded.site(practice, "By the Lake")


@pytest.fixture
def at_the_mill(anna, mill):
    PatientSite.objects.create(patient=anna, site=mill)
    return anna


@pytest.fixture
def as_otto(otto) -> Client:
    return signed_in(otto)


def open_for(user, patient) -> EmergencyAccess:
    sought = Sought(patient.record_number, "", None)
    return emergency_services.open_chart(who=user, sought=sought, reason=REASON)
