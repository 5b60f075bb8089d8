"""A pattern is drawn on the board: what is sent is kept, nothing is changed, and it becomes a version."""

import json
import uuid

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, connection, transaction
from django.urls import reverse

from bodymaps import atlas, geometry
from charting.drafts.models import Draft
from charting.patterns import queries, services
from charting.patterns.models import TABLES, PatternDrawing, PatternStroke, PatternVersion
from tests.charting import recorded
from tests.charting.patterns import drawn
from tests.charting.people import signed_in


def address(name: str, drawing: PatternDrawing) -> str:
    return reverse(f"patterns:{name}", args=[drawing.pk])


def send(client, drawing, *events):
    body = json.dumps({"events": list(events)})
    return client.post(address("save", drawing), body, content_type="application/json")


def begin(client, **said):
    told = {"id": str(uuid.uuid4()), "pattern": "", "name": "", "start": "empty", **said}
    return client.post(reverse("patterns:draw"), told)


def keep(client, drawing, **said):
    return client.post(address("finish", drawing), {**drawn.SAID, "after": 0, **said})


def test_it_goes_from_the_name_to_the_version_in_use(as_mara, writer):
    answer = begin(as_mara, name="Fold of the biceps")
    drawing = PatternDrawing.objects.get()
    assert answer.url == address("board", drawing)
    board = as_mara.get(answer.url).context["board"]
    assert [kind["id"] for kind in board["kinds"]] == ["core", "spillover"]
    assert board["urls"]["done"] == address("finish", drawing)
    drawn.draw(writer, drawing)
    page = as_mara.get(address("finish", drawing)).context["page"]
    assert [sentence.split(":")[0] for sentence in page.sentences] == ["Core", "Spillover"]
    assert keep(as_mara, drawing).url == reverse("patterns:pattern", args=["own_fold_of_the_biceps"])
    [row] = PatternVersion.objects.all()
    assert (row.number, row.in_use, row.writer, row.reason) == (1, True, "Mara Steiner", "Seen often here.")
    assert queries.as_own(row).zones == queries.drawn(drawing).zones


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({}, "Choose a muscle above, or give the new pattern a name."),
        ({"name": "…"}, "A name needs a letter or a digit."),
        ({"name": "x" * 81}, "at most 80 characters"),
        ({"name": "A", "start": ""}, "Choose what to begin with."),
        ({"pattern": "no_such"}, "Select a valid choice"),
    ],
)
def test_it_begins_nothing_without_a_name(as_mara, writer, said, words):
    answer = begin(as_mara, **said)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not PatternDrawing.objects.exists()


def test_it_sends_who_names_a_known_pattern_anew_to_that_pattern(as_mara, writer):
    drawn.kept(writer)
    answer = begin(as_mara, name="FOLD of the biceps")
    assert "There is a pattern Fold of the biceps already" in answer.content.decode()
    answer = begin(as_mara, name="INFRAspinatus")
    assert "There is a pattern infraspinatus already" in answer.content.decode()


def test_a_double_tap_begins_one_drawing(as_mara, writer):
    said = {"id": str(uuid.uuid4()), "name": "Fold of the biceps"}
    assert begin(as_mara, **said).url == begin(as_mara, **said).url
    assert PatternDrawing.objects.count() == 1


def test_the_link_of_the_atlas_has_the_muscle_chosen(as_mara, writer):
    form = as_mara.get(reverse("patterns:draw") + "?muscle=infraspinatus").context["form"]
    assert form["pattern"].value() == "infraspinatus"


def test_it_begins_with_the_pattern_of_the_atlas_as_it_stands(writer):
    drawing = drawn.begun(writer, "infraspinatus", "infraspinatus", as_it_stands=True)
    before = queries.zones_now(writer.practice, "infraspinatus")
    after = queries.drawn(drawing).zones
    assert set(after) == set(before)
    for key, area in before.items():
        both = geometry.overlap(area, after[key]).area
        assert both / geometry.unite([area, after[key]]).area > 0.98, key


def test_it_begins_a_new_version_with_the_lines_of_the_one_before(writer):
    first = drawn.kept(writer)
    again = drawn.begun(writer, as_it_stands=True)
    assert queries.drawn(again).zones == queries.as_own(first).zones
    assert not set(_ids(again)) & set(_ids(first.drawing))


def test_it_refuses_to_put_something_else_in_place_of_a_line_it_began_with(as_mara, writer):
    again = drawn.begun(writer, drawn.kept(writer).pattern, as_it_stands=True)
    other = {**recorded.stroke(1, *drawn.CORE), "id": str(_ids(again)[0])}
    told = send(as_mara, again, other).json()
    assert [one["id"] for one in told["refused"]] == [other["id"]]
    assert PatternStroke.objects.filter(drawing=again).count() == 2


def _ids(drawing):
    return PatternStroke.objects.filter(drawing=drawing).values_list("event_id", flat=True)


def test_it_refuses_a_kind_of_pain_and_an_answer(as_mara, writer):
    drawing = drawn.begun(writer)
    ache = recorded.stroke(1, *recorded.SHOULDER_ACHE)
    answer = {"type": "answer", "id": str(uuid.uuid4()), "seq": 2, "intensities": {}, "no_pain": False}
    good = recorded.stroke(3, *drawn.CORE)
    told = send(as_mara, drawing, ache, answer, good, 7).json()
    assert told["saved"] == [good["id"]]
    assert [each["id"] for each in told["refused"]] == [ache["id"], answer["id"], ""]
    assert "core, spillover" in told["refused"][0]["why"]


def test_a_visit_takes_no_zone(visit, mara):
    from charting.drawing.services import save_events

    core = recorded.stroke(90, *drawn.CORE)
    assert not save_events(who=mara, visit=visit, drawn_by="clinician", sent=[core]).saved


def test_a_resend_is_harmless_and_another_content_under_the_same_id_is_refused(as_mara, writer):
    drawing = drawn.begun(writer)
    line = recorded.stroke(1, *drawn.CORE)
    assert send(as_mara, drawing, line).json() == send(as_mara, drawing, line).json()
    assert PatternStroke.objects.count() == 1
    changed = {**line, "nib_mm": 12}
    assert "another content" in send(as_mara, drawing, changed).json()["refused"][0]["why"]


def test_what_is_taken_back_is_gone_from_the_zones_and_not_from_the_record(as_mara, writer):
    drawing = drawn.begun(writer)
    core, spill = drawn.draw(writer, drawing)
    gone = {
        "type": "withdraw",
        "id": str(uuid.uuid4()),
        "seq": 3,
        "strokes": [spill["id"]],
        "restores": False,
    }
    assert send(as_mara, drawing, gone).json()["saved"] == [gone["id"]]
    assert set(queries.drawn(drawing).zones) == {("front", "core")}
    assert PatternStroke.objects.count() == 2
    assert len(as_mara.get(address("board", drawing)).context["board"]["strokes"]) == 2


def test_it_holds_as_much_as_a_visit(writer, monkeypatch):
    from bodymaps import strokes

    monkeypatch.setattr(strokes, "LIMITS", strokes.LIMITS._replace(strokes_per_visit=1))
    drawing = drawn.begun(writer)
    sent = [recorded.stroke(seq, *drawn.CORE) for seq in (1, 2)]
    outcome = services.save_events(who=writer, drawing=drawing, sent=sent)
    assert (len(outcome.saved), len(outcome.refused)) == (1, 1)


def test_a_drawing_that_was_kept_takes_nothing_more(as_mara, writer):
    row = drawn.kept(writer)
    told = send(as_mara, row.drawing, recorded.stroke(9, *drawn.CORE)).json()
    assert "kept as a version" in told["refused"][0]["why"]
    for name in ("board", "finish"):
        assert as_mara.get(address(name, row.drawing)).url == reverse("patterns:pattern", args=[row.pattern])


MISSING = {
    "work": "Write where this pattern comes from.",
    "chapter": "Write the chapter, the page, or when it was observed.",
    "status": "Choose whether you have checked the source.",
    "reason": "Write why the practice wants its own pattern.",
}


@pytest.mark.parametrize(("member", "words"), MISSING.items())
@pytest.mark.parametrize("empty", ["", "  "])
def test_it_keeps_nothing_without_source_and_reason(as_mara, writer, member, words, empty):
    drawing = drawn.begun(writer)
    drawn.draw(writer, drawing)
    answer = keep(as_mara, drawing, **{member: empty})
    assert answer.status_code == 422
    if member != "status" or not empty:
        assert words in answer.content.decode()
    assert not PatternVersion.objects.exists()


def test_it_keeps_no_pattern_without_a_core(as_mara, writer):
    drawing = drawn.begun(writer)
    drawn.draw(writer, drawing, drawn.SPILLOVER)
    answer = keep(as_mara, drawing)
    assert answer.status_code == 422
    assert "has no core zone" in answer.content.decode()
    assert "Seen often here." in answer.content.decode()


def test_it_asks_once_more_when_the_core_lies_on_the_left(as_mara, writer):
    drawing = drawn.begun(writer)
    line = recorded.stroke(1, *drawn.CORE)
    mirror = 2 * atlas.load().midlines["front"]
    line["points"] = [[mirror - x, *rest] for x, *rest in line["points"]]
    assert not services.save_events(who=writer, drawing=drawing, sent=[line]).refused
    assert "lies on the left" in keep(as_mara, drawing).content.decode()
    assert not PatternVersion.objects.exists()
    assert keep(as_mara, drawing, other_side="on").status_code == 302


def test_a_second_tap_keeps_one_version(as_mara, writer):
    drawing = drawn.begun(writer)
    drawn.draw(writer, drawing)
    told = {**drawn.SAID, "after": 0}
    first = services.keep(who=writer, drawing=drawing, **told)
    assert services.keep(who=writer, drawing=drawing, **told) == first
    assert keep(as_mara, drawing).status_code == 302
    assert PatternVersion.objects.count() == 1


def test_whoever_kept_another_version_meanwhile_is_not_overrun(as_mara, writer):
    mine = drawn.begun(writer)
    drawn.draw(writer, mine)
    drawn.kept(writer, reason="Somebody else's.")
    answer = keep(as_mara, mine)
    assert answer.status_code == 422
    assert "Somebody kept version 1 of this pattern meanwhile" in answer.content.decode()
    assert answer.context["form"]["after"].value() == "1"
    assert keep(as_mara, mine, after=1).status_code == 302
    assert [row.number for row in queries.versions_of(writer, mine.pattern)] == [2, 1]


def test_words_half_typed_are_brought_back(as_mara, writer):
    drawing = drawn.begun(writer)
    drawn.draw(writer, drawing)
    as_mara.post(
        reverse("draft-keep"),
        {"draft_key": services.draft_key(drawing), "reason": "Half a sent", "after": "7"},
    )
    form = as_mara.get(address("finish", drawing)).context["form"]
    assert (form["reason"].value(), form["after"].value()) == ("Half a sent", 0)
    assert Draft.objects.count() == 1
    keep(as_mara, drawing)
    assert not Draft.objects.exists()


def test_a_drawing_that_nobody_kept_stands_on_the_list_until_it_is_cleared(as_mara, writer):
    drawing = drawn.begun(writer)
    assert as_mara.get(reverse("patterns:list")).context["page"].unfinished == ()
    ids = [line["id"] for line in drawn.draw(writer, drawing)]
    [one] = as_mara.get(reverse("patterns:list")).context["page"].unfinished
    assert one.id == drawing.pk
    gone = {"type": "withdraw", "id": str(uuid.uuid4()), "seq": 9, "strokes": ids, "restores": False}
    send(as_mara, drawing, gone)
    assert as_mara.get(reverse("patterns:list")).context["page"].unfinished == ()


def test_it_is_taken_out_of_use_and_brought_back_by_versions(as_mara, writer):
    row = drawn.kept(writer)
    use = reverse("patterns:use", args=[row.pattern])
    assert as_mara.post(use, {"row": row.pk, "reason": ""}).status_code == 422
    assert as_mara.post(use, {"row": row.pk, "reason": "Not seen again."}).status_code == 302
    out = queries.latest_version(writer.practice, row.pattern)
    assert (out.number, out.in_use, out.use_reason) == (2, False, "Not seen again.")
    assert out.reason == row.reason
    # Somebody whose page is older does not turn it round by accident.
    stale = as_mara.post(use, {"row": row.pk, "reason": "Again."})
    assert "Somebody wrote version 2 meanwhile" in stale.content.decode()
    assert as_mara.post(use, {"row": out.pk, "reason": "Seen again."}).status_code == 302
    back = queries.latest_version(writer.practice, row.pattern)
    assert (back.number, back.in_use, back.zones) == (3, True, row.zones)
    said = [
        one.what
        for one in as_mara.get(reverse("patterns:pattern", args=[row.pattern])).context["page"].versions
    ]
    assert said == ["brought back into use", "taken out of use", "drawn"]


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.__name__)
@pytest.mark.parametrize("words", ["UPDATE {} SET id = id", "DELETE FROM {}"])
def test_it_is_guarded_by_the_database_itself(writer, table, words):
    row = drawn.kept(writer)
    gone = {"type": "withdraw", "id": str(uuid.uuid4()), "seq": 9, "strokes": [str(uuid.uuid4())]}
    other = drawn.begun(writer)
    assert services.save_events(who=writer, drawing=other, sent=[gone]).saved
    drawn.a_brought_file(row.practice)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        connection.cursor().execute(words.format(table._meta.db_table))


def test_an_earlier_version_can_be_looked_at(as_mara, writer):
    first = drawn.kept(writer)
    calf = ("back", "core", ("calf_mid", "achilles"), 40)
    drawn.kept(writer, lines=(calf,), reason="Seen elsewhere.")
    address = reverse("patterns:pattern", args=[first.pattern])
    earlier = as_mara.get(address + "?version=1")
    assert earlier.context["page"].reason == "Seen often here."
    assert "Version 2 counts" in earlier.content.decode()
    for query in ("", "?version=2", "?version=7", "?version=x"):
        latest = as_mara.get(address + query)
        assert latest.context["page"].reason == "Seen elsewhere."
        assert "an earlier one" not in latest.content.decode()


def test_nobody_without_the_right_writes_and_everybody_here_reads(as_mara, writer, tom, poll):
    row = drawn.kept(writer)
    for user in (tom, poll):
        client = signed_in(user)
        assert "Fold of the biceps" in client.get(reverse("patterns:list")).content.decode()
        assert client.get(reverse("patterns:pattern", args=[row.pattern])).status_code == 200
        assert begin(client, name="Other").status_code == 403
        with pytest.raises(PermissionDenied):
            services.set_use(who=user, row=row, in_use=False, reason="No.")


def test_another_practice_sees_nothing_of_it(writer, ines, as_ines):
    row = drawn.kept(writer)
    ines.writes_patterns = True
    ines.save()
    assert "Fold of the biceps" not in as_ines.get(reverse("patterns:list")).content.decode()
    assert "own_biceps_fold" not in as_ines.get(reverse("patterns:export")).content.decode()
    assert as_ines.get(reverse("patterns:pattern", args=[row.pattern])).status_code == 404
    for name in ("board", "words", "key", "finish"):
        assert as_ines.get(address(name, row.drawing)).status_code == 404
    assert send(as_ines, row.drawing).status_code == 404
    # The same name over there is another pattern.
    assert drawn.kept(ines).number == 1


def test_a_manager_gives_the_right_and_takes_it_back(as_vera, mara, poll, ines):
    grant = reverse("patterns:writers")
    assert as_vera.post(grant, {"user": mara.pk, "writes": "on"}).status_code == 302
    mara.refresh_from_db()
    assert mara.writes_patterns
    assert begin(signed_in(mara), name="Fold").status_code == 302
    as_vera.post(grant, {"user": mara.pk})
    mara.refresh_from_db()
    assert not mara.writes_patterns
    assert begin(signed_in(mara), name="Fold").status_code == 403
    assert as_vera.post(grant, {"user": poll.pk, "writes": "on"}).status_code == 403
    assert as_vera.post(grant, {"user": ines.pk, "writes": "on"}).status_code == 404
    assert as_vera.post(grant, {"user": "nobody"}).status_code == 404


def test_what_a_device_left_unsent_can_be_read_and_sent_later(as_mara, writer):
    """The page that sends it gets the same key and the address that takes it."""
    drawing = drawn.begun(writer)
    device = as_mara.get(address("board", drawing)).context["board"]["device"]
    assert as_mara.get(device["key_url"]).json() == device
    line = {"events": [recorded.stroke(1, *drawn.CORE)], "waiting": 1}
    sent = as_mara.post(device["save_url"], json.dumps(line), content_type="application/json").json()
    assert sent["saved"] == [line["events"][0]["id"]]
    assert queries.drawn(drawing).zones


@pytest.mark.parametrize("body", ["{", '{"events": 3}', '{"events": [], "waiting": -1}'])
def test_it_says_what_is_wrong_with_a_request_that_is_none(as_mara, writer, body):
    drawing = drawn.begun(writer)
    answer = as_mara.post(address("save", drawing), body, content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()["error"]
