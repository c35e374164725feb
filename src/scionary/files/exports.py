"""Tables out, as CSV and XLSX, so that no cell of text is ever taken for a formula."""

from __future__ import annotations

import csv
import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from io import BytesIO, StringIO

from scionary.errors import BadValue
from scionary.language import say

Value = str | int | float | bool | dt.date | dt.datetime | None
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_DAY, _MOMENT = {"num_format": "yyyy-mm-dd"}, {"num_format": "yyyy-mm-dd hh:mm"}
_LONGEST_CELL = 32_767
_MOST_ROWS = 1_048_575


def write_table_csv(headers: Sequence[str], rows: Iterable[Sequence[Value]]) -> bytes:
    """CSV with commas in UTF-8; a text that begins like a formula gets a single quote before it, which reading takes off again."""
    out = StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_csv_cell(header) for header in headers])
    for row in rows:
        writer.writerow([_csv_cell(value) for value in row])
    return out.getvalue().encode("utf-8")


def _csv_cell(value: Value) -> str:
    if value is None or (isinstance(value, float) and value != value):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        text = _CONTROL.sub("", value)
        return f"'{text}" if text.startswith(_FORMULA) else text
    return value.isoformat() if isinstance(value, dt.date) else repr(value)


def write_table_xlsx(
    headers: Sequence[str],
    rows: Iterable[Sequence[Value]],
    *,
    sheet: str = "Scionary",
    notes: Mapping[tuple[int, int], str] | None = None,
) -> bytes:
    """One sheet with its header row fixed; `notes` are comments by (row of `rows` from 0, column from 0)."""
    import xlsxwriter

    out = BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"created": dt.datetime(2000, 1, 1)})
    page = book.add_worksheet(re.sub(r"[\[\]:*?/\\']", " ", sheet)[:31] or "Sheet")
    bold, day, moment = book.add_format({"bold": True}), book.add_format(_DAY), book.add_format(_MOMENT)
    for column, header in enumerate(headers):
        page.write_string(0, column, _xlsx_text(header), bold)
    for number, row in enumerate(rows, 1):
        if number > _MOST_ROWS:
            raise BadValue("rows", number, say("at most {most_rows} in one sheet", most_rows=_MOST_ROWS))
        for column, value in enumerate(row):
            _write_cell(page, number, column, value, day, moment)
    for (number, column), text in (notes or {}).items():
        page.write_comment(number + 1, column, _xlsx_text(text))
    page.freeze_panes(1, 0)
    page.set_column(0, max(len(headers) - 1, 0), 16)
    book.close()
    return out.getvalue()


def _xlsx_text(text: str) -> str:
    shown = _CONTROL.sub("", text)
    if len(shown) > _LONGEST_CELL:
        raise BadValue(
            say("text of a cell"), say("{shown} characters", shown=len(shown)), say("at most {longest_cell}", longest_cell=_LONGEST_CELL)
        )
    return shown


def _write_cell(page, row: int, column: int, value: Value, day, moment) -> None:  # type: ignore[no-untyped-def]
    if value is None or value == "" or (isinstance(value, float) and value != value):
        return
    if isinstance(value, bool):
        page.write_boolean(row, column, value)
    elif isinstance(value, str):
        page.write_string(row, column, _xlsx_text(value))
    elif isinstance(value, dt.datetime):
        if value.tzinfo is None:
            page.write_datetime(row, column, value, moment)
        else:
            page.write_string(row, column, value.isoformat())
    elif isinstance(value, dt.date):
        page.write_datetime(row, column, dt.datetime.combine(value, dt.time()), day)
    else:
        page.write_number(row, column, value)
