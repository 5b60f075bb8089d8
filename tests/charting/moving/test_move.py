"""A drawing on the wrong chart: struck there, copied to the right one, and nothing of it lost."""

import uuid
from datetime import date

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.utils import timezone

from bodymaps.strokes import LIMITS
from charting.audit.models import AuditEntry
from charting.candidates.queries import ranked
from charting.drawing.models import TABLES, EnteredInError, PaperSheet, StoredStroke
from charting.drawing.queries import drawing_of, kept_of, state_of_drawing
from charting.drawing.services import save_events
from charting.drawing.strikes import struck_and_moved
from charting.handover import services as handover
from charting.handover.access import digest
from charting.handover.models import HandOver
from charting.moving.services import NotMoved, bring_back, move_drawing
from charting.notes.queries import recorded_in
from charting.patients.models import Patient
from charting.visits.models import Visit
from charting.visits.services import VisitSigned
from tests.charting import recorded
from tests.charting.drawing.strokes import answer, events, stroke, withdrawal

WHY = "Drawn on the wrong chart."


@pytest.fixture
def right(practice, mara) -> Visit:
    """The open visit of the person who really drew."""
    person = Patient.objects.create(
        practice=practice,
        record_number=1043,
        family_name="Brunner",
        given_names="Urs",
        birth_date=date(1966, 2, 9),
        search_name="urs brunner",
    )
    return Visit.objects.create(patient=person, clinician=mara)


def act(of: str, seq: int, strokes: list[str], **more):
    return {"type": of, "id": str(uuid.uuid4()), "seq": seq, "strokes": strokes, **more}


def draw_everything(visit, mara) -> list[dict]:
    """Something of every kind of entry, on all three layers, with a paper among them."""
    one, two, gone = stroke(1), stroke(2, view="back", kind="burning"), stroke(3, kind="tingling")
    sent = [one, two, gone, withdrawal(4, gone["id"])]
    sent += [stroke(5, mode="erase", kind=None, nib_mm=10), answer(6, ache=4)]
    sent += [act("group", 7, [one["id"], two["id"]], together=True)]
    said = {"now": {"ache": 6}, "course": "varies", "link": "together", "link_to": [two["id"]]}
    sent += [act("area", 8, [one["id"]], answers=said)]
    save(visit, mara, "patient", *sent)
    found = stroke(9, kind="less_feeling", points=8)
    save(visit, mara, "clinician", found)
    copied = stroke(10, kind="stabbing", view="back")
    save(visit, mara, "patient", copied, sheet=a_sheet(visit, mara))
    return [*sent, found, copied]


def a_sheet(visit, mara) -> PaperSheet:
    return PaperSheet.objects.create(
        visit=visit, drawn_by="patient", drawn_on=date(2026, 5, 4), entered_by=mara
    )


def save(visit, mara, layer, *sent, **more):
    outcome = save_events(who=mara, visit=visit, drawn_by=layer, sent=sent, **more)
    assert not outcome.refused


def shown(visit):
    """What a drawing looks like and says, without ids."""
    drawing = drawing_of(visit)
    marks = [(mark.layer, mark.view, mark.kind, mark.area.wkt) for mark in drawing.marks]
    said = [(each.answers.now, each.answers.course) for each in drawing.said]
    return marks, drawing.intensities, said, len(drawing.decisions), len(drawing.sheets)


def every_row():
    return {table: list(table.objects.order_by("pk").values()) for table in (*TABLES, PaperSheet)}


def test_the_right_chart_shows_what_the_wrong_one_showed_and_the_wrong_one_nothing(blank, right, mara):
    draw_everything(blank, mara)
    before = shown(blank)
    assert len({layer for layer, *_ in before[0]}) == 2
    move_drawing(who=mara, visit=blank, to=right, reason=WHY)
    assert shown(right) == before
    assert drawing_of(blank).is_empty and kept_of(blank).last_seq == 0
    assert (state_of_drawing(blank), state_of_drawing(right)) == ("", "drawn")


def test_no_row_is_changed_or_removed(blank, right, mara):
    draw_everything(blank, mara)
    before = every_row()
    move_drawing(who=mara, visit=blank, to=right, reason=WHY)
    after = every_row()
    for table, rows in before.items():
        ids = [row["id"] for row in rows]
        assert [row for row in after[table] if row["id"] in ids] == rows
        assert len(after[table]) == 2 * len(rows)


def test_copies_keep_id_layer_order_and_paper_and_stand_after_what_is_there(blank, right, mara):
    sent = draw_everything(blank, mara)
    save(right, mara, "patient", stroke(1, points=2), stroke(2, points=2))
    move_drawing(who=mara, visit=blank, to=right, reason=WHY)
    rows = [row for table in TABLES for row in table.objects.filter(visit=right, seq__gt=2)]
    rows.sort(key=lambda row: row.seq)
    assert [str(row.event_id) for row in rows] == [each["id"] for each in sent]
    assert [row.seq for row in rows] == list(range(3, 3 + len(sent)))
    assert [row.drawn_by for row in rows] == [*["patient"] * 8, "clinician", "patient"]
    sheet = rows[-1].sheet
    assert (sheet.visit, sheet.drawn_on, sheet.entered_by) == (right, date(2026, 5, 4), mara)


def test_the_wrong_chart_ranks_nothing_and_the_right_one_does(visit, right, mara):
    assert ranked(visit).ranking.muscles
    recorded.answer_danger_screen(right)
    move_drawing(who=mara, visit=visit, to=right, reason=WHY)
    assert not ranked(visit).ranking.muscles
    assert ranked(right).ranking.muscles


def test_both_charts_say_so_and_the_wrong_one_does_not_name_the_other(blank, right, mara, as_mara):
    sent = draw_everything(blank, mara)
    move_drawing(who=mara, visit=blank, to=right, reason=WHY)
    struck, moved = struck_and_moved(blank), struck_and_moved(right)
    assert [each["what"] for each in (*struck, *moved)] == ["struck", "moved here"]
    assert f"({len(sent)} entries) was entered in error; struck on " in struck[0]["words"]
    assert struck[0]["words"].endswith(f"by Mara Steiner: {WHY}")
    assert "was moved here from another chart on " in moved[0]["words"]
    pages = [as_mara.get(f"/visits/{each.pk}/drawing-step/").content.decode() for each in (blank, right)]
    assert "was entered in error; struck on" in pages[0] and "Brunner" not in pages[0]
    assert "was moved here from another chart" in pages[1] and "Keller" not in pages[1]
    assert "Brunner" not in str(recorded_in(blank)) and "Keller" not in str(recorded_in(right))


def test_each_visit_gets_its_audit_row(blank, right, mara):
    sent = draw_everything(blank, mara)
    strike = move_drawing(who=mara, visit=blank, to=right, reason=WHY)
    rows = AuditEntry.objects.filter(action__in=("struck drawing", "received drawing")).order_by("pk")
    assert [(row.action, row.object_id) for row in rows] == [
        ("struck drawing", str(blank.pk)),
        ("received drawing", str(right.pk)),
    ]
    assert all(row.detail == {"events": len(sent), "strike": str(strike.pk)} for row in rows)


def test_without_another_chart_it_is_only_struck(blank, mara):
    draw_everything(blank, mara)
    rows = every_row()
    move_drawing(who=mara, visit=blank, to=None, reason=WHY)
    assert drawing_of(blank).is_empty and every_row() == rows


def test_the_right_person_draws_after_it_as_on_a_fresh_sheet(blank, mara):
    full = [stroke(n, points=2) for n in range(1, LIMITS.strokes_per_visit + 1)]
    save(blank, mara, "patient", *full)
    move_drawing(who=mara, visit=blank, to=None, reason=WHY)
    own = stroke(1)
    save(blank, mara, "patient", own)
    assert [each.id for each in drawing_of(blank).strokes] == [own["id"]]


class TestBack:
    def test_moved_back_it_is_as_it_was(self, blank, right, mara):
        draw_everything(blank, mara)
        before = shown(blank)
        first = move_drawing(who=mara, visit=blank, to=right, reason=WHY)
        move_drawing(who=mara, visit=right, to=blank, reason="It was hers after all.", only=first)
        assert shown(blank) == before
        assert drawing_of(right).is_empty
        assert [each["what"] for each in struck_and_moved(blank)] == ["struck", "moved here"]
        assert [each["what"] for each in struck_and_moved(right)] == ["moved here", "struck"]

    def test_there_and_back_twice_loses_nothing(self, blank, right, mara):
        draw_everything(blank, mara)
        before = shown(blank)
        here, there = blank, right
        for _ in range(4):
            move_drawing(who=mara, visit=here, to=there, reason=WHY)
            here, there = there, here
        assert shown(blank) == before

    def test_the_other_persons_own_lines_stay_and_what_was_undone_there_goes_along(self, blank, right, mara):
        own, theirs = stroke(1, view="back"), stroke(1)
        save(right, mara, "patient", own)
        save(blank, mara, "patient", theirs, stroke(2, kind="burning", points=9))
        first = move_drawing(who=mara, visit=blank, to=right, reason=WHY)
        save(right, mara, "patient", withdrawal(9, theirs["id"]))
        move_drawing(who=mara, visit=right, to=blank, reason=WHY, only=first)
        assert [each.id for each in drawing_of(right).strokes] == [own["id"]]
        assert [each.kind for each in drawing_of(blank).strokes] == ["burning"]


class TestRefused:
    def refused(self, words, **how):
        before = every_row()
        with pytest.raises(NotMoved, match=words):
            move_drawing(**how)
        assert every_row() == before and not EnteredInError.objects.exists()

    def test_without_the_right_to_treat(self, blank, right, poll, vera, mara):
        draw_everything(blank, mara)
        for who in (poll, vera):
            with pytest.raises(PermissionDenied, match="treat"):
                move_drawing(who=who, visit=blank, to=right, reason=WHY)

    def test_from_a_signed_visit_an_addendum_is_the_way(self, blank, right, mara, as_mara):
        draw_everything(blank, mara)
        Visit.objects.filter(pk=blank.pk).update(signed_at=timezone.now())
        with pytest.raises(VisitSigned, match="Write an addendum"):
            move_drawing(who=mara, visit=blank, to=right, reason=WHY)
        assert "Write an addendum" in as_mara.get(f"/visits/{blank.pk}/drawing/move/").content.decode()

    def test_to_a_signed_visit(self, blank, right, mara):
        draw_everything(blank, mara)
        Visit.objects.filter(pk=right.pk).update(signed_at=timezone.now())
        self.refused("signed meanwhile", who=mara, visit=blank, to=right, reason=WHY)

    def test_across_practices(self, blank, ines, mara):
        draw_everything(blank, mara)
        elsewhere = Visit.objects.create(patient=recorded.patient(ines.practice), clinician=ines)
        self.refused("not one of this practice", who=mara, visit=blank, to=elsewhere, reason=WHY)
        self.refused("not one of this practice", who=ines, visit=blank, to=elsewhere, reason=WHY)

    def test_to_itself(self, blank, mara):
        draw_everything(blank, mara)
        self.refused("in this visit already", who=mara, visit=blank, to=blank, reason=WHY)

    @pytest.mark.parametrize("reason", ["", "   ", "x" * 401])
    def test_without_a_reason_of_some_words(self, blank, right, mara, reason):
        draw_everything(blank, mara)
        self.refused("Write why", who=mara, visit=blank, to=right, reason=reason)

    def test_where_nothing_is_drawn(self, blank, right, mara):
        self.refused("Nothing is drawn", who=mara, visit=blank, to=right, reason=WHY)

    def test_past_the_room_of_the_other_visit(self, blank, right, mara):
        full = [stroke(n, points=2) for n in range(1, LIMITS.strokes_per_visit + 1)]
        save(right, mara, "patient", *full)
        save(blank, mara, "patient", stroke(1))
        self.refused("400 strokes", who=mara, visit=blank, to=right, reason=WHY)


class TestDevice:
    @pytest.fixture
    def tablet(self, blank, mara) -> Client:
        client = Client()
        client.force_login(mara)
        client.post(f"/visits/{blank.pk}/hand-over/")
        client.post("/board/confirm/", {"is_me": "yes"})
        return client

    def send(self, client, *sent):
        return client.post("/board/save/", events(*sent), content_type="application/json")

    def rest(self, client, *sent):
        url = f"/hand-overs/{HandOver.objects.get().pk}/rest/"
        return client.post(url, events(*sent), content_type="application/json")

    def test_a_tablet_with_the_old_token_can_not_draw_on_the_wrong_chart_again(
        self, blank, right, mara, tablet
    ):
        first = stroke(1)
        assert self.send(tablet, first).status_code == 200
        move_drawing(who=mara, visit=blank, to=right, reason=WHY)
        assert HandOver.objects.get().ended_at is not None
        assert self.send(tablet, first, stroke(2)).status_code == 403
        assert tablet.get("/board/").status_code == 403
        assert drawing_of(blank).is_empty and len(drawing_of(right).strokes) == 1

    def test_what_is_left_on_the_tablet_follows_the_drawing(self, blank, right, mara, tablet, as_mara):
        save(right, mara, "patient", stroke(1, view="back"))
        first, late, last = stroke(1), stroke(2, kind="burning"), stroke(3)
        self.send(tablet, first, last)
        move_drawing(who=mara, visit=blank, to=right, reason=WHY)
        told = self.rest(as_mara, first, late).json()
        assert told == {"saved": [first["id"], late["id"]], "refused": []}
        assert drawing_of(blank).is_empty
        assert [each.id for each in drawing_of(right).strokes][1:] == [first["id"], late["id"], last["id"]]
        assert self.rest(as_mara, late).json()["saved"] == [late["id"]]
        assert StoredStroke.objects.filter(event_id=late["id"]).count() == 1

    def test_it_follows_there_and_back(self, blank, right, mara, tablet, as_mara):
        late = stroke(2, kind="burning")
        self.send(tablet, stroke(1))
        first = move_drawing(who=mara, visit=blank, to=right, reason=WHY)
        move_drawing(who=mara, visit=right, to=blank, reason=WHY, only=first)
        self.rest(as_mara, late)
        assert [each.kind for each in drawing_of(blank).strokes] == ["ache", "burning"]
        assert drawing_of(right).is_empty

    def test_what_is_left_of_a_struck_drawing_is_kept_and_struck_too(self, blank, mara, tablet, as_mara):
        late = stroke(2)
        self.send(tablet, stroke(1))
        move_drawing(who=mara, visit=blank, to=None, reason=WHY)
        for _ in range(2):
            assert self.rest(as_mara, late).json()["saved"] == [late["id"]]
        assert StoredStroke.objects.count() == 2
        assert drawing_of(blank).is_empty
        assert EnteredInError.objects.count() == 2

    def test_who_draws_after_the_move_draws_here(self, blank, right, mara):
        save(blank, mara, "patient", stroke(1))
        move_drawing(who=mara, visit=blank, to=right, reason=WHY)
        held, token = handover.hand_over(who=mara, visit=blank)
        assert held.token_sha256 == digest(token)
        handover.save(held=held, sent=[stroke(1)], waiting=1, who=held)
        assert len(drawing_of(blank).strokes) == 1

    def test_lines_of_ones_own_stay_when_only_what_came_here_moves_back(self, blank, right, mara):
        save(blank, mara, "patient", stroke(1))
        held, _ = handover.hand_over(who=mara, visit=right)
        first = move_drawing(who=mara, visit=blank, to=right, reason=WHY)
        move_drawing(who=mara, visit=right, to=blank, reason=WHY, only=first)
        handover.save(held=held, sent=[stroke(1)], waiting=1, who=held)
        assert len(drawing_of(right).strokes) == 1 and len(drawing_of(blank).strokes) == 1


class TestBringBack:
    def test_what_was_struck_by_mistake_stands_again_as_it_was(self, blank, mara):
        draw_everything(blank, mara)
        before, rows = shown(blank), every_row()
        strike = move_drawing(who=mara, visit=blank, to=None, reason=WHY)
        bring_back(who=mara, strike=strike, reason="It was hers.")
        assert shown(blank) == before
        for table, kept in rows.items():
            ids = [row["id"] for row in kept]
            assert [row for row in table.objects.order_by("pk").values() if row["id"] in ids] == kept
        words = [each["words"] for each in struck_and_moved(blank)]
        assert "struck on" in words[0] and "was brought back on" in words[1]

    def test_it_is_brought_back_once(self, blank, right, mara):
        draw_everything(blank, mara)
        strike = move_drawing(who=mara, visit=blank, to=None, reason=WHY)
        again = bring_back(who=mara, strike=strike, reason="It was hers.")
        for wrong in (strike, again):
            with pytest.raises(NotMoved, match="already"):
                bring_back(who=mara, strike=wrong, reason="It was hers.")

    def test_it_can_be_struck_and_moved_like_any_other(self, blank, right, mara):
        draw_everything(blank, mara)
        before = shown(blank)
        strike = move_drawing(who=mara, visit=blank, to=None, reason=WHY)
        bring_back(who=mara, strike=strike, reason="It was hers.")
        move_drawing(who=mara, visit=blank, to=right, reason=WHY)
        assert shown(right) == before and drawing_of(blank).is_empty

    def test_what_comes_late_comes_back_too(self, blank, mara):
        held, _ = handover.hand_over(who=mara, visit=blank)
        first, late, last = stroke(1), stroke(2, kind="burning"), stroke(3, view="back")
        handover.save(held=held, sent=[first, last], waiting=1, who=held)
        strike = move_drawing(who=mara, visit=blank, to=None, reason=WHY)
        bring_back(who=mara, strike=strike, reason="It was hers.")
        handover.save(held=held, sent=[late], waiting=1, who=mara)
        assert [(each.kind, each.view) for each in drawing_of(blank).strokes] == [
            ("ache", "front"),
            ("burning", "front"),
            ("ache", "back"),
        ]

    def test_not_without_the_right_nor_once_the_visit_is_signed(self, blank, mara, vera):
        draw_everything(blank, mara)
        strike = move_drawing(who=mara, visit=blank, to=None, reason=WHY)
        with pytest.raises(PermissionDenied, match="treat"):
            bring_back(who=vera, strike=strike, reason="It was hers.")
        with pytest.raises(NotMoved, match="Write why"):
            bring_back(who=mara, strike=strike, reason=" ")
        Visit.objects.filter(pk=blank.pk).update(signed_at=timezone.now())
        with pytest.raises(VisitSigned):
            bring_back(who=mara, strike=strike, reason="It was hers.")

    def test_the_page_shows_it_and_brings_it_back(self, blank, mara, as_mara, as_ines):
        draw_everything(blank, mara)
        strike = move_drawing(who=mara, visit=blank, to=None, reason=WHY)
        url = f"/visits/{blank.pk}/drawing/struck/{strike.pk}/"
        assert url in as_mara.get(f"/visits/{blank.pk}/drawing-step/").content.decode()
        assert "10 entries in all" in as_mara.get(url).content.decode()
        assert as_ines.get(url).status_code == 404
        assert as_mara.post(url, {"reason": ""}).status_code == 422
        assert as_mara.post(url, {"reason": "It was hers."}).status_code == 302
        assert not drawing_of(blank).is_empty
        assert url not in as_mara.get(f"/visits/{blank.pk}/drawing-step/").content.decode()
        assert as_mara.post(url, {"reason": "Once more."}).status_code == 422


class TestLayers:
    def test_what_the_clinician_found_can_stay(self, blank, right, mara):
        draw_everything(blank, mara)
        move_drawing(who=mara, visit=blank, to=right, reason=WHY, layers=["patient"])
        assert drawing_of(blank).drawn_by == ("clinician",)
        assert drawing_of(right).drawn_by == ("patient",)

    def test_a_device_follows_the_layer_it_draws_on_and_no_other(self, blank, right, mara):
        held, _ = handover.hand_over(who=mara, visit=blank)
        draw_everything(blank, mara)
        move_drawing(who=mara, visit=blank, to=right, reason=WHY, layers=["clinician"])
        handover.save(held=held, sent=[stroke(20)], waiting=1, who=held)
        assert drawing_of(right).drawn_by == ("clinician",)
        move_drawing(who=mara, visit=blank, to=right, reason=WHY, layers=["patient"])
        handover.save(held=held, sent=[stroke(21)], waiting=1, who=held)
        assert drawing_of(blank).is_empty and drawing_of(right).drawn_by == ("clinician", "patient")

    def test_the_page_asks_which_and_moves_only_those(self, blank, right, mara, as_mara):
        draw_everything(blank, mara)
        url = f"/visits/{blank.pk}/drawing/move/"
        assert as_mara.get(url).content.decode().count('name="layers"') == 2
        sent = {"to": str(right.pk), "reason": WHY, "layers": ["clinician"]}
        page = as_mara.post(url, sent).content.decode()
        assert "1 entry in all" in page and page.count('name="layers"') == 1
        as_mara.post(url, {**sent, "sure": "yes"})
        assert drawing_of(blank).drawn_by == ("patient",)


class TestPage:
    def url(self, visit, more=""):
        return f"/visits/{visit.pk}/drawing/move/{more}"

    def test_it_shows_the_drawing_and_the_open_visits_of_the_practice(
        self, blank, right, mara, as_mara, ines
    ):
        elsewhere = Visit.objects.create(patient=recorded.patient(ines.practice), clinician=ines)
        draw_everything(blank, mara)
        page = as_mara.get(self.url(blank)).content.decode()
        assert "Urs Brunner" in page and "10 entries in all" in page
        assert str(right.pk) in page and str(elsewhere.pk) not in page and f'value="{blank.pk}"' not in page

    def test_it_finds_a_visit_and_forgets_nothing_that_was_typed(self, blank, right, mara, as_mara):
        draw_everything(blank, mara)
        sent = {"q": "brun", "reason": WHY, "find": "", "layers": ["patient"]}
        page = as_mara.post(self.url(blank), sent).content.decode()
        assert "Urs Brunner" in page and f'value="{WHY}"' in page
        assert "Urs Brunner" not in as_mara.post(self.url(blank), {**sent, "q": "zzz"}).content.decode()

    def test_it_asks_once_more_before_it_moves(self, blank, right, mara, as_mara):
        draw_everything(blank, mara)
        sent = {"to": str(right.pk), "reason": WHY, "layers": ["patient", "clinician"]}
        page = as_mara.post(self.url(blank), sent).content.decode()
        assert "Please read once more" in page and not EnteredInError.objects.exists()
        response = as_mara.post(self.url(blank), {**sent, "sure": "yes"})
        assert response.headers["Location"] == f"/visits/{blank.pk}/drawing-step/"
        assert EnteredInError.objects.get().moved_to == right
        assert "Brunner" not in as_mara.get(response.headers["Location"]).content.decode()

    def test_it_names_what_to_mend(self, blank, mara, as_mara, ines):
        draw_everything(blank, mara)
        response = as_mara.post(self.url(blank), {"sure": "yes"})
        page = response.content.decode()
        assert response.status_code == 422
        assert "Choose which lines are moved." in page
        assert "Choose whose drawing it is." in page and "Write why the drawing is wrong here." in page
        elsewhere = Visit.objects.create(patient=recorded.patient(ines.practice), clinician=ines)
        sent = {"to": str(elsewhere.pk), "reason": WHY, "sure": "yes", "layers": ["patient"]}
        assert as_mara.post(self.url(blank), sent).status_code == 422
        assert not EnteredInError.objects.exists()

    def test_it_offers_the_way_back(self, blank, right, mara, as_mara):
        draw_everything(blank, mara)
        strike = move_drawing(who=mara, visit=blank, to=right, reason=WHY)
        back = self.url(right, f"?back={strike.pk}")
        assert back in as_mara.get(f"/visits/{right.pk}/drawing-step/").content.decode()
        assert f'value="{blank.pk}" checked' in as_mara.get(back).content.decode()
        sent = {"to": str(blank.pk), "reason": "It was hers.", "layers": ["patient", "clinician"]}
        as_mara.post(back, {**sent, "sure": "yes"})
        assert not drawing_of(blank).is_empty and drawing_of(right).is_empty
        assert as_mara.get(self.url(blank, f"?back={strike.pk}")).status_code == 404
        assert as_mara.get(self.url(blank, "?back=7")).status_code == 404
