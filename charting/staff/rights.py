"""Who may do what. One table, asked by every service before it changes anything."""

from django.core.exceptions import PermissionDenied

from charting.staff.models import User

RIGHTS: dict[str, frozenset[str]] = {
    # "override gates": to needle though a gate says stop, with a reason that prints. Only who is licensed to
    # treat and answers for the needle; nobody at the desk and no owner decides that for somebody else.
    # "break glass": to open in an emergency the chart of somebody who is seen at another site.
    User.Role.CLINICIAN: frozenset(
        {
            "register",
            "log contacts",
            "open chart",
            "see review",
            "treat",
            "override gates",
            "break glass",
            "sign",
            "co-sign",
            "answer requests",
            "word consents",
            "word notes",
            "merge records",
            "import people",
            "export records",
            "keep insurance",
        }
    ),
    # The desk registers people, hands over the tablet and logs calls and missed visits
    # (charting.contacts.queries.DESK); what was found and written stays closed.
    User.Role.DESK: frozenset({"register", "log contacts", "keep insurance"}),
    # "grant rights": to take people on, say what they may and where they work. "read log": every change and
    # every look at a chart, by ids. "purge records": to remove those whose time is over.
    User.Role.OWNER: frozenset(
        {
            "register",
            "open chart",
            "see review",
            "grant rights",
            "keep sites",
            "read log",
            "purge records",
            "answer requests",
            "word consents",
            "word notes",
            "merge records",
            "import people",
            "export records",
            "keep insurance",
        }
    ),
    # Checks who did what, and opens no chart and knows no name of a patient.
    User.Role.AUDITOR: frozenset({"read log"}),
}
# Rights that an owner grants one by one, with the right that somebody must have already.
GRANTED = {"write patterns": "treat"}
# What a trainee does not do, whatever the role: somebody else answers for it.
NOT_IN_TRAINING = frozenset({"co-sign", "override gates"})


def may(user: User, right: str) -> bool:
    """Whether this member of staff has the right. Somebody without a practice has none."""
    if not user.is_active or user.practice_id is None:
        return False
    if right in GRANTED:
        return user.writes_patterns and may(user, GRANTED[right])
    if right in NOT_IN_TRAINING and user.is_trainee:
        return False
    return right in RIGHTS.get(user.role, frozenset()) or (
        user.owns_practice and right in RIGHTS[User.Role.OWNER]
    )


def require(user: User, right: str) -> None:
    """Raise PermissionDenied unless `user` has the right."""
    if not may(user, right):
        if right in GRANTED:
            raise PermissionDenied(f"An owner of the practice can give you this right: {right}.")
        if right in NOT_IN_TRAINING and user.is_trainee:
            raise PermissionDenied(f"Somebody who is no trainee does this: {right}.")
        raise PermissionDenied(f"Your role ({user.get_role_display()}) does not include: {right}.")
