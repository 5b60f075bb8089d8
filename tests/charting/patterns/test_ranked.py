"""Own patterns in the ranking and the note; a note that is signed never changes."""

import pytest
from django.urls import reverse

from bodymaps import atlas
from charting.notes import services as notes
from charting.notes.later_services import Entry, write_later
from charting.notes.models import SignedPaper
from charting.patterns import services
from charting.patterns.queries import atlas_for
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.patterns import drawn

# The drawing of the recorded visit, as a pattern.
ARM = {"lines": (("front", "core", ("humeral_head", "deltoid_insertion", "biceps_mid"), 46),)}


def words(response) -> str:
    return response.content.decode()


def lines(client, visit) -> dict[str, str]:
    page = client.get(reverse("candidates", args=[visit.pk]) + "?all=1").context["page"]
    return {line.name: line.own for line in page.lines}


def test_it_is_the_atlas_of_the_release_where_nobody_drew(practice):
    assert atlas_for(practice) is atlas.load()
    assert atlas_for(None) is atlas.load()


def test_it_is_one_atlas_as_long_as_nothing_changes(practice, writer):
    drawn.kept(writer)
    first = atlas_for(practice)
    assert first is atlas_for(practice)
    assert first.version == f"{atlas.load().version} + 1 own pattern"
    drawn.kept(writer)
    second = atlas_for(practice)
    assert second is not first
    assert second.muscles["own_biceps_fold"].sites[0].how_common == "own pattern, version 2"


def test_it_is_of_one_practice_only(writer, ines, visit):
    drawn.kept(writer, **ARM)
    assert atlas_for(ines.practice) is atlas.load()


def test_a_pattern_out_of_use_counts_no_more(practice, writer):
    row = drawn.kept(writer)
    services.set_use(who=writer, row=row, in_use=False, reason="Not seen again.")
    assert atlas_for(practice) is atlas.load()


def test_it_is_ranked_and_marked_on_the_line(as_mara, writer, visit):
    assert "Fold of the biceps" not in lines(as_mara, visit)
    drawn.kept(writer, **ARM)
    found = lines(as_mara, visit)
    assert found["Fold of the biceps"] == "own pattern, version 1"
    assert found["Infraspinatus"] == ""
    shown = words(as_mara.get(reverse("candidates", args=[visit.pk])))
    assert "own pattern, version 1" in shown
    assert f"{atlas.load().version} + 1 own pattern" in shown


def test_a_muscle_is_ranked_by_the_own_pattern_instead(as_mara, writer, visit):
    calf = ("back", "core", ("calf_mid", "achilles"), 40)
    assert "Infraspinatus" in lines(as_mara, visit)
    drawn.kept(writer, "infraspinatus", "infraspinatus", lines=(calf,))
    assert "Infraspinatus" not in lines(as_mara, visit)


def test_its_facts_say_where_it_comes_from_and_what_nobody_wrote_down(as_mara, writer, visit):
    drawn.kept(writer, **ARM)
    address = reverse("candidates", args=[visit.pk]) + "?pick=own_biceps_fold.right"
    for headers in ({}, {"HX-Request": "true"}):
        shown = words(as_mara.get(address, headers=headers))
        assert "Seen often here." in shown
        assert "Own observation, 12 patients, 2026" in shown
        assert "Make sure before needling" in shown
        assert "Innervation" not in shown


def test_the_note_marks_it_and_says_what_it_rests_on(as_mara, writer, visit):
    drawn.kept(writer, **ARM)
    assert "own pattern, version 1" in words(as_mara.get(reverse("note", args=[visit.pk])))
    shown = words(as_mara.get(reverse("note-sign", args=[visit.pk])))
    assert "(own pattern, version 1)" in shown
    assert "Own observation, 12 patients, 2026 (from memory)" in shown
    assert f"{atlas.load().version} + 1 own pattern" in shown


@pytest.fixture
def signed(writer, visit) -> Visit:
    drawn.kept(writer, **ARM)
    read = recorded.as_read(visit)
    notes.sign(who=writer, visit=visit, password=recorded.PASSWORD, read=read)
    return Visit.objects.get(pk=visit.pk)


def record_on(response) -> str:
    """The part of the page that is the record: without the form, whose token changes each time."""
    return words(response).split('<div class="record">')[1].split('id="addenda"')[0]


def changes(writer) -> list:
    calf = ("back", "core", ("calf_mid", "achilles"), 40)

    def other_version():
        drawn.kept(writer, lines=(calf,), reason="Seen elsewhere.")

    def out_of_use():
        row = services.queries.latest_version(writer.practice, "own_biceps_fold")
        services.set_use(who=writer, row=row, in_use=False, reason="Not seen again.")

    def muscle_replaced():
        drawn.kept(writer, "infraspinatus", "infraspinatus", lines=(calf,))

    return [other_version, out_of_use, muscle_replaced]


def test_a_signed_note_keeps_every_byte_and_word_whatever_becomes_of_the_pattern(as_mara, writer, signed):
    address = reverse("note", args=[signed.pk])
    paper = reverse("note-pdf", args=[signed.pk])
    page, pdf = record_on(as_mara.get(address)), as_mara.get(paper).content
    kept = list(SignedPaper.objects.order_by("pk").values_list("pdf", "sha256"))
    assert "(own pattern, version 1)" in page
    for change in changes(writer):
        change()
        assert record_on(as_mara.get(address)) == page
        assert as_mara.get(paper).content == pdf
    assert list(SignedPaper.objects.order_by("pk").values_list("pdf", "sha256")) == kept


def test_an_addendum_prints_the_ranking_as_it_was_signed(as_mara, writer, signed):
    for change in changes(writer):
        change()
    note = signed.signed_note
    write_later(who=writer, note=note, entry=Entry("addendum", "Better."), password=recorded.PASSWORD)
    page = record_on(as_mara.get(reverse("note", args=[signed.pk])))
    assert "(own pattern, version 1)" in page
    assert "own pattern, version 2" not in page


def test_a_pattern_that_changes_while_somebody_signs_stops_the_signing(writer, visit):
    """What is signed is what was read."""
    read = recorded.as_read(visit)
    drawn.kept(writer, **ARM)
    with pytest.raises(notes.Stale):
        notes.sign(who=writer, visit=visit, password=recorded.PASSWORD, read=read)
