"""Sites, and charts opened in an emergency."""

from datetime import timedelta
from typing import Any

from django.utils import timezone

from charting.patients.models import EmergencyAccess
from charting.staff.models import Site
from charting.visits.models import Visit
from tests.charting.addresses import Address


def a_site(visit: Visit) -> Any:
    return Site.objects.get_or_create(practice=visit.patient.practice, name="At the Mill")[0].pk


def an_access(visit: Visit) -> Any:
    """One whose time is over."""
    ago = timezone.now() - timedelta(hours=2)
    said = {"patient": visit.patient, "user": visit.clinician, "reason": "Fell ill in the waiting room."}
    return EmergencyAccess.objects.get_or_create(
        **said, defaults={"began_at": ago, "expires_at": ago + timedelta(hours=1)}
    )[0].pk


ADDRESSES: tuple[Address, ...] = (
    Address("sites", "GET"),
    Address("sites", "POST", data=lambda visit: {"name": "By the Weir"}),
    Address("sites-none", "GET"),
    Address("sites-none", "POST", data=lambda visit: {"site": a_site(visit)}),
    Address("site", "GET", row=a_site),
    Address("site", "POST", row=a_site, data=lambda visit: {"name": "At the Old Mill", "version": "1"}),
    Address("site-close", "POST", row=a_site, data=lambda visit: {"version": "1"}),
    Address("site-open", "POST", row=a_site),
    Address("patient-sites", "GET", of="patient"),
    Address("patient-sites", "POST", of="patient", data=lambda visit: {"sites": [a_site(visit)]}),
    Address("emergency-access", "GET"),
    Address(
        "emergency-access", "POST", data=lambda visit: {"number": "99999", "reason": "Fell ill, in pain."}
    ),
    Address("emergencies", "GET"),
    Address("emergency", "GET", row=an_access),
    Address("emergency", "POST", row=an_access, data=lambda visit: {"remark": "It was one."}),
    Address("emergency-end", "POST", row=an_access),
)
