"""How likely a frost still is, counted over years."""

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.season import frost_chances, frost_dates, warmest_day


def years_with(frosts, first=1991, southern=False):
    last = first + len(frosts)
    begin, end = (f"{first}-06-21", f"{last}-06-20") if southern else (f"{first - 1}-12-21", f"{last - 1}-12-20")
    days = np.arange(np.datetime64(begin), np.datetime64(end) + 1)
    lowest = np.full(days.size, 5.0)
    for year, pair in enumerate(frosts, first):
        for month_day, later in zip(pair, (0, int(southern)), strict=True):
            if month_day:
                lowest[days == np.datetime64(f"{year + later}-{month_day}")] = -1.0
    return days, lowest


TEN = [(f"04-{day:02d}", "10-10") for day in range(11, 21)]


def test_spring_becomes_safe_year_by_year():
    found = frost_chances(frost_dates(*years_with(TEN)))
    on = {int(day): chance for day, chance in zip(found.days_before_solstice, found.still_to_come, strict=True)}
    solstice = np.datetime64("1991-06-21")
    assert on[int((np.datetime64("1991-04-10") - solstice).astype(int))] == 1.0
    assert on[int((np.datetime64("1991-04-15") - solstice).astype(int))] == 0.5
    assert on[0] == 0.0
    assert found.spring_years == 10
    assert str(solstice + found.spring_safe(0.2)) == "1991-04-18"


def test_autumn_counts_the_other_way():
    found = frost_chances(frost_dates(*years_with(TEN)))
    assert str(np.datetime64("1991-06-21") + found.autumn_safe(0.1)) == "1991-10-09"
    assert found.already_come[-1] == 1.0


def test_the_southern_year_is_turned_by_half():
    days, lowest = years_with([("10-15", "04-10")] * 4, southern=True)
    found = frost_chances(frost_dates(days, lowest, southern=True), southern=True)
    assert str(np.datetime64("1991-12-21") + found.spring_safe(0.5)) == "1991-10-15"


def test_a_year_without_frost_is_a_safe_year():
    found = frost_chances(frost_dates(*years_with([("04-15", None), (None, None)])))
    assert found.still_to_come[0] == 0.5
    assert found.already_come[-1] == 0.0


def test_a_half_with_a_gap_is_not_counted():
    days, lowest = years_with(TEN)
    lowest[5] = np.nan
    assert frost_chances(frost_dates(days, lowest)).spring_years == 9


def test_few_years_never_say_never():
    found = frost_chances(frost_dates(*years_with(TEN)))
    assert found.still_to_come[-1] == 0.0
    assert 0.1 < found.high[-1] < 0.25


def test_no_whole_year_says_nothing():
    found = frost_chances(frost_dates(["2025-03-02"], [-1.0]))
    assert found.spring_safe() is None
    assert np.isnan(found.high).all()
    with pytest.raises(BadValue, match="chance is 1"):
        found.spring_safe(1.0)


def curve(days, warmest, southern=False):
    """Nights that are warmest so many days after the summer solstice."""
    solstice = np.datetime64("1990-12-21" if southern else "1990-06-21")
    return 8.0 + 10.0 * np.cos(2 * np.pi * ((days - solstice).astype(int) - warmest) / 365.25)


@pytest.mark.parametrize(("southern", "turn"), [(False, 28), (True, 28), (False, -20), (True, 90)])
def test_the_warmest_day_is_found_on_either_half_of_the_globe(southern, turn):
    days, _ = years_with([(None, None)] * 8, southern=southern)
    assert warmest_day(days, curve(days, turn, southern), southern=southern) == pytest.approx(turn, abs=1)


def test_even_warmth_and_a_record_of_winter_turn_at_the_solstice():
    days, lowest = years_with(TEN)
    assert warmest_day(days, lowest) == 0
    assert warmest_day(days[:60], lowest[:60]) == 0


def test_frosts_of_june_are_springs_where_july_is_the_warmest():
    days, lowest = years_with([("06-20", "09-30")] * 10)
    lowest[np.isin(days, [np.datetime64(f"{year}-06-21") for year in range(1991, 2001)])] = -1.0
    at_solstice, turned = (frost_chances(frost_dates(days, lowest, turn_d=turn), turn_d=turn) for turn in (0, 30))
    assert at_solstice.autumn_safe() is None
    assert str(np.datetime64("1991-06-21") + 30 + turned.spring_safe()) == "1991-06-21"
    assert str(np.datetime64("1991-06-21") + 30 + turned.autumn_safe()) == "1991-09-29"


def test_a_turn_far_from_summer_is_refused():
    with pytest.raises(BadValue, match="turn_d is 200"):
        frost_dates(["2025-03-02"], [-1.0], turn_d=200)
