"""When something was done, as growers write it."""

from __future__ import annotations

import datetime as dt

import pytest

from scionary.files.past_counts import Puzzle
from scionary.files.past_dates import When, read_dates


def one(text: object, **more: object) -> When | Puzzle:
    """A column with a single cell."""
    return read_dates([text], **more).values[0]  # type: ignore[list-item,arg-type]


@pytest.mark.parametrize(
    ("text", "date", "year", "precision"),
    [
        ("2025-03-12", dt.date(2025, 3, 12), 2025, "day"),
        ("12 Mar 2025", dt.date(2025, 3, 12), 2025, "day"),
        ("14.2.2024", dt.date(2024, 2, 14), 2024, "day"),
        ("13/3/25", dt.date(2025, 3, 13), 2025, "day"),
        (dt.datetime(2025, 3, 12, 9), dt.date(2025, 3, 12), 2025, "day"),
        ("March 2025", dt.date(2025, 3, 1), 2025, "month"),
        ("early March 2025", dt.date(2025, 3, 1), 2025, "month"),
        ("about 12 Mar 2025", dt.date(2025, 3, 1), 2025, "month"),
        ("2025-03", dt.date(2025, 3, 1), 2025, "month"),
        ("3/2025", dt.date(2025, 3, 1), 2025, "month"),
        ("spring 2025", None, 2025, "season"),
        ("winter 2024/25", None, 2025, "season"),
        ("2025", None, 2025, "year"),
        (2025, None, 2025, "year"),
        ("?", None, None, None),
        ("", None, None, None),
    ],
)
def test_forms_that_are_understood(text: object, date: dt.date | None, year: int | None, precision: str | None) -> None:
    read = one(text)
    assert isinstance(read, When), read
    assert (read.date, read.year, read.precision) == (date, year, precision)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("12/3/25", "can be 12 March 2025 (dmy) or 3 December 2025 (mdy)"),
        ("31 Feb 2024", "there is no day '31 Feb 2024'."),
        ("Mar 25", "is 25 the day or the year"),
        ("12 March", "names no year"),
        ("12/3", "names no year"),
        ("when the cuckoo came", "is no date"),
    ],
)
def test_what_is_not_understood_says_why(text: str, why: str) -> None:
    read = one(text)
    assert isinstance(read, Puzzle), read
    assert why in read.why


def test_one_day_above_twelve_settles_the_column() -> None:
    column = read_dates(["3/4/25", "13/4/25", "2025-01-02"])
    assert [value.date for value in column.values] == [dt.date(2025, 4, 3), dt.date(2025, 4, 13), dt.date(2025, 1, 2)]  # type: ignore[union-attr]
    assert column.orders == ()


def test_order_given_settles_it_and_what_does_not_fit_is_told() -> None:
    column = read_dates(["3/4/25", "4/13/25", "13/4/25"], "mdy")
    assert [isinstance(value, When) for value in column.values] == [True, True, False]
    assert column.values[0].date == dt.date(2025, 3, 4)  # type: ignore[union-attr]
    assert "as month/day/year" in column.values[2].why  # type: ignore[union-attr]


def test_undecided_column_names_its_choices_and_leaves_the_rest_alone() -> None:
    column = read_dates(["3/4/25", "2025-05-06"])
    assert column.orders == ("dmy", "mdy")
    assert isinstance(column.values[0], Puzzle)
    assert isinstance(column.values[1], When)


def test_column_in_two_orders_is_asked_about() -> None:
    column = read_dates(["13/4/25", "4/13/25"])
    assert set(column.orders) >= {"dmy", "mdy"}
    assert all(isinstance(value, Puzzle) for value in column.values)


def test_year_from_its_own_column_completes_a_date() -> None:
    column = read_dates(["12 Mar", "13/3", "Mar 14", "2023-01-02"], years=[2025, 2024, 2025, 2025])
    assert [value.date for value in column.values] == [
        dt.date(2025, 3, 12),
        dt.date(2024, 3, 13),
        dt.date(2025, 3, 14),
        dt.date(2023, 1, 2),
    ]  # type: ignore[union-attr]
