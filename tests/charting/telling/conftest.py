"""A device in the hands of a patient who is asked the story first."""

import pytest
from django.test import Client

from charting.telling import screens
from charting.telling.models import Telling


def handed_over(visit, by, **more) -> Client:
    """A device that `by` handed over for the story of `visit`, name and birth date confirmed."""
    client = Client()
    client.force_login(by)
    client.post(f"/visits/{visit.pk}/hand-over/", {"tells": "story", **more})
    client.post("/board/confirm/", {"is_me": "yes"})
    return client


@pytest.fixture
def device(blank, mara) -> Client:
    return handed_over(blank, mara)


def screens_of(where, answers) -> list[str]:
    """`where` is a screen, or a section: then those of its screens that hold one of `answers`, else its
    first.
    """
    mine = [each for each in screens.load().screens if where in (each.id, each.section)]
    holding = [each.id for each in mine if {item.key for item in each.items} & set(answers)]
    return holding or [mine[0].id] if mine else [where]


def answer(client, where, go="next", **answers):
    """Screen by screen, as somebody taps; what the last of them was answered with."""
    for screen in screens_of(where, answers):
        response = client.post(f"/board/story/{screen}/", {"go": go, **of_screen(screen, answers)})
    return response


def tap(client, where, go="stay", **answers):
    """As the script sends it when a chip is tapped."""
    for screen in screens_of(where, answers):
        response = client.post(
            f"/board/story/{screen}/",
            {"go": go, **of_screen(screen, answers)},
            headers={"Accept": "application/json"},
        )
    return response


def of_screen(screen, answers):
    """What is posted: the answers to what is not asked anywhere go along."""
    asked = {key: each.id for each in screens.load().screens for key in (item.key for item in each.items)}
    return {key: value for key, value in answers.items() if asked.get(key, screen) == screen}


def told() -> Telling:
    return Telling.objects.get()
