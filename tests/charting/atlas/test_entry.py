"""The page of one entry: pattern, facts, structures at risk, sources; every one of the atlas opens."""

import html
import re
from dataclasses import replace

import pytest

from bodymaps import atlas as release
from bodymaps.alike import same_area
from bodymaps.patterns import AtRisk
from charting.atlas import facts, pages
from charting.atlas.kinds import BY_SLUG, KINDS, entries, sides_of
from charting.atlas.pages import entry_page


def words_of(response) -> str:
    return html.unescape(response.content.decode())


def page_of(known, slug, name, side="right", site="", alike=None):
    kind = BY_SLUG[slug]
    return entry_page(known, kind, entries(known, kind)[name], side, site, alike=alike or {})


def test_every_entry_opens_on_every_side_and_shows_something():
    known = release.load()
    for kind in KINDS:
        for name, entry in entries(known, kind).items():
            for side in sides_of(entry):
                page = page_of(known, kind.slug, name, side)
                assert page.figures and any(layer.zones for _, layer in page.figures), (kind.slug, name)
                assert page.sources or page.source, (kind.slug, name)


def test_it_shows_every_fact_that_the_atlas_holds_of_a_muscle(as_mara):
    muscle = release.load().muscles["iliopsoas"]
    words = words_of(as_mara.get("/atlas/muscle/iliopsoas/")).casefold()
    told = [
        *(muscle.attachments + muscle.commonly_mistaken_for + muscle.brings_on + muscle.eases),
        *(muscle.neighbours + muscle.cautions),
        *(muscle.action, muscle.position, muscle.find, muscle.depth),
        *(site.where for site in muscle.sites),
        *(site.note for site in muscle.sites),
        *(each.words for each in muscle.at_risk),
        *(source.work for source in muscle.sources),
    ]
    assert len([each for each in told if each]) > 20
    for each in told:
        assert each.casefold() in words, each


def test_it_links_synergists_what_is_often_involved_and_what_cannot_be_told_apart():
    known = release.load()
    page = page_of(known, "muscle", "iliopsoas", alike={"iliopsoas": ("pectineus",)})
    links = {fact.title: [line.url for line in fact.lines] for s in page.sections for fact in s.facts}
    muscle = known.muscles["iliopsoas"]
    urls = {name: facts.entry_url(BY_SLUG["muscle"], name) for name in known.muscles}
    assert links["Works with"] == [urls.get(name, "") for name in muscle.synergists]
    assert links["Often involved with it"] == [urls.get(name, "") for name in muscle.often_with]
    assert links["Same area as"] == [urls["pectineus"]]


def test_muscles_of_the_same_area_name_each_other_on_their_pages(as_mara):
    told = {name: those for name, those in same_area(release.load()).items() if those}
    assert told
    name, others = next(iter(told.items()))
    words = words_of(as_mara.get(f"/atlas/muscle/{name}/"))
    said = words[words.index("<dt>Same area as</dt>") :].split("</dd>")[0]
    assert re.findall(r"/atlas/muscle/(\w+)/", said) == list(others)


def test_a_muscle_that_stands_alone_has_no_line_for_the_same_area():
    page = page_of(release.load(), "muscle", "iliopsoas")
    assert "Same area as" not in [fact.title for section in page.sections for fact in section.facts]


def test_a_heading_without_anything_below_it_is_left_out():
    known = release.load()
    bare = replace(
        known.muscles["masseter"], brings_on=(), eases=(), find="", position="", depth="", neighbours=()
    )
    sections = facts.sections(bare, replace(known, muscles={"masseter": bare}), {})
    assert "To examine it" not in [section.title for section in sections]


def test_each_point_can_be_shown_alone_and_all_together(as_mara):
    known = release.load()
    every, first = (page_of(known, "muscle", "infraspinatus", site=s) for s in ("all", "upper_belly"))
    assert [each.label for each in every.sites] == ["all points", "point 1", "point 2"]
    assert sum(len(layer.points) for _, layer in every.figures) == 2
    assert sum(len(layer.points) for _, layer in first.figures) == 1
    # The figure stays where it is when another point is chosen.
    assert [layer.box for _, layer in every.figures] == [layer.box for _, layer in first.figures]
    piece = as_mara.get(
        "/atlas/muscle/infraspinatus/?side=left&site=upper_belly", headers={"HX-Request": "true"}
    )
    assert "<html" not in piece.content.decode()
    assert "Infraspinatus, left, point 1" in words_of(piece)
    assert 'id="points" hx-swap-oob="true"' in words_of(piece)


def test_the_part_that_is_shown_holds_the_pattern_and_every_point():
    known = release.load()
    for name, muscle in known.muscles.items():
        page = page_of(known, "muscle", name)
        boxes = {layer.view: [float(edge) for edge in layer.box.split()] for _, layer in page.figures}
        for site in muscle.sites:
            left, top, width, height = boxes[site.at.view]
            assert left < site.at.x < left + width and top < site.at.y < top + height, name
            for (view, _), area in site.zones.items():
                left, top, width, height = boxes[view]
                x1, y1, x2, y2 = area.bounds
                assert left < x1 and x2 < left + width and top < y1 and y2 < top + height, name


def test_the_left_is_the_mirror_of_the_right():
    known = release.load()
    right, left = (page_of(known, "muscle", "infraspinatus", side) for side in ("right", "left"))
    for (_, one), (_, other) in zip(right.figures, left.figures, strict=True):
        assert len(one.zones) == len(other.zones)
        xs = [first_x(layer.zones[0].path) for layer in (one, other)]
        assert sum(xs) == pytest.approx(2 * known.midlines[one.view], abs=0.2)


def first_x(path: str) -> float:
    return float(re.match(r"M(-?[\d.]+) ", path)[1])


def test_what_lies_on_the_left_alone_has_its_point_there():
    """The front view shows the patient's left at the larger x."""
    known = release.load()
    left = [one for one in known.structures["visceral"].values() if one.sides == "left" and one.at]
    assert left
    for one in left:
        points = [p for _, layer in page_of(known, "organ", one.id).figures for p in layer.points]
        assert points and all(first_x(point) > known.midlines["front"] for point in points), one.id


def test_what_lies_once_has_no_sides_to_choose():
    known = release.load()
    single = [
        (kind.slug, name)
        for kind in KINDS
        for name, entry in entries(known, kind).items()
        if len(sides_of(entry)) == 1
    ]
    for slug, name in single:
        assert page_of(known, slug, name).sides == ()


def test_structures_at_risk_stand_in_the_care_style_with_their_source():
    known = release.load()
    risk = AtRisk("pleura", "the lung lies below", "an invented work, checked")
    none = AtRisk("none", "nothing lies near", "from memory")
    muscle = replace(known.muscles["infraspinatus"], at_risk=(risk, none), cautions=("Mind the nerve.",))
    told = facts.risks(muscle)
    assert [(each.structure, each.words, each.source) for each in told] == [
        ("Pleura", "the lung lies below", "an invented work, checked"),
        ("", "nothing lies near", "from memory"),
        ("", "Mind the nerve.", ""),
    ]


def test_it_defers_to_local_rules_wherever_a_needle_can_hurt(as_mara):
    words = words_of(as_mara.get("/atlas/muscle/infraspinatus/"))
    assert "Structures at risk" in words
    assert "within local rules" in words


def test_a_muscle_without_any_written_down_says_that_and_not_that_it_is_safe(as_mara, monkeypatch):
    known = release.load()
    bare = replace(known.muscles["masseter"], at_risk=(), cautions=())
    changed = replace(known, muscles={**known.muscles, "masseter": bare})
    monkeypatch.setattr("charting.atlas.queries.atlas_for", lambda practice: changed)
    assert "Make sure before needling" in words_of(as_mara.get("/atlas/muscle/masseter/"))


def test_a_link_by_layer_leads_to_the_one_address_of_an_entry(as_mara):
    answer = as_mara.get("/atlas/peripheral_nerve/median/")
    assert (answer.status_code, answer["Location"]) == (302, "/atlas/nerve/median/")


def test_each_source_says_whether_it_was_seen(as_mara):
    muscle = release.load().muscles["infraspinatus"]
    words = words_of(as_mara.get("/atlas/muscle/infraspinatus/"))
    cited = words[words.index('id="sources"') :]
    for status in ("checked", "from memory"):
        assert cited.count(f'">{status}</span>') == sum(s.status == status for s in muscle.sources)


def test_a_root_names_the_muscles_and_nerves_it_reaches(as_mara):
    known = release.load()
    words = words_of(as_mara.get("/atlas/root/C6/"))
    for muscle in known.muscles.values():
        assert ("C6" in muscle.innervation.roots) is (f'href="/atlas/muscle/{muscle.id}/"' in words)
    assert known.dermatomes["C6"].described.lower() in words.lower()


def test_an_urgent_organ_says_so_above_everything(as_mara):
    known = release.load()
    urgent = [one for one in known.structures["visceral"].values() if one.urgent]
    for one in urgent:
        words = words_of(as_mara.get(f"/atlas/organ/{one.id}/"))
        assert words.index("May need a physician the same day") < words.index('id="pattern"')


@pytest.mark.parametrize("path", ["muscle/nobody", "root/C99", "liver/C6", "organ/infraspinatus"])
def test_there_is_no_page_for_what_the_atlas_does_not_hold(as_mara, path):
    assert as_mara.get(f"/atlas/{path}/").status_code == 404


def test_a_side_or_point_that_there_is_not_is_answered_with_the_first(as_mara):
    words = words_of(as_mara.get("/atlas/muscle/infraspinatus/?side=up&site=down"))
    assert "Infraspinatus, right, all points" in words


def test_sources_are_counted_by_status_for_the_reviewer(as_mara):
    known = release.load()
    page = pages.sources_page(known)
    muscles = page.lines[0]
    told = [source.status for muscle in known.muscles.values() for source in muscle.sources]
    assert (muscles.entries, muscles.checked) == (len(known.muscles), told.count("checked"))
    assert muscles.from_memory == told.count("from memory")
    assert {line.words for line in muscles.unchecked} == {
        facts.name_of(muscle)
        for muscle in known.muscles.values()
        if not any(source.status == "checked" for source in muscle.sources)
    }
    assert page.total.checked == sum(line.checked for line in page.lines)
    words = words_of(as_mara.get("/atlas/sources/"))
    assert f'<td class="number">{page.total.from_memory}</td>' in words
