"""The growing year begins at the winter solstice, north and south."""

from datetime import date

import pytest

from scionary.answers.growing_year import growing_year, in_leaf_date


@pytest.mark.parametrize(
    ("day", "latitude", "year"),
    [
        (date(2026, 12, 20), 47.2, 2026),
        (date(2026, 12, 21), 47.2, 2027),
        (date(2027, 2, 1), 47.2, 2027),
        (date(2026, 6, 20), -37.0, 2025),
        (date(2026, 6, 21), -37.0, 2026),
        (date(2027, 2, 1), -37.0, 2026),
        (date(2026, 7, 1), None, 2026),
    ],
)
def test_a_year_begins_at_the_winter_solstice_of_its_hemisphere(day: date, latitude: float | None, year: int) -> None:
    assert growing_year(day, latitude) == year


@pytest.mark.parametrize(
    ("grafted", "latitude", "expected"),
    [
        (date(2026, 2, 14), 47.2, date(2027, 5, 19)),
        (date(2026, 8, 5), 47.2, date(2027, 5, 19)),
        (date(2026, 12, 25), 47.2, date(2028, 5, 18)),
        (date(2026, 2, 5), -37.0, date(2026, 11, 17)),
        (date(2026, 7, 30), -37.0, date(2027, 11, 17)),
    ],
)
def test_leaf_is_looked_for_in_the_spring_after_the_grafts_own_year(grafted: date, latitude: float, expected: date) -> None:
    assert in_leaf_date(grafted, latitude, 60) == expected
