"""The facts of a report, a line each."""

import numpy as np

from scionary.answers.air_facts import air_facts, callus_facts
from scionary.book.models import Nursery
from scionary.dome import AirLimits, air_report

HOUR = 3600.0
BEGIN = 1.7712e9  # 16 Feb 2026, midnight in UTC


def facts_of(temperature_c, humidity_pct, *, unit="C"):
    time_s = BEGIN + np.arange(len(temperature_c)) * HOUR
    nursery = Nursery(time_zone="UTC", temperature_unit=unit)
    report = air_report(time_s, temperature_c, humidity_pct)
    return {
        fact.what: fact
        for fact in [
            *air_facts(report, AirLimits(), nursery, hours_unknown=report.hours_unknown),
            *callus_facts(report, nursery, grafted=False),
        ]
    }


def test_hours_are_said_of_what_is_known():
    found = facts_of([20.0, *[32.0] * 2, *[20.0 + 0.1 * (i % 3) for i in range(22)]], [95.0 + i % 3 for i in range(25)])
    assert found["In the callus band, 17 °C to 24 °C"].value == "22 hours of 24 hours known"
    assert found["Above 30 °C"].value == "2.0 h"
    assert found["Below 85 %"].value == "none"
    assert found["Not known"].value == "none"
    assert found["Leaves wet"].value == "24 hours of 24 hours known"
    assert found["Grey mould could germinate"].value == "21 hours in 1 spell"


def test_day_and_night_are_two_lines_in_the_persons_unit():
    temperature = [25.0 if 6 <= hour % 24 < 18 else 15.0 for hour in range(49)]
    found = facts_of(temperature, [90.0 + i % 2 for i in range(49)], unit="F")
    assert found["By day"].value == "77 °F, 90 % on the mean"
    assert found["By night"].value.startswith("59 °F")


def test_what_a_silent_sensor_leaves_open_is_said_to_be_open():
    found = facts_of([20.0, 20.1, 20.2], [np.nan] * 3)
    assert found["The air lacked"].value == "not known"
    assert found["Leaves wet"].value == "not known"
    assert found["Not known"].why == "Humidity was not measured: unknown is not fine."


def test_the_callus_clock_says_its_date_and_range_and_that_it_assumes():
    found = facts_of([25.0] * 241, [95.0 + i % 3 for i in range(241)])
    assert found["Callus clock"].value == "10.0 days"
    assert "as if grafted on 16 February, when the log began; an assumption" in found["Callus clock"].why
    assert found["First look worth while"].value == "Mon 9 Mar 2026"
    assert found["First look worth while"].why == "Between Mon 2 Mar 2026 and Mon 16 Mar 2026."


def test_a_log_of_two_days_foretells_nothing():
    found = facts_of([25.0] * 49, [95.0 + i % 3 for i in range(49)])
    assert (found["Callus clock"].value, found["First look worth while"].value) == ("2.0 days", "no date")


def test_a_cold_dome_gets_no_date():
    found = facts_of([6.0] * 100, [95.0 + i % 3 for i in range(100)])
    assert found["First look worth while"].value == "no date"
