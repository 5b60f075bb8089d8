"""The review of a practice: who is counted, what the filters do, and what stays blank."""

from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from bodymaps import kinds
from charting.audit.models import AuditEntry
from charting.drawing.models import DrawnCells
from charting.patients.models import Patient
from charting.review.forms import ReviewForm
from charting.review.pages import review_page
from charting.staff.models import User
from tests.charting.people import signed_in
from tests.charting.review.practices import HAND, LOW_BACK, NECK, PERIOD, people, visit_of

YEAR = {"first": "2026-03", "last": "2026-06"}


def seen(user, **said):
    form = ReviewForm({**YEAR, **said}, user=user)
    assert form.is_valid(), form.errors
    return review_page(user, form.chosen())


def regions(page):
    return {row.label: row.people.words for row in page.people.places.rows} if page.people else None


def test_it_counts_people_and_not_their_drawings(mara):
    people(mara, 1, NECK, visits=30)
    assert seen(mara).people is None
    people(mara, 11, NECK, visits=3)
    page = seen(mara)
    assert page.count.words == "10 to 14"
    assert regions(page)["Neck"] == "10 to 14"


def test_a_place_of_fewer_than_five_is_blank_on_map_and_table(mara):
    people(mara, 10, NECK)
    people(mara, 4, HAND)
    page = seen(mara)
    assert set(regions(page)) >= {"Neck"} and "right wrist and hand" not in regions(page)
    front, back = page.people.places.maps
    assert front.words == "Figure from the front: no place is shaded."
    assert "10 to 14 people at one place" in back.words


def test_a_record_that_was_merged_is_no_second_person(mara):
    visits = people(mara, 9, NECK)
    more = people(mara, 2, NECK)
    # Chained: the last into the one before, that into the first.
    Patient.objects.filter(pk=more[1].patient_id).update(merged_into=more[0].patient_id)
    Patient.objects.filter(pk=more[0].patient_id).update(merged_into=visits[0].patient_id)
    assert seen(mara).count.words == "5 to 9"


def test_only_signed_visits_of_the_period_count(mara):
    visits = people(mara, 10, NECK)
    assert seen(mara).count.words == "10 to 14"
    assert seen(mara, first="2026-05", last="2026-05").count.words == "10 to 14"
    assert seen(mara, first="2026-03", last="2026-04").people is None
    for visit in visits[:3]:
        type(visit).objects.filter(pk=visit.pk).update(signed_at=None)
    assert seen(mara).count.words != "10 to 14"


def test_months_are_those_of_the_practice(mara):
    # Winterthal is two hours ahead in June: 22:30 UTC on 31 May is 00:30 on 1 June there.
    people(mara, 10, NECK, at=datetime(2026, 5, 31, 22, 30, tzinfo=UTC))
    assert seen(mara, first="2026-06").count.words == "10 to 14"
    assert seen(mara, last="2026-05").people is None


def test_another_practice_sees_nothing_of_it(mara, ines):
    people(mara, 12, NECK)
    assert seen(ines).people is None and seen(ines).not_counted == 0


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ({"sex": "male"}, "10 to 14"),
        ({"ages": "65"}, "10 to 14"),
        ({"ages": "35"}, "20 to 24"),
        ({"kind": "burning"}, "10 to 14"),
        ({"part": "neck"}, "20 to 24"),
        ({"part": "low_back", "kind": "burning"}, "10 to 14"),
        ({"part": "neck", "kind": "burning"}, "too few"),
        ({"sex": "male", "ages": "65"}, "too few"),
    ],
)
def test_the_filters_choose_people(mara, said, count):
    people(mara, 10, NECK)
    people(mara, 10, NECK, sex="male")
    people(mara, 10, LOW_BACK, born=date(1960, 5, 12))
    assert seen(mara, **said).count.words == count


def test_an_age_is_that_of_the_day_of_the_visit(mara):
    # Turns 65 on the very day of the visit.
    people(mara, 8, NECK, born=date(1961, 5, 12))
    people(mara, 8, NECK, born=date(1961, 5, 13))
    assert seen(mara, ages="65").count.words == seen(mara, ages="50").count.words == "5 to 9"


def test_a_clinician_who_left_can_still_be_chosen(mara, tom):
    people(tom, 10, NECK)
    people(mara, 20, NECK)
    User.objects.filter(pk=tom.pk).update(is_active=False)
    assert seen(mara, clinician=str(tom.pk)).count.words == "10 to 14"


def test_the_kind_of_pain_decides_what_is_on_the_map(mara):
    people(mara, 10, NECK, LOW_BACK)
    assert set(regions(seen(mara))) >= {"Neck", "Low back and tailbone"}
    assert "Neck" not in regions(seen(mara, kind="burning"))
    assert {one.id for one in kinds.symptoms()} >= {"burning"}


def test_it_asks_as_much_of_the_database_for_many_as_for_few(mara):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            seen(mara, ages="35", sex="female")
        return len(queries)

    people(mara, 10, NECK)
    few = asked()
    people(mara, 60, NECK, HAND, visits=2)
    assert asked() == few <= 22


def test_cells_of_another_figure_are_not_read(mara):
    people(mara, 12, NECK)
    DrawnCells.objects.update(figure="another figure")
    page = seen(mara)
    assert page.not_counted == 12 and not page.people.places.rows


def test_the_page_tells_and_each_look_is_written_down(mara):
    people(mara, 12, NECK)
    client = signed_in(mara)
    page = client.get(f"/review/?{PERIOD}").content.decode()
    assert "Practice review: March 2026 to June 2026" in page and "10 to 14 people" in page
    assert "Vogt" not in page and 'src="data:image/png;base64,' in page
    client.get(f"/review/file/?{PERIOD}")
    looks = AuditEntry.objects.filter(object_type="practice").values_list("action", flat=True)
    assert list(looks) == ["opened review", "exported review"]


def test_a_choice_that_cannot_be_says_what_to_mend_and_keeps_the_rest(mara):
    answer = signed_in(mara).get("/review/?first=2026-06&last=2026-03&sex=male")
    assert answer.status_code == 422
    assert "The last month lies before the first" in answer.content.decode()
    assert '<option value="male" selected>' in answer.content.decode()
    answer = signed_in(mara).get("/review/?part=wing")
    assert answer.status_code == 422 and "Choose one of the list." in answer.content.decode()


def test_the_desk_does_not_see_it_nor_the_way_to_it(mara, poll):
    assert "/review/" in signed_in(mara).get("/practice/").content.decode()
    assert "/review/" not in signed_in(poll).get("/practice/").content.decode()
    assert signed_in(poll).get("/review/").status_code == 403


def test_a_visit_without_a_drawing_is_no_error(mara):
    for visit in people(mara, 12, NECK):
        visit_of(visit.patient, mara)
    assert seen(mara).count.words == "10 to 14"
