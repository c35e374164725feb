"""Tables in: CSV in any dialect, XLSX and its kin. Tables out are in `exports`, and offered here too."""

from __future__ import annotations

import csv
import datetime as dt
from io import BytesIO, StringIO
from typing import TYPE_CHECKING
from zipfile import BadZipFile, ZipFile

from scionary.errors import BadFile
from scionary.files.decoding import check_one_encoding, check_size, decode_text
from scionary.files.dialects import find_delimiter
from scionary.files.exports import write_table_csv, write_table_xlsx
from scionary.files.sheet_extent import sheet_extent
from scionary.files.sheet_notes import sheet_notes
from scionary.files.tables import CellValue, Table, TableRow, cell_text, make_table
from scionary.language import say
from scionary.limits import LIMITS

if TYPE_CHECKING:
    from python_calamine import CalamineSheet, CalamineWorkbook

__all__ = ["CellValue", "Table", "TableRow", "cell_text", "read_table", "write_table_csv", "write_table_xlsx"]


def read_table(
    data: bytes,
    *,
    name: str,
    sheet: str | None = None,
    limit_bytes: int = LIMITS["file_bytes"],
    limit_rows: int = LIMITS["table_rows"],
    limit_cells: int = LIMITS["table_cells"],
) -> Table:
    """Read a table from a CSV or spreadsheet file; `sheet` names one of several (the first that holds anything otherwise)."""
    check_size(data, name=name, limit_bytes=limit_bytes)
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        return _read_workbook(data, name, sheet, limit_rows, limit_cells)
    return _read_csv(data, name, limit_bytes, limit_rows, limit_cells)


def _read_csv(data: bytes, name: str, limit_bytes: int, limit_rows: int, limit_cells: int) -> Table:
    text, encoding = decode_text(data, name=name, limit_bytes=limit_bytes)
    check_one_encoding(data, encoding, name=name)
    lines = text.splitlines()
    reader = csv.reader(StringIO(text, newline=""), delimiter=find_delimiter(lines[:200]) or ",")
    rows: list[tuple[int, list[CellValue]]] = []
    number, cells = 1, 0
    try:
        for row in reader:
            rows.append((number, [_plain(cell) for cell in row]))
            number, cells = reader.line_num + 1, cells + len(row)
            _check_shape(len(rows), len(row), cells, name, limit_rows, limit_cells)
    except csv.Error as error:
        raise BadFile(
            say("it cannot be split into cells ({error}).", error=error),
            where=say("{name}, line {number}", name=name, number=number),
            remedy=say("Look for a quote that never closes."),
        ) from error
    return make_table(name, rows)


def _plain(cell: str) -> str:
    """A text cell without the mark that an export puts before = + - @."""
    text = cell.strip()
    return text[1:] if text[:1] == "'" and text[1:2] in ("=", "+", "-", "@") else text


def _check_shape(rows: int, columns: int, cells: int, name: str, limit_rows: int, limit_cells: int) -> None:
    most_columns = LIMITS["table_columns"]
    if rows > limit_rows or columns > most_columns:
        raise BadFile(
            say("it has more than {limit_rows} rows or {most_columns} columns.", limit_rows=limit_rows, most_columns=most_columns),
            where=name,
            remedy=say("Split it."),
        )
    if cells > limit_cells:
        remedy = say("Split it, or delete what stands far below or beside the table.")
        raise BadFile(say("its rows and columns span more than {limit_cells:,} cells.", limit_cells=limit_cells), where=name, remedy=remedy)


def _read_workbook(data: bytes, name: str, sheet: str | None, limit_rows: int, limit_cells: int) -> Table:
    from python_calamine import CalamineError, CalamineWorkbook

    archive = _archive(data, name)
    if archive:
        _check_shape(*sheet_extent(archive, name), name, limit_rows, limit_cells)
    try:
        book = CalamineWorkbook.from_filelike(BytesIO(data))
        chosen, rows = _chosen_sheet(book, sheet, name, limit_rows, limit_cells)
    except (CalamineError, OSError) as error:
        raise BadFile(
            say("it is no spreadsheet that can be read ({error}).", error=error),
            where=name,
            remedy=say("Save it as XLSX or CSV without a password."),
        ) from error
    groups = [(first[0] + 1, first[1], last[1]) for first, last in chosen.merged_cell_ranges or () if first[0] == last[0]]
    notes = sheet_notes(archive, chosen.name, name=name) if archive else {}
    return make_table(name, rows, groups=groups, notes=notes, sheet=chosen.name, sheets=book.sheet_names)


def _archive(data: bytes, name: str) -> ZipFile | None:
    """The archive behind an XLSX file, once it is known that it does not unpack to something huge."""
    if not data.startswith(b"PK"):
        return None
    try:
        archive = ZipFile(BytesIO(data))
    except (BadZipFile, NotImplementedError, ValueError) as error:
        raise BadFile(say("the file is damaged or cut off."), where=name, remedy=say("Save or send it again.")) from error
    most_bytes = LIMITS["table_unpacked_bytes"]
    if sum(part.file_size for part in archive.infolist()) > most_bytes:
        raise BadFile(
            say("it unpacks to more than {part:.0f} MB.", part=most_bytes / 1000000.0), where=name, remedy=say("Save the sheet as CSV.")
        )
    if not {"xl/workbook.xml", "content.xml"} & {part.lstrip("/").lower() for part in archive.namelist()}:
        raise BadFile(say("this archive is no spreadsheet that can be read."), where=name, remedy=say("Save it as XLSX or CSV."))
    return archive


def _chosen_sheet(
    book: CalamineWorkbook, sheet: str | None, name: str, limit_rows: int, limit_cells: int
) -> tuple[CalamineSheet, list[tuple[int, list[CellValue]]]]:
    if sheet is not None and sheet not in book.sheet_names:
        raise BadFile(
            say("there is no sheet {sheet!r}.", sheet=sheet),
            where=name,
            remedy=say("Sheets are: {sheet_names}.", sheet_names=", ".join(book.sheet_names)),
        )
    for title in [sheet] if sheet is not None else book.sheet_names:
        found = book.get_sheet_by_name(title)
        _check_shape(found.total_height, found.total_width, found.total_height * found.total_width, name, limit_rows, limit_cells)
        rows = [(number, [_trimmed(cell) for cell in row]) for number, row in enumerate(found.to_python(skip_empty_area=False), 1)]
        if any(cell_text(cell) for _, row in rows for cell in row):
            return found, rows
    raise BadFile(say("the sheet is empty."), where=f"{name}{f', {sheet}' if sheet else ''}", remedy=say("Choose another sheet or file."))


def _trimmed(cell: CellValue) -> CellValue:
    if isinstance(cell, str):
        return cell.strip()
    if isinstance(cell, dt.datetime) and cell.time() == dt.time():
        return cell.date()
    return int(cell) if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15 else cell
