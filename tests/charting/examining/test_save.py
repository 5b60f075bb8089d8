"""One muscle is saved as it stands in its form; two people at it both see what the other did."""

import pytest

from charting.examination.models import MuscleFinding
from charting.examining.one_tap import OneTapError, read
from charting.visits.models import Visit

JSON = {"Accept": "application/json"}


@pytest.fixture
def row(listed):
    return listed("masseter.left", "temporalis.left")[0]


@pytest.fixture
def send(as_mara, url, row):
    def post(headers=JSON, **fields):
        return as_mara.post(f"{url}{row.pk}/", {"version": 1, **fields}, headers=headers)

    return post


def kept(row):
    row.refresh_from_db()
    return row


def test_a_tap_is_answered_with_what_changes_on_the_page(send, row):
    said = send(band="yes", spot="yes", referral="NT").json()
    assert said["saved"] == 2 and said["wrong"] == {}
    assert "not tested: referred sensation" in said["pieces"][f"verdict-{row.pk}"]
    assert "1: Masseter, left, incomplete" in said["pieces"]["strip"]
    assert "All normal: the 1 not examined" in said["pieces"]["list"]


def test_a_sign_that_is_not_sent_is_taken_back(send, row):
    send(band="yes", spot="no")
    send(version=2, spot="no")
    assert kept(row).signs == {"spot": "no"}


@pytest.mark.parametrize(
    ("name", "result"),
    [("active", "active"), ("latent", "latent"), ("tender", "tender_spot"), ("nothing", "not_met")],
)
def test_one_tap_sets_each_sign_and_leaves_the_others(send, row, name, result):
    said = send(set=name, twitch="yes").json()
    assert f'data-result="{result}"' in said["pieces"][f"verdict-{row.pk}"]
    assert kept(row).signs["twitch"] == "yes"


def test_a_result_whose_signs_say_something_else_is_refused():
    with pytest.raises(OneTapError, match="active: its signs give latent, not active"):
        read(
            '[[result]]\nid="active"\nwords="x"\ngives="active"\nsets={band="yes",spot="yes",referral="no",recognised="no"}'
        )
    with pytest.raises(OneTapError, match="unknown sign cord"):
        read('[[result]]\nid="a"\nwords="x"\ngives="active"\nsets={cord="yes"}')


def test_pressure_is_kept_with_its_unit_and_its_mean_is_told_in_both(send, row):
    # 1 kgf/cm2 = 98.0665 kPa: standard gravity (CGPM 1901) over 1 cm2. 2.5 and 2.7 make 2.6,
    # which is 254.97 kPa.
    said = send(unit="kgf/cm2", trial_1="2,5", trial_3="2.7", tip_cm2="1").json()
    assert said["mean"] == "mean of 2: 255 kPa = 2.60 kgf/cm²"
    assert kept(row).pressure == {"unit": "kgf/cm2", "trials": [2.5, 2.7], "tip_cm2": 1.0}


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("trial_2", "9000", "10 to 2000 kPa"),
        ("trial_1", "much", "10 to 2000 kPa"),
        ("tip_cm2", "1", "Enter a reading"),
        ("pain", "12", "0 to 10"),
        ("site", "nowhere", "does not know"),
    ],
)
def test_what_cant_be_is_named_and_the_rest_is_kept(send, row, field, value, words):
    answer = send(band="yes", unit="kPa", **{field: value})
    assert answer.status_code == 422
    assert words in " ".join(answer.json()["wrong"].values())
    assert kept(row).signs == {"band": "yes"}


def test_without_script_what_was_typed_wrong_comes_back_on_the_page(send, row):
    answer = send(headers={}, band="yes", unit="kPa", trial_2="much")
    assert answer.status_code == 422
    assert 'value="much"' in answer.content.decode()


def test_without_script_a_button_saves_and_goes_on(send, row, url):
    answer = send(headers={}, band="no", go="next")
    after = MuscleFinding.objects.get(visit=row.visit, position=2)
    assert answer.headers["Location"] == f"{url}?muscle={after.pk}#hand"
    assert kept(row).signs == {"band": "no"}


def test_two_people_both_see_what_the_other_recorded(send, row, felt, tom):
    felt(row, who=tom, version=1, band="no", pain=3)
    answer = send(band="yes")
    assert answer.status_code == 409
    said = answer.json()
    assert said["version"] == 2 and said["now"]["band"] == "no" and said["now"]["pain"] == "3"
    assert "not felt" in said["clash"] and "felt" in said["clash"] and "Pain on pressing" in said["clash"]
    assert kept(row).signs == {"band": "no"}
    plain = send(headers={}, band="yes")
    assert plain.status_code == 409 and "Somebody else saved this muscle" in plain.content.decode()
    assert 'name="version" value="2"' in plain.content.decode()


def test_all_that_are_left_are_normal_only_when_it_is_said_of_each(as_mara, url, row, listed, felt):
    other = listed("temporalis.left")[0]
    sent = {"row": [f"{row.pk}:1", f"{other.pk}:1"]}
    felt(other, band="yes")
    assert (
        "changed the list meanwhile"
        in as_mara.post(f"{url}nothing-found/", sent, follow=True).content.decode()
    )
    assert kept(row).signs == {}
    as_mara.post(f"{url}nothing-found/", {"row": f"{row.pk}:1"})
    assert kept(row).signs == {"band": "no", "spot": "no", "referral": "no"}


def test_the_other_side_comes_next_and_is_in_the_hand(as_mara, url, row):
    answer = as_mara.post(f"{url}add/", {"line": "masseter.right", "after": row.pk}, headers=JSON)
    made = MuscleFinding.objects.get(visit=row.visit, muscle="masseter", side="right")
    assert made.position == 2
    assert answer.json() == {"next": f"{url}?muscle={made.pk}#hand"}


def test_a_muscle_nobody_knows_is_said_on_the_page(as_mara, url):
    assert (
        "does not know this muscle"
        in as_mara.post(f"{url}add/", {"line": "x.right"}, follow=True).content.decode()
    )


def test_an_examined_muscle_stays_on_the_list(as_mara, url, row, felt):
    felt(row, band="no")
    assert "stays on the list" in as_mara.post(f"{url}{row.pk}/remove/", follow=True).content.decode()
    assert Visit.objects.get(pk=row.visit_id).muscle_findings.count() == 2
