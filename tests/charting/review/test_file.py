"""The review as a file: what the page shows, and nothing that it does not show."""

import csv
import io

from tests.charting import recorded
from tests.charting.people import signed_in
from tests.charting.review.practices import HAND, NECK, PERIOD, people, scored


def saved(user, query=PERIOD):
    answer = signed_in(user).get(f"/review/file/?{query}")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert 'filename="practice-review-2026-03-to-2026-06.csv"' in answer["Content-Disposition"]
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))


def test_it_holds_every_table_of_the_page(mara):
    for visit in people(mara, 12, NECK):
        scored(visit, 7, 4)
        recorded.treat(visit, "pressure", "infraspinatus.right")
    people(mara, 3, HAND)
    rows = saved(mara)
    assert {len(row) for row in rows} == {7}
    tables = {row[0] for row in rows[1:]}
    assert tables == {
        "Chosen", "People", "Where it hurts", "Outcomes", "Muscles treated",
        "Treatments", "Needling", "Complete",
    }  # fmt: skip
    assert ["Where it hurts", "Neck", "People", "10 to 14", "", "10", "14"] in rows
    assert not any("wrist" in cell or "Vogt" in cell for row in rows for cell in row)


def test_a_choice_of_too_few_people_holds_no_people(mara):
    people(mara, 4, NECK)
    rows = saved(mara)
    assert ["People", "All chosen", "People", "too few", "", "", ""] in rows
    assert not {"Where it hurts", "Outcomes", "Muscles treated"} & {row[0] for row in rows}


def test_a_name_that_is_a_formula_does_no_harm(mara):
    mara.first_name = "=1+1"
    mara.save()
    people(mara, 12, NECK)
    rows = saved(mara, f"{PERIOD}&clinician={mara.pk}")
    assert ["Chosen", "Clinician", "", "'=1+1 Steiner", "", "", ""] in rows
