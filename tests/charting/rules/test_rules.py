"""The page of rules lists what the product reasons by, each with its source."""

import re

import pytest

from bodymaps import atlas
from bodymaps.reasoning import (
    clusters,
    consent_areas,
    evidence,
    evidence_muscles,
    flag_rules,
    flags,
    muscle_signs,
    needling_file,
    ranges,
    ratios_file,
    same_area,
    signs,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def shown(client, mara):
    client.force_login(mara)
    answer = client.get("/rules/")
    assert answer.status_code == 200
    return answer


def test_it_lists_every_rule_once(shown):
    listed = {section.id: [rule.id for rule in section.rules] for section in shown.context["page"].sections}
    assert listed["danger"] == [rule.id for rule in flags.rules()]
    assert len(listed["asked-on"]) == len(flag_rules.asked())
    assert listed["clusters"] == [rule.id for rule in ratios_file.load().clusters]
    assert listed["tests"] == [rule.id for rule in ratios_file.load().singles]
    assert len(listed["nerves"]) == len(signs.load().candidates) + len(signs.load().apart)
    assert listed["evidence"] == [rule.id for rule in evidence.rules()]
    assert listed["same-area"] == [one.id for one in same_area.separations()]
    gates = needling_file.load()
    assert listed["needling"] == ["asked", *(one.id for one in gates.rules), *gates.visit, "unknown"]
    assert listed["needling-lung"] == ["muscles", *(one.id for one in gates.depths), "late-advice"]
    assert listed["consent-areas"] == list(consent_areas.areas())
    assert listed["two-drawings"] == ["redraws", "left-out", "spine", "limb-arm", "limb-leg"]
    assert all(len(set(ids)) == len(ids) for ids in listed.values())


def test_each_names_a_source_with_its_status(shown):
    for section in shown.context["page"].sections:
        for rule in section.rules:
            assert rule.sources, rule.id
            for source in rule.sources:
                assert re.fullmatch(r".+ \((checked|from memory|common practice)\)", source), source


def test_each_is_on_the_page_as_it_is_worded(shown):
    text = shown.content.decode()
    for section in shown.context["page"].sections:
        for rule in section.rules:
            assert f'id="{section.id}-{rule.id}"' in text
            assert all(words.strip() for _, words in rule.lines), rule.id


def test_it_shows_the_printed_ratios_of_the_radiculopathy_cluster(shown):
    """Wainner et al., Spine 2003;28:52-62: 0.88, 6.1 and 30.3 for two, three and four positive."""
    text = shown.content.decode()
    assert clusters.post_test(0.5, 6.1) == pytest.approx(0.859, abs=0.0005)
    for ratio in ("0.88", "6.1", "30.3"):
        assert ratio in text


def test_it_names_whole_layers_by_one_word(shown):
    sections = {section.id: section for section in shown.context["page"].sections}
    ache = next(rule for rule in sections["evidence"].rules if rule.id == "drawn_ache")
    assert dict(ache.lines)["For"].startswith("Every muscle.")


def test_it_lists_the_signs_of_a_muscle_with_what_is_published_of_each(shown):
    """Rathbone et al., Clin J Pain 2017;33:715-29; Lucas et al., Clin J Pain 2009;25:80-9: checked."""
    sections = {section.id: section for section in shown.context["page"].sections}
    rules = {rule.id: rule for rule in sections["muscles"].rules}
    assert {*muscle_signs.IDS, "strength", "pressure", "criteria"} <= set(rules)
    text = shown.content.decode()
    for figure in ("0.452", "0.676", "0.575", "-0.08 to 0.75", "-0.05 to 0.57", "54 %", "45 %"):
        assert figure in text
    assert ("How repeatable", "no figure") in rules["stretch_pain"].lines


def test_it_says_what_palpation_weighs_and_what_weighs_nothing(shown):
    sections = {section.id: section for section in shown.context["page"].sections}
    known = evidence_muscles.known()
    ids = [rule.id for rule in sections["palpation"].rules]
    assert ids[: len(known.pressing)] == [one.saying.id for one in known.pressing]
    assert {f"silent-{one.id}" for one in known.silent} <= set(ids)
    active = dict(sections["palpation"].rules[0].lines)
    assert "(weight +0.13)" in active["For"] and "{" not in active["For"]


def test_it_lists_every_movement_with_its_least_change_or_that_there_is_no_figure(shown):
    sections = {section.id: section for section in shown.context["page"].sections}
    rules = {rule.id: dict(rule.lines) for rule in sections["ranges"].rules}
    assert list(rules) == list(ranges.load().movements)
    for movement in ranges.load().movements.values():
        said = rules[movement.id]["Least change"]
        assert (said == "no figure") == (not movement.changes)
        assert not movement.changes or movement.changes[-1].level in said


def test_it_tells_every_muscle_over_the_lung_and_every_one_that_consent_names(shown):
    told = {section.id: section.rules for section in shown.context["page"].sections}
    lung = " ".join(words for _, words in told["needling-lung"][0].lines).lower()
    areas = " ".join(words for rule in told["consent-areas"] for _, words in rule.lines).lower()
    for id_, muscle in atlas.load().muscles.items():
        assert muscle.name.lower() in areas, id_
        assert (muscle.name.lower() in lung) or id_ not in needling_file.load().pleura, id_
