"""Patterns carried from one practice to another: shown before it is done, all or nothing, as new versions."""

import io
import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.urls import reverse

from bodymaps import own_file
from charting.audit.models import AuditEntry
from charting.patterns import queries, services
from charting.patterns.models import PatternFile, PatternVersion
from charting.patterns.plans import Plan
from tests.bodymaps.test_own import pattern
from tests.charting.patterns import drawn


def upload(client, text, name="own.json"):
    content = text if isinstance(text, bytes) else text.encode()
    sent = {"file": SimpleUploadedFile(name, content, "application/json")}
    return client.post(reverse("patterns:import"), sent)


def sure(client, answer):
    """Press the button of the page that shows what a file would do."""
    page = client.get(answer.url).context["page"]
    return client.post(answer.url, {"seen": page.key})


def words(response) -> str:
    return response.content.decode()


@pytest.fixture
def exported(as_mara, writer) -> str:
    drawn.kept(writer)
    drawn.kept(writer, "infraspinatus", "infraspinatus", site="Below the spine")
    answer = as_mara.get(reverse("patterns:export"))
    assert answer["Content-Disposition"].startswith('attachment; filename="own-patterns-')
    return words(answer)


def test_what_is_exported_is_imported_elsewhere_to_the_last_point(exported, writer, ines, as_ines):
    ines.writes_patterns = True
    ines.save()
    answer = upload(as_ines, exported)
    page = as_ines.get(answer.url).context["page"]
    assert [step.words for step in page.steps] == ["new here: becomes version 1"] * 2
    assert not PatternVersion.objects.filter(practice=ines.practice).exists()
    assert sure(as_ines, answer).status_code == 302
    theirs = [queries.as_own(row) for row in queries.in_use(ines.practice)]
    assert theirs == [queries.as_own(row) for row in queries.in_use(writer.practice)]
    assert words(as_ines.get(reverse("patterns:export"))) == exported


def test_what_stands_here_already_is_not_written_again(exported, as_mara):
    before = PatternVersion.objects.count()
    answer = upload(as_mara, exported)
    assert "stands here word for word as version 1" in words(as_mara.get(answer.url))
    assert sure(as_mara, answer).status_code == 302
    assert PatternVersion.objects.count() == before


def test_the_same_id_becomes_a_new_version_and_says_from_which_file(exported, as_mara, writer):
    changed = json.loads(exported)
    changed["patterns"][1]["reason"] = "Seen by two of us."
    answer = upload(as_mara, json.dumps(changed))
    page = as_mara.get(answer.url).context["page"]
    assert [step.words for step in page.steps][1] == "becomes version 2"
    sure(as_mara, answer)
    rows = queries.versions_of(writer, "own_biceps_fold")
    assert [(row.number, row.reason) for row in rows] == [(2, "Seen by two of us."), (1, "Seen often here.")]
    shown = words(as_mara.get(reverse("patterns:pattern", args=["own_biceps_fold"])))
    assert "from the file own.json" in shown


def test_a_muscle_has_its_own_name_here_whatever_the_file_calls_it(practice):
    text = own_file.write([pattern(id="infraspinatus", name="Something else")])
    [step] = Plan.of(practice, text, "own.json").steps
    assert step.pattern.name == "infraspinatus"


def test_a_pattern_out_of_use_comes_back_by_an_import(exported, as_mara, writer):
    row = queries.latest_version(writer.practice, "own_biceps_fold")
    services.set_use(who=writer, row=row, in_use=False, reason="Not seen again.")
    sure(as_mara, upload(as_mara, exported))
    back = queries.latest_version(writer.practice, "own_biceps_fold")
    assert (back.number, back.in_use) == (3, True)


def test_one_refused_entry_stops_all_and_every_one_is_named(exported, as_mara, writer):
    changed = json.loads(exported)
    changed["patterns"][1]["reason"] = "Changed."
    changed["patterns"] += [{**changed["patterns"][0], "id": "no_such"}, 7]
    before = PatternVersion.objects.count()
    answer = upload(as_mara, json.dumps(changed))
    shown = words(as_mara.get(answer.url))
    assert "is no muscle of the atlas" in shown
    assert "entry 4" in shown
    assert "Import 1 pattern" not in shown
    key = as_mara.get(answer.url).context["page"].key
    refused = as_mara.post(answer.url, {"seen": key})
    assert refused.status_code == 422
    assert "Nothing was imported" in words(refused)
    assert PatternVersion.objects.count() == before


def test_what_changed_since_it_was_shown_is_shown_again(exported, as_mara, writer):
    changed = json.loads(exported)
    changed["patterns"][1]["reason"] = "Changed."
    answer = upload(as_mara, json.dumps(changed))
    key = as_mara.get(answer.url).context["page"].key
    drawn.kept(writer)
    late = as_mara.post(answer.url, {"seen": key})
    assert late.status_code == 422
    assert "The patterns have changed since this was shown" in words(late)
    assert "becomes version 3" in words(late)


WRONG = {
    "This is no text in UTF-8": b"\xff\xfe\x00",
    "This is no text, so": b"{}\x00",
    "This file is empty": b"",
}


@pytest.mark.parametrize(("said", "content"), WRONG.items())
def test_it_takes_no_file_that_is_no_text(as_mara, writer, said, content):
    answer = upload(as_mara, content)
    assert answer.status_code == 422
    assert said in words(answer)


def test_it_takes_no_file_that_is_too_large(as_mara, writer, monkeypatch):
    monkeypatch.setattr(own_file, "MOST_BYTES", 10)
    assert "larger than" in words(upload(as_mara, "x" * 11))
    assert not PatternFile.objects.exists()


def test_a_file_of_something_else_is_refused_with_its_name(as_mara, writer):
    shown = words(as_mara.get(upload(as_mara, "{}", "letter.json").url))
    assert "letter.json" in shown
    assert "is not own-patterns-1" in shown


def test_markup_in_a_file_stays_text(as_mara, writer):
    text = own_file.write([pattern(name="<script>alert(1)</script>", reason="<b>x</b>")])
    answer = upload(as_mara, text, "<i>.json")
    sure(as_mara, answer)
    for address in (
        answer.url,
        reverse("patterns:list"),
        reverse("patterns:pattern", args=["own_biceps_fold"]),
    ):
        shown = words(as_mara.get(address))
        assert "&lt;script&gt;" in shown
        assert "<script>alert" not in shown


# At the command line.


def run(name, *args, **options) -> str:
    out = io.StringIO()
    call_command(name, *args, stdout=out, **options)
    return out.getvalue()


def test_the_command_line_exports_and_imports(exported, writer, tmp_path):
    file = tmp_path / "own.json"
    assert "2 patterns written" in run("export_patterns", output=str(file))
    assert file.read_text() == exported
    assert run("export_patterns", output="-") == exported
    assert "Nothing has to be imported." in run("import_patterns", str(file))
    file.write_text(own_file.write([pattern(reason="Changed.")]))
    with pytest.raises(CommandError, match="Nothing was imported"):
        run("import_patterns", str(file))
    assert queries.newest_number(writer.practice, "own_biceps_fold") == 1
    shown = run("import_patterns", str(file), yes=True)
    assert "Fold of the biceps (own_biceps_fold): becomes version 2" in shown
    assert "1 pattern imported." in shown
    row = queries.latest_version(writer.practice, "own_biceps_fold")
    assert (row.number, row.writer, row.written_by) == (2, "command line", None)
    assert AuditEntry.objects.filter(action="imported patterns", practice_id=writer.practice_id).count() == 1


def test_the_command_line_names_every_refused_entry(practice, tmp_path):
    file = tmp_path / "own.json"
    data = json.loads(own_file.write([pattern()]))
    data["patterns"] = [7, {**data["patterns"][0], "reason": ""}]
    file.write_text(json.dumps(data))
    with pytest.raises(CommandError) as problem:
        run("import_patterns", str(file), yes=True)
    assert f"{file}: entry 1: id is missing" in str(problem.value)
    assert f"{file}: own_biceps_fold: reason is missing" in str(problem.value)
    assert problem.value.returncode == 2
    assert not PatternVersion.objects.exists()


def test_the_command_line_asks_which_practice(practice, ines, tmp_path):
    with pytest.raises(CommandError, match="--practice: 'Another Practice', 'Lindenhof Practice'"):
        run("export_patterns", output="-")
    with pytest.raises(CommandError, match="no practice called 'Nowhere'"):
        run("export_patterns", output="-", practice="Nowhere")
    with pytest.raises(CommandError, match="cannot be read"):
        run("import_patterns", str(tmp_path / "none.json"), practice="Another Practice")
    assert json.loads(run("export_patterns", output="-", practice="Another Practice"))["patterns"] == []


def test_the_command_line_gives_the_right_where_there_is_no_manager(mara, poll):
    assert "writes patterns" in run("grant_patterns", "mara")
    mara.refresh_from_db()
    assert mara.writes_patterns
    run("grant_patterns", "mara", take_back=True)
    mara.refresh_from_db()
    assert not mara.writes_patterns
    for name in ("poll", "nobody"):
        with pytest.raises(CommandError):
            run("grant_patterns", name)
