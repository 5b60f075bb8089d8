"""A trail that was touched is found out.

Against: OWASP ASVS 5.0 16.4.2 (logs are protected from change), 45 CFR 164.312(c)(2) (a mechanism to
corroborate that records have not been altered), RFC 9162 2.1 (leaf hashes with a prefix of their own).
"""

import hashlib
import json

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.models import Max

from charting.audit.chain import GENESIS
from charting.audit.heads import Head, Unreadable, heads_now, parse
from charting.audit.models import AuditEntry
from charting.audit.services import record_look
from charting.audit.verify import verify, verify_every
from tests.guards import lifted
from tests.torture.tampers import CHANGES, tampers


@pytest.fixture
def trail(mara, ines, anna):
    """Thirty rows of one practice among those of another; how the chain ends."""
    for turn in range(30):
        record_look(who=mara, at=anna, as_=f"opened {turn % 3}")
        if turn % 5 == 0:
            record_look(who=ines, at=ines)
    return next(head for head in heads_now() if head.chain == mara.practice_id)


def touch(sql, *said):
    with lifted(connection), connection.cursor() as cursor:
        cursor.execute(sql, said)


def test_a_trail_nobody_touched_holds(trail):
    report = verify(trail.chain)
    assert report.holds
    assert (report.rows, report.seq, report.hash) == (30, 30, trail.hash)


def test_each_practice_has_a_chain_of_its_own_without_gaps(trail, mara, ines):
    assert {report.chain for report in verify_every()} >= {mara.practice_id, ines.practice_id}
    assert AuditEntry.objects.filter(chain=ines.practice_id).aggregate(Max("seq"))["seq__max"] == 6


def test_a_row_can_be_checked_with_nothing_but_sha256_and_what_the_manual_says(trail):
    """Written anew here from the description alone: prefix, then JSON with sorted keys and without spaces."""
    row = AuditEntry.objects.get(chain=trail.chain, seq=1)
    told = {
        "chain": row.chain, "seq": 1, "at": row.at.strftime("%Y-%m-%dT%H:%M:%S.%f+00:00"),
        "practice": row.practice_id, "actor": row.actor, "actor_id": row.actor_id, "role": row.role,
        "address": row.address, "action": row.action, "object_type": row.object_type,
        "object_id": row.object_id, "detail": row.detail, "previous": GENESIS,
    }  # fmt: skip
    text = json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert hashlib.sha256(b"tautline-audit-1\0" + text.encode()).hexdigest() == row.hash


def test_it_names_the_row_that_was_changed(trail):
    touch("UPDATE charting_auditentry SET actor = 'Nobody' WHERE chain = %s AND seq = 12", trail.chain)
    (found,) = verify(trail.chain).breaks
    assert (found.seq, found.words) == (12, "was changed after it was written")


def test_it_names_the_place_where_a_row_is_missing(trail):
    touch("DELETE FROM charting_auditentry WHERE chain = %s AND seq = 12", trail.chain)
    (found,) = verify(trail.chain).breaks
    assert str(found) == "entry 13: follows entry 11: what stood between is missing"


def test_an_end_that_was_cut_off_shows_beside_a_head_kept_elsewhere_alone(trail):
    touch("DELETE FROM charting_auditentry WHERE chain = %s AND seq > 20", trail.chain)
    assert verify(trail.chain).holds
    (found,) = verify(trail.chain, [trail]).breaks
    assert found.seq == 30 and "missing" in found.words


def test_a_row_that_cannot_be_read_any_more_is_told_and_the_rest_is_still_checked(trail):
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL takes no month of that number")
    at = "2026-13-01 00:00:00"
    touch("UPDATE charting_auditentry SET at = %s WHERE chain = %s AND seq = 4", at, trail.chain)
    told = [(each.seq, each.words) for each in verify(trail.chain).breaks]
    assert told[0] == (4, "cannot be read any more")
    assert {seq for seq, _ in told} <= {4, 5}


def test_the_last_rows_alone_can_be_checked(trail):
    touch("UPDATE charting_auditentry SET actor = 'Nobody' WHERE chain = %s AND seq = 12", trail.chain)
    assert verify(trail.chain, last=10).holds
    assert verify(trail.chain, last=10).rows == 10
    assert not verify(trail.chain, last=25).holds


def test_every_kind_of_change_by_chance_is_found(trail):
    """A small version of `make torture`, which makes a thousand."""
    told = list(tampers(66, seed=9))
    assert len(told) == 66
    assert [one.what for one in told if not one.found] == []
    assert len({one.what.split(" of ")[0] for one in told}) >= len(set(CHANGES)) - 2
    assert verify(trail.chain, [trail]).holds, "a change was not undone"


def test_heads_are_read_back_as_they_were_written(trail):
    (again,) = parse(["# kept in the safe", "", str(trail)])
    assert (again.chain, again.seq, again.hash) == (trail.chain, trail.seq, trail.hash)


@pytest.mark.parametrize("line", ["1 2 3", f"1 2 {'g' * 64} 2026-01-01", f"1 2 {'a' * 64} yesterday"])
def test_a_line_that_is_no_head_is_named(line):
    with pytest.raises(Unreadable, match="line 2 is no head"):
        list(parse(["", line]))


def test_heads_are_added_to_a_file_and_the_trail_is_held_against_them(trail, tmp_path, capsys):
    file = tmp_path / "heads"
    call_command("write_heads", to=str(file))
    call_command("write_heads", to=str(file))
    assert len(file.read_text().splitlines()) == 2 * len(heads_now())
    call_command("verify_trail", heads=str(file))
    assert "30 entries, holds" in capsys.readouterr().out
    touch("DELETE FROM charting_auditentry WHERE chain = %s AND seq > 20", trail.chain)
    with pytest.raises(CommandError, match="entry 30: missing") as refused:
        call_command("verify_trail", heads=str(file))
    assert refused.value.returncode == 3
    with pytest.raises(CommandError, match="not in it any more"):
        call_command("write_heads", to=str(file))
    assert len(file.read_text().splitlines()) == 2 * len(heads_now())


def test_a_chain_that_is_gone_whole_is_missed(trail):
    gone = Head(999, 4, "a" * 64, trail.at)
    assert any(report.chain == 999 and not report.holds for report in verify_every([gone]))
