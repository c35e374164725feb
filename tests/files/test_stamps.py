"""Dates and times in the forms that loggers and people write."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.files.dialects import find_delimiter, split_line
from scionary.files.stamps import local_seconds, looks_like_date, read_stamps


def read(text: str, order: str = "dmy") -> str:
    """One text as an ISO moment, or 'NaT'."""
    seconds = local_seconds(read_stamps([text]), order)[0]
    return "NaT" if np.isnan(seconds) else str(np.datetime64(int(seconds), "s"))


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("2025-03-12", "2025-03-12T00:00:00"),
        ("2025-03-12T07:05", "2025-03-12T07:05:00"),
        ("2025/3/2 7:05:09", "2025-03-02T07:05:09"),
        ("20250312", "2025-03-12T00:00:00"),
        ("12.03.2025 07:05", "2025-03-12T07:05:00"),
        ("12/3/25", "2025-03-12T00:00:00"),
        ("12/3/71", "1971-03-12T00:00:00"),
        ("12 Mar 2025", "2025-03-12T00:00:00"),
        ("12. März 2025", "2025-03-12T00:00:00"),
        ("12 août 2025", "2025-08-12T00:00:00"),
        ("12-Mar-25", "2025-03-12T00:00:00"),
        ("March 12, 2025", "2025-03-12T00:00:00"),
        ("Wed 12 Mar 2025 19:30", "2025-03-12T19:30:00"),
        ("12/03/2025 12:05 AM", "2025-03-12T00:05:00"),
        ("12/03/2025 12:05 p.m.", "2025-03-12T12:05:00"),
        ("2025-03-12 24:00", "2025-03-13T00:00:00"),
        ("29/02/2024", "2024-02-29T00:00:00"),
    ],
)
def test_forms_that_are_read(text: str, moment: str) -> None:
    assert looks_like_date(text)
    assert read(text) == moment


@pytest.mark.parametrize(
    "text",
    [
        "29/02/2025",
        "2025-13-01",
        "31 Apr 2025",
        "12/03/2025 13:05 PM",
        "2025-03-12 25:00",
        "2025-03-12 10:60",
        "word",
        "",
        "21.5",
        "12 Foo 2025",
    ],
)
def test_what_is_no_moment_is_not_read(text: str) -> None:
    assert read(text) == "NaT"


def test_order_decides_which_number_is_the_month() -> None:
    assert [read("03/04/2025", order)[:10] for order in ("dmy", "mdy", "ymd")] == ["2025-04-03", "2025-03-04", "NaT"]
    assert read("03-04-05", "ymd")[:10] == "2003-04-05"


def test_parts_of_a_second_and_offsets_are_kept() -> None:
    stamps = read_stamps(["2025-03-12 10:00:00.250", "2025-03-12 10:00:00-05:30", "2025-03-12 10:00:00+01:00", "2025-03-12 10:00"])
    assert stamps.day_s.tolist() == [36000.25, 36000.0, 36000.0, 36000.0]
    assert stamps.offset_s[1:3].tolist() == [-19800.0, 3600.0]
    assert np.isnan(stamps.offset_s[[0, 3]]).all()


def test_a_mixed_column_is_read_shape_by_shape() -> None:
    texts = ["2025-03-12", "1.2.2025", "nonsense", "11.12.2025 1:00", "3 Apr 2025"] * 3
    days = local_seconds(read_stamps(texts), "dmy") // 86400
    assert np.array_equal(days[:5], days[5:10], equal_nan=True)
    assert [str(np.datetime64(int(day), "D")) for day in days[[0, 1, 3, 4]]] == ["2025-03-12", "2025-02-01", "2025-12-11", "2025-04-03"]
    assert np.isnan(days[2])


def test_separator_is_told_from_a_decimal_comma() -> None:
    assert find_delimiter(["Zeit;Temp;RF"] + [f"12.03.2025 07:{minute:02d};21,{minute};85,5" for minute in range(20)]) == ";"
    assert find_delimiter(["a,b,c"] + [f"2025-03-12 07:{minute:02d},21.{minute},85.5" for minute in range(20)]) == ","
    assert find_delimiter(["Name\tTook, of all", "Red Tarn\t8, or so", "Ash Gill\t7, or so"]) == "\t"
    assert find_delimiter(["just", "words"]) is None


def test_quote_that_never_closes_is_an_ordinary_character() -> None:
    assert split_line('a,"b,c",d', ",") == ["a", "b,c", "d"]
    assert split_line('a,"b,c', ",") == ["a", '"b', "c"]
