"""Tables read from CSV and XLSX files as people keep them."""

from __future__ import annotations

import datetime as dt
import re
import resource
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
import xlsxwriter

from scionary.errors import BadFile
from scionary.files.sheet_extent import sheet_extent
from scionary.files.spreadsheets import cell_text, read_table, write_table_xlsx

DATA = Path(__file__).parent.parent / "data"


def changed(data: bytes, part: str, old: bytes, new: bytes) -> bytes:
    """An archive in which one part was changed."""
    out = BytesIO()
    with ZipFile(BytesIO(data)) as source, ZipFile(out, "w") as target:
        for one in source.namelist():
            content = source.read(one)
            if one == part:
                assert old in content
                content = content.replace(old, new)
            target.writestr(one, content)
    return out.getvalue()


def test_titles_above_the_header_are_set_aside_and_rows_keep_their_numbers() -> None:
    table = read_table((DATA / "past_counts.xlsx").read_bytes(), name="past_counts.xlsx")
    assert table.titles == ("Tarn Bridge: grafts of 2025", "counted at the end of June")
    assert (table.header_row, table.rows[0].number, table.rows[-1].number) == (5, 6, 26)
    assert table.headers[:3] == ("Variety", "When", "Type of graft")
    assert table.sheets == ("Grafts 2025", "Empty")


def test_comments_on_cells_are_kept_with_their_place() -> None:
    table = read_table((DATA / "past_counts.xlsx").read_bytes(), name="past_counts.xlsx")
    assert table.notes[6, 5].startswith("Two more looked doubtful")
    assert table.row_notes(table.rows[0]) == ["Result: Two more looked doubtful in April and were in leaf by June."]


def test_dates_and_whole_numbers_come_as_such() -> None:
    table = read_table((DATA / "past_counts.xlsx").read_bytes(), name="past_counts.xlsx")
    assert table.rows[0].cells[1] == dt.date(2025, 2, 18)
    assert table.rows[0].cells[4] == 10
    assert [cell_text(value) for value in (8.0, 8.5, True, dt.datetime(2025, 3, 1), None, " a\n b ")] == [
        "8",
        "8.5",
        "yes",
        "2025-03-01",
        "",
        "a b",
    ]


def test_csv_with_accents_and_a_title_is_read() -> None:
    table = read_table((DATA / "past_one_row_a_graft.csv").read_bytes(), name="past.csv")
    assert table.header_row == 3
    assert table.titles == ("Tarn Bridge – grafting book, copied from the pocket books",)
    assert table.value(table.rows[17], "Cultivar") == "Rosée du Matin"


def test_row_numbers_of_csv_are_lines_even_after_a_cell_with_two_lines() -> None:
    table = read_table(b'Name,Note\nRed Tarn,"two\nlines"\n\nAsh Gill,one\n', name="made.csv")
    assert [row.number for row in table.rows] == [2, 5]


def test_same_and_missing_headers_are_told_apart() -> None:
    assert read_table(b"Name,,Took,Took\nRed Tarn,a,1,2\n", name="made.csv").headers == ("Name", "column 2", "Took", "Took (2)")


def test_heading_over_some_columns_is_put_before_each() -> None:
    out = BytesIO()
    book = xlsxwriter.Workbook(out)
    page = book.add_worksheet()
    page.merge_range("A1:E1", "Tarn Bridge")
    page.merge_range("B2:C2", "2024")
    page.merge_range("D2:E2", "2025")
    page.write_row("A3", ["Cultivar", "grafted", "took", "grafted", "took"])
    page.write_row("A4", ["Red Tarn", 10, 8, 12, 9])
    book.close()
    table = read_table(out.getvalue(), name="made.xlsx")
    assert table.headers == ("Cultivar", "2024 grafted", "2024 took", "2025 grafted", "2025 took")


def test_sheet_is_chosen_by_name_and_an_unknown_one_lists_those_there() -> None:
    data = (DATA / "past_counts.xlsx").read_bytes()
    assert read_table(data, name="p.xlsx", sheet="Grafts 2025").sheet == "Grafts 2025"
    with pytest.raises(BadFile, match=r"no sheet 'Grafts'. Sheets are: Grafts 2025, Empty"):
        read_table(data, name="p.xlsx", sheet="Grafts")
    with pytest.raises(BadFile, match="sheet is empty"):
        read_table(data, name="p.xlsx", sheet="Empty")


def test_entities_in_a_comments_part_are_refused() -> None:
    data = write_table_xlsx(["Name"], [["Red Tarn"]], notes={(0, 0): "a note"})
    head = b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
    evil = changed(data, "xl/comments1.xml", head, head + b'<!DOCTYPE c [<!ENTITY a "aaaa">]>')
    with pytest.raises(BadFile, match="entities of its own"):
        read_table(evil, name="evil.xlsx")


def test_damaged_comments_are_refused_with_their_part() -> None:
    data = write_table_xlsx(["Name", "Note"], [["Red Tarn", "x"]], notes={(0, 0): "a note"})
    with pytest.raises(BadFile, match=r"made.xlsx, xl/comments1.xml: a part of it is damaged"):
        read_table(changed(data, "xl/comments1.xml", b"</comments>", b""), name="made.xlsx")


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "the file is empty"),
        (b"PK\x03\x04 cut off", "damaged or cut off"),
        (b"\xd0\xcf\x11\xe0" + bytes(600), "no spreadsheet that can be read"),
        (b"%PDF-1.7", "a PDF"),
    ],
)
def test_what_is_no_table_is_refused(data: bytes, message: str) -> None:
    with pytest.raises(BadFile, match=message):
        read_table(data, name="made")


def test_too_many_rows_are_refused() -> None:
    with pytest.raises(BadFile, match="more than 3 rows"):
        read_table(b"Name,Took\n" + b"Red Tarn,1\n" * 5, name="made.csv", limit_rows=3)
    with pytest.raises(BadFile, match="more than 3 rows"):
        read_table((DATA / "past_counts.xlsx").read_bytes(), name="made.xlsx", limit_rows=3)


def two_cells_far_apart(place: str) -> bytes:
    """A file of a few kilobytes with one cell in the first corner and one far away."""
    data = write_table_xlsx(["Name"], [["Red Tarn"]])
    far = re.sub(r"\D", "", place)
    row = f'<row r="{far}"><c r="{place}"><v>1</v></c></row></sheetData>'
    return changed(data, "xl/worksheets/sheet1.xml", b"</sheetData>", row.encode())


@pytest.mark.parametrize(
    ("place", "message"), [("OJ190000", "span more than 2,000,000 cells"), ("A1048576", "200000 rows"), ("XFD3", "400 columns")]
)
def test_one_cell_far_away_is_refused_before_anything_is_laid_out(place: str, message: str) -> None:
    before_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(BadFile, match=message):
        read_table(two_cells_far_apart(place), name="made.xlsx")
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before_kb < 100_000


def test_cells_without_their_places_are_counted_one_after_another() -> None:
    row = b"<row><c><v>1</v></c>" + b"<c foo='>'><v>1</v></c>" * 400 + b"</row></sheetData>"
    data = changed(write_table_xlsx(["Name"], [["Red Tarn"]]), "xl/worksheets/sheet1.xml", b"</sheetData>", row)
    with pytest.raises(BadFile, match="400 columns"):
        read_table(data, name="made.xlsx")


def test_what_is_repeated_in_an_open_document_counts_so_often() -> None:
    """Empty rows to the end of the sheet, as programs write them, are no cells; a repeated value is."""
    cell = '<table:table-cell table:number-columns-repeated="300" office:value="1"><text:p>1</text:p></table:table-cell>'
    empty = (
        '<table:table-row table:number-rows-repeated="1048000"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    )
    for times, cells in ((100_000, 30_000_000), (10, 3_000)):
        row = f'<table:table-row table:number-rows-repeated="{times}">{cell}</table:table-row>'
        out = BytesIO()
        with ZipFile(out, "w") as archive:
            archive.writestr("content.xml", f"<table:table>{row}{empty}</table:table>")
        with ZipFile(out) as archive:
            assert sheet_extent(archive, "made.ods") == (times, 300, cells)


def test_an_archive_that_is_no_spreadsheet_is_refused() -> None:
    out = BytesIO()
    with ZipFile(out, "w") as archive:
        archive.writestr("xl/workbook.bin", "x")
    with pytest.raises(BadFile, match="no spreadsheet that can be read"):
        read_table(out.getvalue(), name="made.xlsb")


def test_too_many_cells_of_a_text_file_are_refused() -> None:
    with pytest.raises(BadFile, match="span more than 5 cells"):
        read_table(b"Name,Took\n" + b"Red Tarn,1\n" * 5, name="made.csv", limit_cells=5)
