"""The growing year runs from autumn to autumn, north and south."""

from datetime import date, timedelta

import pytest

from scionary.answers.growing_year import growing_year, in_leaf_date, in_leaf_season, leafing_date, year_days, year_words
from scionary.book.models import Nursery


@pytest.mark.parametrize(
    ("day", "latitude", "year"),
    [
        (date(2026, 9, 21), 47.2, 2026),
        (date(2026, 9, 22), 47.2, 2027),
        (date(2026, 11, 25), 47.2, 2027),
        (date(2027, 2, 1), 47.2, 2027),
        (date(2026, 3, 19), -37.0, 2025),
        (date(2026, 3, 20), -37.0, 2026),
        (date(2027, 2, 1), -37.0, 2026),
        (date(2026, 7, 1), None, 2026),
    ],
)
def test_a_year_begins_at_the_autumn_equinox_of_its_hemisphere(day: date, latitude: float | None, year: int) -> None:
    assert growing_year(day, latitude) == year


@pytest.mark.parametrize(
    ("grafted", "latitude", "expected"),
    [
        (date(2026, 2, 14), 47.2, date(2027, 5, 19)),
        (date(2026, 8, 5), 47.2, date(2027, 5, 19)),
        (date(2026, 11, 25), 47.2, date(2028, 5, 19)),
        (date(2026, 2, 5), -37.0, date(2026, 11, 21)),
        (date(2026, 7, 30), -37.0, date(2027, 11, 21)),
    ],
)
def test_leaf_is_looked_for_in_the_spring_after_the_grafts_own_year(grafted: date, latitude: float, expected: date) -> None:
    assert in_leaf_date(grafted, latitude, 60) == expected


@pytest.mark.parametrize(
    ("day", "latitude", "leafy"),
    [
        (date(2026, 4, 18), 47.2, False),
        (date(2026, 4, 19), 47.2, True),
        (date(2026, 10, 21), 47.2, True),
        (date(2026, 10, 22), 47.2, False),
        (date(2026, 11, 25), -37.0, True),
        (date(2026, 7, 1), -37.0, False),
    ],
)
def test_trees_stand_in_leaf_from_spring_to_autumn(day: date, latitude: float, leafy: bool) -> None:
    assert in_leaf_season(day, latitude) is leafy


@pytest.mark.parametrize(
    ("day", "latitude", "since"),
    [
        (date(2026, 1, 5), 47.2, date(2026, 4, 19)),
        (date(2026, 7, 1), 47.2, date(2026, 4, 19)),
        (date(2026, 10, 21), 47.2, date(2026, 4, 19)),
        (date(2026, 10, 22), 47.2, date(2027, 4, 19)),
        (date(2026, 7, 1), -37.0, date(2026, 10, 22)),
        (date(2027, 1, 1), -37.0, date(2026, 10, 22)),
    ],
)
def test_they_come_into_leaf_a_month_after_the_spring_equinox(day: date, latitude: float, since: date) -> None:
    assert leafing_date(day, latitude) == since


@pytest.mark.parametrize("latitude", [47.2, None, -37.0])
@pytest.mark.parametrize("year", [2024, 2025, 2026])
def test_the_days_of_a_growing_year_are_those_that_belong_to_it(year: int, latitude: float | None) -> None:
    begin, end = year_days(year, latitude)
    around = [growing_year(day + timedelta(days=by), latitude) for day in (begin, end) for by in (-1, 0)]
    assert around == [year - 1, year, year, year + 1]


def test_a_growing_year_is_said_by_its_autumns_on_both_sides_of_the_equator() -> None:
    north, south = (Nursery(latitude_deg=latitude) for latitude in (54.0, -38.0))
    assert year_words(2027, north) == "Growing year 2027: autumn 2026 to autumn 2027."
    assert year_words(2027, south) == "Growing year 2027: autumn 2027 to autumn 2028."
