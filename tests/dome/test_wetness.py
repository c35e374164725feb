"""Wet leaves and mould weather, by hand."""

import numpy as np
import pytest

from scionary.dome import AirLimits, air_report

HOUR = 3600.0


def wet_of(temperature_c, humidity_pct):
    return air_report(np.arange(len(temperature_c)) * HOUR, temperature_c, humidity_pct).wetness


def test_eight_hours_in_the_band_are_a_spell_and_seven_are_none():
    humidity = [80.0, *[94.0] * 7, 80.0, *[94.0] * 8, 80.0, 80.0]
    found = wet_of([20.0] * len(humidity), humidity)
    assert (found.mould_spells, found.hours_mould, found.longest_mould_h) == (1, 8.0, 8.0)
    assert found.hours_wet == 15.0


@pytest.mark.parametrize("temperature_c", [12.9, 24.1])
def test_too_cold_and_too_warm_for_mould(temperature_c):
    assert wet_of([temperature_c] * 12, [99.0] * 12).mould_spells == 0


def test_an_unknown_reading_breaks_a_spell():
    humidity = [95.0] * 14
    humidity[6] = float("nan")
    assert wet_of([18.0] * 14, humidity).mould_spells == 0
    assert wet_of([18.0] * 14, [95.0] * 14).mould_spells == 1


def test_the_rule_can_be_changed():
    limits = AirLimits(mould_after_s=3 * HOUR, wet_pct=96.0)
    report = air_report(np.arange(5) * HOUR, [18.0] * 5, [95.0] * 5, limits)
    assert (report.wetness.mould_spells, report.wetness.hours_wet) == (1, 0.0)


def test_an_empty_log_has_no_wet_hours():
    assert air_report([], [], []).wetness.hours_mould == 0.0
