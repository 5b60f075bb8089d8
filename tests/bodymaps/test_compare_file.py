"""The numbers of comparing: each with its source, refused when they can't be."""

import copy
import tomllib

import pytest

from bodymaps import compare_file
from bodymaps.compare_file import FILE, CompareError, checked


@pytest.fixture
def data():
    return copy.deepcopy(tomllib.loads(FILE.read_text(encoding="utf-8")))


def test_the_spread_of_redraws_is_the_printed_one():
    """Leoni D et al., conference abstract, 2013 (repository.supsi.ch/2403), checked: mean Jaccard 0.62 ±
    0.18, two drawings one minute apart, 29 and 23 people.
    """
    redraw = compare_file.rules().redraw
    assert (redraw.mean, redraw.sd, redraw.minutes) == (0.62, 0.18, 1)
    assert redraw.status == "checked" and "29" in redraw.people and "23" in redraw.people


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("crumb_mm2",), -1, "crumb_mm2"),
        (("region_share",), 0.4, "region_share"),
        (("redraw", "mean"), 62, "redraw.mean"),
        (("redraw", "sd"), 0, "redraw.sd"),
        (("redraw", "source"), " ", "redraw.source"),
        (("redraw", "status"), "sure", "redraw: status"),
        (("spine", "least_mm"), 0, "least_mm"),
        (("spine", "regions"), ["back:tail"], "back:tail is not a region"),
        (("limb", 0, "root"), ["fin"], "limb arm: fin is not a part"),
        (("limb", 1, "status"), None, "limb leg: status"),
    ],
)
def test_it_names_what_to_mend(data, path, value, words):
    at = data
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    with pytest.raises(CompareError, match=words):
        checked(data)


def test_it_names_what_is_missing(data):
    del data["spine"]["least_mm"]
    with pytest.raises(CompareError, match=r"compare.toml: least_mm is missing"):
        checked(data)
