"""The data files: what they hold, and what the loaders say of a wrong one."""

import copy
import tomllib

import pytest

from bodymaps.reasoning import ratios_file
from charting.assessment import certainty, near


@pytest.fixture
def words():
    return copy.deepcopy(tomllib.loads(certainty.FILE.read_text(encoding="utf-8")))


def test_it_has_a_word_that_rules_out_and_several_that_do_not():
    known = certainty.load()
    assert {each.excludes for each in known.words} == {True, False}
    assert known.words_for("likely") == "likely"
    assert known.words_for("of another version") == "of another version"


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("explains", "", "explains must be a text"),
        ("excludes", "no", "excludes must be true or false"),
        ("status", "sure", "status must be one of"),
        ("id", "possible", "the same id"),
    ],
)
def test_it_names_file_entry_and_what_to_mend(words, name, value, said):
    words["certainty"][0][name] = value
    with pytest.raises(certainty.CertaintyError, match=f"certainty.toml: .*{said}"):
        certainty.read(words)


def test_every_cluster_of_tests_has_its_place_beside_the_drawing():
    # Those about the cord stand with the visit as a whole.
    abouts = {rule.about.id for rule in ratios_file.load().clusters} - {"myelopathy"}
    assert abouts and not abouts - set(near.load().about)


def test_it_refuses_a_part_of_the_body_that_there_is_not():
    with pytest.raises(near.NearError, match="near.toml: groups.jaw: snout is no part"):
        near.read({"groups": {"jaw": ["snout"]}, "about": {}})
