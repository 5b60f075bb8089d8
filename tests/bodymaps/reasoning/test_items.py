"""The catalogues of what can be asked and found: what they hold, and what the loader refuses."""

import pytest

from bodymaps.reasoning import conditions, items
from bodymaps.reasoning.items import FINDING_TYPES, HISTORY_TYPES, ItemsError

PAGES = {"danger", "asked on", "story", "standing"}


def catalogue(*entries, scales=(), **more):
    group = {"id": "g", "title": "Group", "page": "story", "items": list(entries)}
    return {"version": "v-1", "group": [group], "scale": list(scales), **more}


def item(**more):
    return {"key": "k", "type": "yes_no", "label": "Label", **more}


def choice(*choices, type="choice"):  # noqa: A002 - the member
    return item(type=type, choices=list(choices))


def scale(**more):
    known = {"id": "s", "name": "Scale", "source": "common practice", "status": "checked"}
    return {**known, "grades": [["0", "none"], ["1", "some"]], "within_normal": ["1"], "normal": "1", **more}


def read(data, types=HISTORY_TYPES):
    return items.read(data, types, "file.toml")


# What is there.


def test_the_history_is_asked_on_four_pages_and_each_has_items():
    assert {group.page for group in items.history().groups} == PAGES
    assert all(items.history().on_page(page) for page in PAGES)


def test_every_question_of_the_danger_pages_is_answered_yes_no_or_not_sure():
    groups = (*items.history().on_page("danger"), *items.history().on_page("asked on"))
    assert {one.type for group in groups for one in group.items} == {"yes_no"}
    # What is not asked of the patient is seen by the clinician.
    assert all("?" in one.ask for group in groups for one in group.items if one.ask)


def test_exactly_the_items_of_the_standing_page_stand():
    standing = {one.key for group in items.history().on_page("standing") for one in group.items}
    assert standing == {one.key for one in items.history().items.values() if one.standing}


def test_every_condition_of_an_item_can_be_read_and_hangs_on_an_item_before_it():
    order = list(items.history().items)
    for one in items.history().items.values():
        if one.only_if:
            asks = conditions.read(one.only_if).keys()
            assert all(order.index(key) < order.index(one.key) for key in asks), one.key


def test_every_graded_finding_names_a_source_itself_or_by_its_scale():
    found = items.findings()
    graded = [one for one in found.items.values() if one.type == "grade"]
    assert all(one.source or found.scale_of(one).source for one in graded)


def test_every_scale_ends_with_not_tested():
    assert {scale.grades[-1].id for scale in items.findings().scales.values()} == {"NT"}


def test_it_says_a_value_in_words():
    known = items.history().items
    assert known["onset"].words_for("sudden") == "suddenly"
    assert known["brings_on"].words_for(("turn_head", "reach")) == "turning the head, reaching"
    assert known["morning_stiffness"].words_for(45.0) == "45 min"
    assert known["fever"].words_for("unsure") == "not sure"
    assert known["goals"].words_for("To swim.") == "To swim."


# What is refused: with file, entry and reason.


@pytest.mark.parametrize(
    ("entry", "reason"),
    [
        ({"type": "yes_no", "label": "Label"}, "file.toml: item ?: key must be a text"),
        (item(label=" "), "file.toml: item k: label must be a text"),
        (item(type=3), "file.toml: item k: type must be a text"),
        (item(type="grade"), "file.toml: item k: type must be one of choice, choices, yes_no, number, text"),
        (item(colour="red"), "file.toml: item k: unknown member colour"),
        (item(type="number"), "file.toml: item k: a number needs unit, least and most"),
        (item(type="number", unit="min", least=0), "file.toml: item k: a number needs unit, least and most"),
        (item(type="number", least=0, most=9), "file.toml: item k: a number needs unit, least and most"),
        (item(type="number", unit="min", least=9, most=0), "file.toml: item k: least must be below most"),
        (choice(), "file.toml: item k: at least two choices are needed"),
        (choice(["a", "A"]), "file.toml: item k: at least two choices are needed"),
        (choice(["a", "A"], ["a", "B"]), "file.toml: item k: at least two choices are needed"),
        (choice(["a", "A"], ["b", "B"], ["a", "C"], type="choices"), "each with an id of its own"),
        (choice(["a", "A"], ["b"]), "file.toml: item k: a choice is an id and its words"),
    ],
)
def test_it_refuses_an_item(entry, reason):
    with pytest.raises(ItemsError) as refused:
        read(catalogue(entry))
    assert reason in str(refused.value)


@pytest.mark.parametrize(
    ("made", "reason"),
    [
        (scale(name=""), "file.toml: scale s: name must be a text"),
        ({"name": "No id"}, "file.toml: scale ?: id must be a text"),
        (scale(source=None), "file.toml: scale s: source must be a text"),
        (scale(grades=[]), "file.toml: scale s: grades are needed"),
        (scale(grades=[["1", "some"], ["NT", "not tested"]]), "NT is added to every scale"),
        (scale(within_normal=["2"]), "file.toml: scale s: within_normal must be grades of it"),
        (scale(normal="0"), "file.toml: scale s: within_normal must be grades of it, normal one of them"),
    ],
)
def test_it_refuses_a_scale(made, reason):
    with pytest.raises(ItemsError) as refused:
        read(catalogue(item(type="grade", scale="s"), scales=[made]), FINDING_TYPES)
    assert reason in str(refused.value)


def test_it_refuses_a_grade_without_its_scale():
    with pytest.raises(ItemsError, match="item k: scale must be one of s"):
        read(catalogue(item(type="grade", scale="t"), scales=[scale()]), FINDING_TYPES)


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (catalogue(item(), item()), "file.toml: two items have the key k"),
        (catalogue(), "file.toml: a version and at least one group with items are needed"),
        (catalogue(item(), version=3), "file.toml: a version and at least one group with items are needed"),
        ({}, "file.toml: a version and at least one group with items are needed"),
        ({"version": "v-1", "group": [{"title": "T", "page": "story"}]}, "group ?: id must be a text"),
        ({"version": "v-1", "group": [{"id": "g", "title": "T"}]}, "group g: page must be a text"),
    ],
)
def test_it_refuses_a_file(data, reason):
    with pytest.raises(ItemsError) as refused:
        read(data)
    assert reason in str(refused.value)


def test_what_a_group_shares_its_items_have_unless_they_say_otherwise():
    data = catalogue(item(key="a"), item(key="b", source="Another"))
    data["group"][0] |= {"source": "One source", "sided": True}
    made = read(data).items
    assert (made["a"].source, made["b"].source, made["a"].sided) == ("One source", "Another", True)
