"""Frost dates on both sides of the equator."""

import json
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.season import frost_dates


def days_between(first, last):
    return np.arange(np.datetime64(first), np.datetime64(last) + 1)


def mild_but_for(days, *frosts):
    lowest = np.full(days.shape, 5.0)
    lowest[np.isin(days, np.array(frosts, dtype="datetime64[D]"))] = -1.0
    return lowest


def test_a_northern_year():
    days = days_between("2024-12-21", "2025-12-20")
    found = frost_dates(days, mild_but_for(days, "2025-01-10", "2025-04-28", "2025-10-03", "2025-11-20"))
    assert found.to_dict() == {
        "year": [2025],
        "last_spring_frost": ["2025-04-28"],
        "first_autumn_frost": ["2025-10-03"],
        "frost_free_days": [157],
        "spring_days_missing": [0],
        "autumn_days_missing": [0],
    }


def test_a_southern_year_spans_two_calendar_years():
    days = days_between("2025-06-21", "2026-06-20")
    found = frost_dates(days, mild_but_for(days, "2025-07-10", "2025-10-28", "2026-04-03", "2026-05-20"), southern=True)
    assert found.to_dict() == {
        "year": [2025],
        "last_spring_frost": ["2025-10-28"],
        "first_autumn_frost": ["2026-04-03"],
        "frost_free_days": [156],
        "spring_days_missing": [0],
        "autumn_days_missing": [0],
    }


@pytest.mark.parametrize("southern", [False, True])
def test_the_days_of_the_solstices_begin_a_half(southern):
    begin, middle = ("2025-06-21", "2025-12-21") if southern else ("2024-12-21", "2025-06-21")
    days = days_between(np.datetime64(begin) - 1, np.datetime64(middle))
    found = frost_dates(days, mild_but_for(days, begin, middle), southern=southern)
    assert found.to_dict()["last_spring_frost"] == [None, begin]
    assert found.to_dict()["first_autumn_frost"] == [None, middle]


def test_a_year_without_frost_has_no_dates_and_no_length():
    days = days_between("2024-12-21", "2025-12-20")
    found = frost_dates(days, mild_but_for(days)).to_dict()
    assert (found["last_spring_frost"], found["first_autumn_frost"], found["frost_free_days"]) == ([None], [None], [None])


def test_the_threshold_itself_is_frost():
    found = frost_dates(["2025-03-01", "2025-03-02", "2025-03-03"], [2.0, 2.1, 0.5], threshold_c=2.0)
    assert found.to_dict()["last_spring_frost"] == ["2025-03-03"]
    assert frost_dates(["2025-03-02"], [2.0], threshold_c=2.0).to_dict()["last_spring_frost"] == ["2025-03-02"]
    assert frost_dates(["2025-03-02"], [2.1], threshold_c=2.0).to_dict()["last_spring_frost"] == [None]


def test_days_left_out_and_days_blank_are_both_missing():
    days = days_between("2024-12-21", "2025-12-20")
    lowest = mild_but_for(days, "2025-04-28")
    lowest[(days >= np.datetime64("2025-05-01")) & (days < np.datetime64("2025-05-11"))] = np.nan
    found = frost_dates(days[:-7], lowest[:-7])
    assert found.spring_days_missing.tolist() == [10]
    assert found.autumn_days_missing.tolist() == [7]


def test_a_leap_year_has_a_day_more():
    assert frost_dates(["2024-01-01"], [5.0]).spring_days_missing.tolist() == [182]
    assert frost_dates(["2025-01-01"], [5.0]).spring_days_missing.tolist() == [181]


def plain_loop(days, lowest, *, southern):
    """Walk through calendar days with the standard library."""
    found = {}
    for day, low in zip(days, lowest, strict=True):
        first_half = (6, 21) <= (day.month, day.day) < (12, 21)
        year = day.year - (not (day.month, day.day) >= (6, 21)) if southern else day.year + ((day.month, day.day) >= (12, 21))
        spring = first_half if southern else not first_half
        row = found.setdefault(year, [None, None])
        if low <= 0 and spring:
            row[0] = max(row[0] or day, day)
        if low <= 0 and not spring:
            row[1] = min(row[1] or day, day)
    return found


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1), st.booleans())
def test_any_weather_in_any_order_agrees_with_a_plain_loop(seed, southern):
    rng = np.random.default_rng(seed)
    start = date(1999, 1, 1) + timedelta(days=int(rng.integers(0, 2000)))
    days = [start + timedelta(days=int(i)) for i in rng.permutation(900)[:700]]
    lowest = np.round(rng.normal(6, 4, size=700), 1)
    found = frost_dates(days, lowest, southern=southern)
    plain = plain_loop(days, lowest, southern=southern)
    assert found.year.tolist() == sorted(plain)
    assert found.last_spring_frost.tolist() == [plain[year][0] for year in sorted(plain)]
    assert found.first_autumn_frost.tolist() == [plain[year][1] for year in sorted(plain)]


def test_no_days_give_no_rows_and_strict_json():
    assert frost_dates([], []).to_dict()["year"] == []
    json.dumps(frost_dates(["2025-03-02"], [2.0]).to_dict(), allow_nan=False)


@pytest.mark.parametrize(
    ("days", "lowest", "message"),
    [
        (["2025-03-02", "2025-03-01", "2025-03-02"], [1, 2, 3], "dates is '2025-03-02' at index 2; allowed: each day at most once"),
        (["2025-03-02", "NaT"], [1, 2], "dates is 'NaT' at index 1"),
        (["2 March"], [1], "dates is .*allowed: days such as 2026-03-19"),
        (["2025-03-02"], [1, 2], "temperature_min_c is '2 numbers'; allowed: as many as dates, 1"),
        (["2025-03-02", "2025-03-03"], [1, -99], r"temperature_min_c is -99\.0 at index 1; allowed: -90 to 60 °C"),
        ("2025-03-02", 1, "allowed: one row of days"),
    ],
)
def test_what_cannot_be_read_as_days_is_refused(days, lowest, message):
    with pytest.raises(BadValue, match=message):
        frost_dates(days, lowest)
