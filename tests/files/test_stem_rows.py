"""Stems in a table: titles as people write them, units where they stand, and what cannot be read told with its line."""

from __future__ import annotations

import pytest

from scionary.errors import BadFile
from scionary.files.spreadsheets import read_table, write_table_xlsx
from scionary.files.stem_rows import StemRow, looks_like_table, read_stem_rows


def rows(text: str, encoding: str = "utf-8") -> list[StemRow]:
    return read_stem_rows(read_table(text.encode(encoding), name="stems.csv"))


def sizes(text: str, encoding: str = "utf-8") -> list[tuple[str, str, str]]:
    return [(row.side, row.size, row.unit) for row in rows(text, encoding)]


def test_scions_and_stocks_stand_beside_each_other_and_an_empty_cell_is_no_stem() -> None:
    found = rows("no;scion;cultivar;stock;lot\n1;3,1;Red Tarn;7,2;24-B\n2;;;6,9;24-B\n")
    assert [(row.line, row.side, row.size, row.label, row.name, row.lot) for row in found] == [
        (2, "scions", "3,1", "1", "Red Tarn", ""),
        (2, "stocks", "7,2", "1", "", "24-B"),
        (3, "stocks", "6,9", "2", "", "24-B"),
    ]


def test_a_line_may_be_one_stem_with_its_side_unit_count_and_pot() -> None:
    found = rows("What,Diameter,Unit,How many,Pot,First\nscions,1/8,in,3,,yes\nRootstock,7.2,MM,,one-gallon round,\nliner,?,,2,,\n")
    assert [(row.side, row.size, row.unit, row.count, row.pot, row.first) for row in found] == [
        ("scions", "1/8", "in", 3, "", 1),
        ("stocks", "7.2", "mm", 1, "one-gallon round", 0),
        ("stocks", "", "", 2, "", 0),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "\ufeffscion (mm);stock [in]\r\n3,1;9/32\r\n",
        'Scion thickness mm,Rootstock "\n"3,1",9/32\n',
        "Our stems of Saturday\n\nscion mm\tstock inch\n3,1\t9/32\n",
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_marks_delimiters_decimal_commas_and_units_in_titles_are_understood(text: str, encoding: str) -> None:
    assert sizes(text, encoding) == [("scions", "3,1", "mm"), ("stocks", "9/32", "in")]


def test_a_spreadsheet_is_read_like_its_csv() -> None:
    data = write_table_xlsx(["scion mm", "stock mm"], [[3.1, 7], [None, 6.9]])
    found = read_stem_rows(read_table(data, name="stems.xlsx"))
    assert [(row.side, row.size) for row in found] == [("scions", "3.1"), ("stocks", "7"), ("stocks", "6.9")]


@pytest.mark.parametrize(
    ("data", "name", "table"),
    [
        (b"scions\n3\nstocks\n7\n", "stems.txt", False),
        (b"\xef\xbb\xbfScions;;\r\n3,1;;\r\nStocks;;\r\n7;;\r\n", "stems.csv", False),
        (b"3\n", "stems.txt", False),
        (b"scion;stock\n3;7\n", "pipe", True),
        (b"scion\n3\n", "stems.csv", True),
        ("scion;stock\n3;7\n".encode("utf-16"), "stems.csv", True),
        (b"PK\x03\x04", "stems.ods", True),
    ],
)
def test_a_table_is_told_from_lines_under_titles(data: bytes, name: str, table: bool) -> None:
    assert looks_like_table(data, name) is table


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("thickness;lot\n3;a\n", "stems.csv, line 1: no column says how thick a scion or a stock is"),
        ("stem;thickness\nscion;3\ntwig;4\n", "stems.csv, line 3, stem: 'twig' is no side"),
        ("stem;thickness\nscion;3\n;4\n", "stems.csv, line 3, stem: '' is no side"),
        ("scion,stock\n3,1,7,2\n4,0,8,1\n", "stems.csv, line 2: figures stand beyond the last title"),
        ("scion;stock;unit\n3;7;feet\n", "line 2, unit: 'feet' is no unit"),
        ("scion;stock;count\n3;7;0\n", "line 2, count: '0' is no number of stems"),
        ("scion;stock;count\n3;7;2.5\n", "line 2, count: '2.5' is no number of stems"),
        ("scion;stock;first\n3;7;maybe\n", "line 2, first: 'maybe' does not say"),
        ("", "the file is empty"),
    ],
)
def test_what_cannot_be_is_told_with_its_line(text: str, told: str) -> None:
    with pytest.raises(BadFile) as refused:
        rows(text)
    assert told in str(refused.value)


def test_a_column_of_row_numbers_without_a_title_is_left_alone() -> None:
    assert sizes(";scion;stock\n0;3;7\n1;4;8\n") == [("scions", "3", ""), ("stocks", "7", ""), ("scions", "4", ""), ("stocks", "8", "")]
