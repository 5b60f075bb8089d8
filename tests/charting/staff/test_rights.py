"""Who may do what: one table, and nobody outside of it."""

import pytest
from django.core.exceptions import PermissionDenied

from charting.staff.models import User
from charting.staff.queries import clinicians_beside
from charting.staff.rights import may, require

MAY = {
    "clinician": {
        "register",
        "log contacts",
        "open chart",
        "see review",
        "treat",
        "override gates",
        "sign",
        "co-sign",
        "answer requests",
        "word consents",
        "merge records",
        "import people",
        "export records",
    },
    "desk": {"register", "log contacts"},
    "owner": {
        "register",
        "open chart",
        "answer requests",
        "see review",
        "word consents",
        "merge records",
        "import people",
        "export records",
    },
    "auditor": set(),
}


@pytest.mark.parametrize("role", MAY)
@pytest.mark.parametrize(
    "right",
    [
        "register",
        "log contacts",
        "open chart",
        "see review",
        "treat",
        "override gates",
        "sign",
        "co-sign",
        "answer requests",
        "word consents",
        "merge records",
        "import people",
        "export records",
        "delete",
    ],
)
def test_each_role_has_its_rights_and_no_others(mara, role, right):
    mara.role = role
    assert may(mara, right) is (right in MAY[role])


def test_every_role_is_in_the_table():
    assert set(MAY) == set(User.Role.values)


def test_who_left_or_belongs_nowhere_has_none(mara, tom):
    mara.is_active = False
    tom.practice = None
    assert not may(mara, "register") and not may(tom, "register")


def test_a_refusal_says_which_right_is_lacking(poll):
    with pytest.raises(PermissionDenied, match=r"Front desk.*open chart"):
        require(poll, "open chart")


def test_a_superuser_without_a_role_here_has_no_way_around(practice):
    root = User.objects.create_superuser("root", password="harbour-lantern-42", role="desk")
    assert not may(root, "open chart")


def test_clinicians_of_the_house_are_those_who_treat(mara, tom, poll, vera, ines):
    assert clinicians_beside(poll) == (tom, mara)
    assert clinicians_beside(ines) == (ines,)


def test_a_trainee_neither_co_signs_nor_goes_past_a_gate(mara):
    mara.is_trainee = True
    assert may(mara, "sign") and not may(mara, "co-sign") and not may(mara, "override gates")
    with pytest.raises(PermissionDenied, match="no trainee"):
        require(mara, "override gates")
