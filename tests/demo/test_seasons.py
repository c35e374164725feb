"""When Tarn Bridge grafts, whatever day it is."""

from datetime import date, timedelta

import pytest

from scionary.demo.seasons import coming_season, past_fillings, past_seasons, present_fillings, year_of

DAYS = [
    date(2026, 1, 3),
    date(2026, 2, 28),
    date(2026, 7, 15),
    date(2026, 10, 20),
    date(2026, 11, 25),
    date(2028, 2, 29),
    date(2026, 12, 31),
]


@pytest.mark.parametrize("today", DAYS)
def test_past_grafts_are_out_of_the_domes_before_those_of_today_go_in(today: date) -> None:
    last_out = max(f.day for f in past_fillings(today, 20)) + timedelta(days=46)
    assert last_out < min(f.day for f in present_fillings(today, 20))


@pytest.mark.parametrize("today", DAYS)
def test_two_whole_growing_years_lie_behind(today: date) -> None:
    fillings = past_fillings(today, 20)
    assert {f.season for f in fillings} == set(past_seasons(today))
    assert all(year_of(f.day) == f.season for f in fillings)
    assert 390 <= sum(f.grafts for f in fillings) <= 410


@pytest.mark.parametrize("today", DAYS)
def test_wishes_are_for_a_year_that_is_not_over(today: date) -> None:
    assert year_of(today) <= coming_season(today) <= year_of(today) + 1


def test_the_year_that_is_coming_changes_after_the_summer_bench() -> None:
    assert coming_season(date(2026, 8, 15)) == 2026
    assert coming_season(date(2026, 8, 16)) == 2027


def test_grafts_in_leaf_are_made_in_summer_only() -> None:
    assert all(f.leafy for f in present_fillings(date(2026, 8, 20), 20))
    assert not any(f.leafy for f in present_fillings(date(2026, 2, 20), 20))
