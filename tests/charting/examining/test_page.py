"""The page of muscles: how the list begins, what stands beside the hand, what a signed visit shows."""

from django.urls import reverse
from django.utils import timezone

from charting.examination.queries import muscles_of


def names(visit):
    return [f"{row.muscle}.{row.side}" for row in muscles_of(visit)]


def test_an_empty_list_invites_and_suggests_nothing_before_the_danger_screen(as_mara, url):
    shown = as_mara.get(url)
    assert b"Which muscles do you want to feel?" in shown.content
    assert b"The danger screen comes first" in shown.content
    assert b"from the ranking" not in shown.content


def test_one_tap_takes_the_first_ten_of_the_ranking(visit, as_mara):
    url = f"/visits/{visit.pk}/muscles/"
    assert b"Take the first 10 from the ranking" in as_mara.get(url).content
    answer = as_mara.post(f"{url}add/", {"from": "ranking"})
    assert answer.status_code == 302 and "#hand" in answer.headers["Location"]
    lines = as_mara.get(reverse("candidates", args=[visit.pk])).context["page"].lines
    assert names(visit) == [".".join(line.pick.split(".")[:2]) for line in lines[:10]]
