"""A device in the hands of a patient who is asked everything: story, drawing, scores, a text to read."""

import pytest
from django.test import Client

from tests.charting.telling.conftest import handed_over

ALL = {"tells": "story", "asks": ["scores", "consent:examination"]}


@pytest.fixture
def device(blank, mara) -> Client:
    return handed_over(blank, mara, **ALL)


def rate(client, screen, value=None, go="next", **more):
    sent = {"go": go, **more} if value is None else {"go": go, "value": value, **more}
    return client.post(f"/board/scores/{screen}/", sent)


def read(client, part, go="next", text="examination", **more):
    return client.post(f"/board/reading/{text}/{part}/", {"go": go, **more})
