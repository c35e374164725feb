"""A grower's wish list."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from scionary.errors import BadFile, BadValue
from scionary.files.spreadsheets import read_table
from scionary.files.wishes import Wish, read_wishes

FILE = Path(__file__).parent.parent / "data" / "wishes.csv"
TABLE = read_table(FILE.read_bytes(), name="wishes.csv")


def test_columns_are_guessed_from_the_growers_own_names() -> None:
    assert read_wishes(TABLE).mapping == {
        "Cultivar": "cultivar",
        "How many": "number",
        "By when": "by_when",
        "Price each": "worth",
        "For whom": "note",
    }


def test_wish_with_everything_is_read() -> None:
    assert read_wishes(TABLE).rows[0] == Wish(3, "Red Tarn", 20, dt.date(2027, 5, 1), 2027, "month", 45.0, "", "open day")


def test_prices_and_times_in_several_forms() -> None:
    wishes = {wish.row: wish for wish in read_wishes(TABLE).rows}
    assert [wishes[row].worth for row in (4, 5, 7, 8)] == [38.5, 60.0, None, 1200.0]
    assert [(wishes[row].by_year, wishes[row].precision) for row in (4, 5, 7, 8)] == [
        (2027, "year"),
        (2028, "season"),
        (2027, "day"),
        (None, None),
    ]
    assert wishes[9].number is None


def test_what_is_not_understood_has_its_place() -> None:
    told = [(one.row, one.column, one.why) for one in read_wishes(TABLE).not_understood]
    assert told == [(6, "How many", "'a few' is no number of plants."), (10, "Cultivar", "no cultivar is named.")]


def test_near_miss_to_a_known_name_is_offered() -> None:
    wishes = {wish.row: wish for wish in read_wishes(TABLE, known_cultivars=["Merrybeck"]).rows}
    assert (wishes[8].cultivar, wishes[8].did_you_mean) == ("Merrybeckk", "Merrybeck")
    assert wishes[7].did_you_mean is None


def test_mapping_that_cannot_be_is_refused() -> None:
    with pytest.raises(BadFile, match="no column holds the cultivar"):
        read_wishes(TABLE, {"Cultivar": "number"})
    with pytest.raises(BadValue, match="role of a column is 'colour'"):
        read_wishes(TABLE, {"How many": "colour"})


def test_ambiguous_date_names_its_choices() -> None:
    table = read_table(b"Cultivar,Number,By when\nRed Tarn,5,3/4/27\n", name="made.csv")
    assert read_wishes(table).date_orders == ("dmy", "mdy")
    assert read_wishes(table, date_order="dmy").rows[0].by_when == dt.date(2027, 4, 3)


@pytest.mark.parametrize("header", ["Sure", "How sure", "Certainty", "sure to be enough"])
def test_how_sure_is_read_as_a_share_of_years(header: str) -> None:
    typed = "90 %|0.9|9 in 10|nine years in ten|9/10|90"
    rows = "".join(f"Red Tarn,5,{text}\n" for text in typed.split("|"))
    listed = read_wishes(read_table(f"Cultivar,Number,{header}\n{rows}Red Tarn,5,\n".encode(), name="made.csv"))
    assert listed.mapping[header] == "assurance"
    assert [wish.assurance for wish in listed.rows] == [*[pytest.approx(0.9)] * 6, None]


@pytest.mark.parametrize("text", ["yes", "3", "100 %", "four in ten", "20 in 10"])
def test_a_certainty_that_says_nothing_is_asked_about(text: str) -> None:
    listed = read_wishes(read_table(f"Cultivar,Number,Sure\nRed Tarn,5,{text}\n".encode(), name="made.csv"))
    assert [(one.column, one.text) for one in listed.not_understood] == [("Sure", text)]
    assert listed.rows == ()
