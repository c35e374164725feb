"""Tables written, and read back the same."""

from __future__ import annotations

import datetime as dt

import pytest

from scionary.errors import BadValue
from scionary.files.spreadsheets import read_table, write_table_csv, write_table_xlsx

HEADERS = ["Cultivar", "Grafts", "Share", "Made on", "Note"]
ROWS = [
    ["Red Tarn", 10, 0.8, dt.date(2025, 3, 12), "Rosée, ×, “quoted”"],
    ["=1+1", -5, None, None, "@home"],
    ["+Ash Gill", 0, 1.5, dt.date(2025, 8, 5), "- dash\nsecond line"],
]


def test_csv_never_begins_a_cell_of_text_like_a_formula() -> None:
    text = write_table_csv(HEADERS, ROWS).decode()
    assert "'=1+1,-5,,,'@home\r\n" in text
    assert not any(cell.lstrip('"')[:1] in ("=", "+", "@") for line in text.splitlines() for cell in line.split(","))


def test_csv_is_read_back_as_it_was_written() -> None:
    table = read_table(write_table_csv(HEADERS, ROWS), name="made.csv")
    assert table.headers == tuple(HEADERS)
    assert [row.cells[0] for row in table.rows] == ["Red Tarn", "=1+1", "+Ash Gill"]
    assert table.rows[0].cells == ("Red Tarn", "10", "0.8", "2025-03-12", "Rosée, ×, “quoted”")


def test_xlsx_is_read_back_as_it_was_written() -> None:
    table = read_table(write_table_xlsx(HEADERS, ROWS, notes={(1, 0): "a comment"}), name="made.xlsx")
    assert table.rows[0].cells == ("Red Tarn", 10, 0.8, dt.date(2025, 3, 12), "Rosée, ×, “quoted”")
    assert table.rows[1].cells == ("=1+1", -5, "", "", "@home")
    assert table.notes == {(3, 0): "a comment"}


def test_same_table_gives_the_same_file() -> None:
    assert write_table_xlsx(HEADERS, ROWS) == write_table_xlsx(HEADERS, ROWS)


def test_sheet_name_with_signs_that_are_not_allowed_is_cleaned() -> None:
    assert read_table(write_table_xlsx(HEADERS, ROWS, sheet="a/b:" + "c" * 40), name="made.xlsx").sheet == "a b " + "c" * 27


def test_control_characters_are_dropped() -> None:
    assert b"\x07" not in write_table_csv(["a"], [["bell\x07"]])
    assert read_table(write_table_xlsx(["a", "b"], [["bell\x07", "c"]]), name="made.xlsx").rows[0].cells == ("bell", "c")


def test_text_too_long_for_a_cell_is_refused() -> None:
    with pytest.raises(BadValue, match="text of a cell is '40000 characters'"):
        write_table_xlsx(["a"], [["x" * 40_000]])
