"""The page of the practice: every page about the practice as a whole that this person may open."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from charting.staff.models import User
from charting.staff.requests import staff
from charting.staff.rights import may


@dataclass(frozen=True)
class Door:
    """A link: the name of its address, what it is called and what it is for. `right`: who sees it."""

    url: str
    label: str
    words: str
    right: str


@dataclass(frozen=True)
class Room:
    """Doors that belong together."""

    title: str
    doors: tuple[Door, ...]


ROOMS = (
    Room(
        "People and places",
        (
            Door("staff", "People who work here", "Who may do what, and who is shut out", "grant rights"),
            Door("sites", "Sites", "Where the practice works, and who is seen where", "keep sites"),
            Door("emergencies", "Opened in an emergency", "Charts, by whom, and why", "keep sites"),
            Door("trainees", "Trainees", "Whose notes are co-signed", "grant rights"),
            Door(
                "patterns:writers", "Who may write patterns", "The right to draw own patterns", "grant rights"
            ),
        ),
    ),
    Room(
        "Looking back",
        (
            Door("log", "Log", "Who did what, and who looked at which record", "read log"),
            Door(
                "review", "Review of the practice", "Counts, maps and outcomes; nobody is named", "see review"
            ),
            Door(
                "registered-twice", "Registered twice", "Records that may be of one person", "merge records"
            ),
        ),
    ),
    Room(
        "Words and texts",
        (
            Door("text-blocks", "Text blocks", "Words that notes are put together from", "word notes"),
            Door("consent-texts", "Consent texts", "What people sign, in the practice's words", "register"),
            Door("patterns:list", "Own patterns", "Referral patterns that the practice drew", "register"),
        ),
    ),
    Room(
        "Payers and files",
        (
            Door("payers", "Payers", "Insurers, and what each asks for", "keep insurance"),
            Door("registration-numbers", "Registration numbers", "As they print on papers", "keep insurance"),
            Door("imports", "Bring in a list of people", "From another system", "import people"),
        ),
    ),
)


def rooms_for(user: User) -> tuple[Room, ...]:
    """What this person may open; a room without a door is left out."""
    rooms = (Room(room.title, tuple(door for door in room.doors if may(user, door.right))) for room in ROOMS)
    return tuple(room for room in rooms if room.doors)


@require_GET
def practice(request: HttpRequest) -> HttpResponse:
    return render(request, "entrance/practice.html", {"rooms": rooms_for(staff(request))})
