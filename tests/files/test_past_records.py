"""Three growers' files in three shapes, and what each row becomes."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from scionary.errors import BadFile, BadValue
from scionary.files.past_records import PastRecords, PastRow, read_past_records, suggest_columns
from scionary.files.spreadsheets import Table, read_table

DATA = Path(__file__).parent.parent / "data"


def table(name: str) -> Table:
    """A sample file as a table."""
    return read_table((DATA / name).read_bytes(), name=name)


def made(text: str) -> Table:
    """A table from a text."""
    return read_table(text.encode(), name="made.csv")


def row(records: PastRecords, number: int, season: int | None = None) -> PastRow:
    """The row of the file with this number, of one year in a wide file."""
    return next(one for one in records.rows if one.row == number and season in (None, one.season))


def puzzles(records: PastRecords) -> dict[tuple[int, str], str]:
    """Why, by row and column."""
    return {(one.row, one.column): one.why for one in records.not_understood}


def test_columns_of_one_row_a_graft_are_guessed() -> None:
    assert suggest_columns(table("past_one_row_a_graft.csv")) == {
        "No.": "label",
        "Cultivar": "cultivar",
        "Grafted on": "date",
        "How": "method",
        "Rootstock": "stock_lot",
        "Dome": "place",
        "Took?": "takes",
        "Unwrapped": "ignore",
        "Remarks": "note",
    }


def test_columns_of_counts_are_guessed() -> None:
    roles = ["cultivar", "date", "method", "stock_lot", "grafts", "takes", "place", "note"]
    assert list(suggest_columns(table("past_counts.xlsx")).values()) == roles


def test_columns_by_year_and_stage_are_guessed() -> None:
    guessed = suggest_columns(table("past_wide_by_year.csv"))
    assert guessed["2023 grafted"] == "grafts 2023"
    assert guessed["2024 firm"] == "takes 2024 firm"
    assert guessed["2024 in leaf"] == "takes 2024 in_leaf"
    assert guessed["Comments"] == "note"


def test_every_source_row_is_accounted_for() -> None:
    for name in ("past_one_row_a_graft.csv", "past_counts.xlsx", "past_wide_by_year.csv"):
        source = table(name)
        records = read_past_records(source)
        told = {one.row for one in (*records.rows, *records.not_understood, *records.left_out)}
        assert told == {one.number for one in source.rows}, name


def test_one_row_a_graft() -> None:
    records = read_past_records(table("past_one_row_a_graft.csv"))
    assert (len(records.rows), records.grafts) == (20, 20)
    assert row(records, 4) == PastRow(
        4, "Red Tarn", 1, dt.date(2024, 2, 12), 2024, "day", row(records, 4).looks, "side veneer", "S1 seedlings", "1", "1"
    )
    assert [row(records, number).takes for number in (4, 6, 7, 18)] == [1, 0, None, None]
    assert [row(records, number).outcome for number in (4, 6, 7, 18)] == ["alive", "dead", "unknown", "unknown"]


def test_mixed_date_forms_are_read_and_rough_ones_say_so() -> None:
    records = read_past_records(table("past_one_row_a_graft.csv"))
    dates = {number: (row(records, number).date, row(records, number).precision) for number in (8, 11, 14, 18, 21, 24, 25)}
    assert dates == {
        8: (dt.date(2024, 2, 12), "day"),
        11: (dt.date(2024, 2, 14), "day"),
        14: (dt.date(2024, 3, 3), "day"),
        18: (dt.date(2024, 3, 1), "month"),
        21: (None, "season"),
        24: (None, None),
        25: (None, "year"),
    }
    assert row(records, 21).season == 2024
    assert "when: spring 2024" in row(records, 21).note


def test_what_is_not_understood_has_row_column_and_reason() -> None:
    told = puzzles(read_past_records(table("past_one_row_a_graft.csv")))
    assert set(told) == {(12, "Took?"), (17, "Cultivar"), (23, "Grafted on"), (26, "Took?")}
    assert "can mean that it took or that it failed" in told[12, "Took?"]
    assert "no day '31 Feb 2024'" in told[23, "Grafted on"]


def test_ditto_marks_take_the_name_above_and_doubt_about_a_name_is_kept() -> None:
    records = read_past_records(table("past_one_row_a_graft.csv"))
    assert row(records, 6).cultivar == "Red Tarn"
    assert "the name is marked with ?" in row(records, 13).note


def test_ditto_below_a_missing_name_is_not_taken_from_further_up() -> None:
    records = read_past_records(made('Cultivar,Took\nRed Tarn,yes\n,yes\n"""",yes\n'))
    assert [one.row for one in records.rows] == [2]
    assert [one.row for one in records.not_understood] == [3, 4]


def test_near_miss_to_a_name_is_offered_never_taken() -> None:
    records = read_past_records(table("past_one_row_a_graft.csv"), known_cultivars=["Red Tarn", "Ash Gill"])
    assert (row(records, 10).cultivar, row(records, 10).did_you_mean) == ("Ash Gil", "Ash Gill")
    counts = read_past_records(table("past_counts.xlsx"), known_cultivars=["Red Tarn"])
    assert (row(counts, 18).cultivar, row(counts, 18).did_you_mean) == ("Red Tam", "Red Tarn")
    assert row(counts, 6).did_you_mean is None


def test_counts_with_comments_on_cells() -> None:
    records = read_past_records(table("past_counts.xlsx"))
    assert [(row(records, number).takes, row(records, number).grafts) for number in (6, 8, 9, 10, 12, 15)] == [
        (8, 10),
        (6, 6),
        (0, 6),
        (5, 8),
        (None, 4),
        (3, 4),
    ]
    assert "Result: Two more looked doubtful" in row(records, 6).note
    assert [one.text for one in records.left_out] == ["Total"]


def test_faults_of_counts_are_told() -> None:
    told = puzzles(read_past_records(table("past_counts.xlsx")))
    assert set(told) == {(14, "Result"), (16, "Result"), (17, "Result"), (21, "When"), (24, "Result")}
    assert told[14, "Result"] == "6 took of 5 grafted."
    assert "turns counts such as 8/10 into dates" in told[17, "Result"]


def test_wide_rows_become_one_row_a_year() -> None:
    records = read_past_records(table("past_wide_by_year.csv"))
    assert [(one.season, one.precision, one.grafts, one.takes) for one in records.rows if one.row == 2] == [
        (2023, "year", 10, 7),
        (2024, "year", 12, 8),
        (2025, "year", 10, 8),
    ]
    assert [one.season for one in records.rows if one.row == 4] == [2023, 2024]  # nothing was made in 2025


def test_looks_at_several_stages_stay_together_in_the_order_of_columns() -> None:
    looks = row(read_past_records(table("past_wide_by_year.csv")), 2, 2024).looks
    assert [(look.stage, look.takes) for look in looks] == [("firm", 11), (None, 9), ("in_leaf", 8)]
    assert row(read_past_records(table("past_wide_by_year.csv")), 2, 2024).stage == "in_leaf"


def test_a_fault_in_one_year_leaves_the_other_years() -> None:
    records = read_past_records(table("past_wide_by_year.csv"))
    assert puzzles(records)[8, "2023 took"] == "7 took of 6 grafted."
    assert [one.season for one in records.rows if one.row == 8] == [2024, 2025]


def test_stages_as_columns_of_a_plain_table() -> None:
    records = read_past_records(
        made("Cultivar,Graft date,Firm at 5 weeks,In leaf next spring\nRed Tarn,2025-02-18,y,n\nAsh Gill,2025-02-18,y,\n")
    )
    assert [(look.stage, look.takes) for look in records.rows[0].looks] == [("firm", 1), ("in_leaf", 0)]
    assert (records.rows[1].takes, records.rows[1].stage) == (1, "firm")


def test_ambiguous_dates_ask_for_their_order() -> None:
    source = made("Cultivar,Date,Took\nRed Tarn,3/4/25,yes\nAsh Gill,4 May 2025,yes\n")
    asked = read_past_records(source)
    assert asked.date_orders == ("dmy", "mdy")
    assert [one.row for one in asked.rows] == [3]
    told = read_past_records(source, date_order="mdy")
    assert told.rows[0].date == dt.date(2025, 3, 4)
    assert told.date_orders == ()


def test_year_in_a_column_of_its_own_completes_the_dates() -> None:
    records = read_past_records(made("Year,Cultivar,Date,Took\n2024,Red Tarn,12 Feb,yes\n2025,Red Tarn,13/2,no\n"))
    assert [one.date for one in records.rows] == [dt.date(2024, 2, 12), dt.date(2025, 2, 13)]


def test_person_s_mapping_wins() -> None:
    source = made("A,B,C\nRed Tarn,10,8\n")
    records = read_past_records(source, {"A": "cultivar", "B": "grafts", "C": "takes in_leaf"})
    assert (records.rows[0].grafts, records.rows[0].takes, records.rows[0].stage) == (10, 8, "in_leaf")


def test_mapping_that_cannot_be_is_refused() -> None:
    source = made("Cultivar,B,C\nRed Tarn,10,8\n")
    with pytest.raises(BadValue, match="column is 'D'; allowed: one of Cultivar, B, C"):
        read_past_records(source, {"D": "cultivar"})
    with pytest.raises(BadValue, match="role of a column is 'colour'"):
        read_past_records(source, {"B": "colour"})
    with pytest.raises(BadFile, match=r"made.csv, row 1: no column holds the cultivar"):
        read_past_records(source, {"B": "grafts"})
    with pytest.raises(BadValue, match="date_order"):
        read_past_records(source, date_order="american")


def test_blank_number_of_grafts_is_asked_for_and_nought_is_left_out() -> None:
    records = read_past_records(made("Cultivar,Grafted,Took\nRed Tarn,,\nAsh Gill,0,\nLanthorn,ten,8\nFell Lace,5 grafts,4\n"))
    assert puzzles(records) == {
        (2, "Grafted"): "how many were grafted?",
        (4, "Grafted"): "'ten' is no number of grafts.",
        (4, "Took"): "'8' of how many?",
    }
    assert [one.row for one in records.left_out] == [3]
    assert records.rows[0].grafts == 5
