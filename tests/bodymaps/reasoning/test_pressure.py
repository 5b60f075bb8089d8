"""Pressure pain threshold: 1 kgf is 9.80665 N exactly (CGPM 1901), so that 1 kgf/cm² is 98.0665 kPa."""

from __future__ import annotations

import pytest

from bodymaps.reasoning.felt import Pressure, load


def test_one_kilogram_force_on_a_square_centimetre_is_the_pressure_of_the_standards() -> None:
    assert load().limits.kpa_per_kgf_cm2 == pytest.approx(9.80665 / 1e-4 / 1000, rel=1e-12)


@pytest.mark.parametrize(("kgf", "kpa"), [(2.5, 245.2), (3.0, 294.2)])
def test_it_converts_to_kilopascals(kgf: float, kpa: float) -> None:
    """Worked by hand: 2.5 x 98.0665 = 245.16625, 3 x 98.0665 = 294.1995."""
    assert round(Pressure("kgf/cm2", (kgf,)).kpa, 1) == kpa


@pytest.mark.parametrize("value", [0.1, 1 / 3, 2.5, 19.99])
def test_there_and_back_loses_nothing(value: float) -> None:
    there = Pressure("kgf/cm2", (value,)).kpa
    assert Pressure("kPa", (there,)).kgf_cm2 == pytest.approx(value, abs=1e-9)


def test_the_mean_of_the_trials_counts_and_the_trials_are_said() -> None:
    taken = Pressure("kPa", (210, 225, 240), 1.0)
    assert taken.mean == taken.kpa == 225
    assert taken.words == "225 kPa (2.29 kgf/cm²), mean of 3 trials (210, 225, 240 kPa), tip 1 cm²"


def test_a_single_trial_says_so_and_an_unknown_tip_too() -> None:
    assert Pressure("kgf/cm2", (2.5,)).words == (
        "245.2 kPa (2.50 kgf/cm²), a single trial, area of the tip not recorded"
    )
