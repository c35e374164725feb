"""A table as it stands in a person's file: headers found, rows with the numbers that the file gives them, notes on cells."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from scionary.errors import BadFile
from scionary.files.stamps import looks_like_date
from scionary.language import say

CellValue = str | int | float | bool | dt.date | dt.datetime | dt.time | dt.timedelta
_NUMBER = re.compile(r"^[-+]?[\d\s.,]+%?$")
_HEADER_ROWS = 40


@dataclass(frozen=True)
class TableRow:
    """One row; `number` counts from 1 as the file does."""

    number: int
    cells: tuple[CellValue, ...]


@dataclass(frozen=True)
class Table:
    """Headers are never empty and never twice the same; `notes` holds comments on cells by (row number, column from 0)."""

    name: str
    headers: tuple[str, ...]
    header_row: int
    rows: tuple[TableRow, ...]
    titles: tuple[str, ...] = ()
    notes: Mapping[tuple[int, int], str] = field(default_factory=dict)
    sheet: str | None = None
    sheets: tuple[str, ...] = ()

    def value(self, row: TableRow, header: str) -> CellValue:
        """The cell under a header."""
        return row.cells[self.headers.index(header)]

    def column(self, header: str) -> list[CellValue]:
        """All cells under a header."""
        at = self.headers.index(header)
        return [row.cells[at] for row in self.rows]

    def row_notes(self, row: TableRow) -> list[str]:
        """Comments on the cells of a row, each with its header."""
        found = sorted((column, text) for (number, column), text in self.notes.items() if number == row.number)
        return [f"{self.headers[column] if column < len(self.headers) else f'column {column + 1}'}: {text}" for column, text in found]


def cell_text(value: CellValue | None) -> str:
    """A cell as a person reads it, on one line."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    if isinstance(value, dt.datetime) and value.time() == dt.time():
        return value.date().isoformat()
    return " ".join(str(value).split())


def make_table(
    name: str,
    rows: Sequence[tuple[int, Sequence[CellValue]]],
    *,
    groups: Sequence[tuple[int, int, int]] = (),
    notes: Mapping[tuple[int, int], str] | None = None,
    sheet: str | None = None,
    sheets: Sequence[str] = (),
) -> Table:
    """Find the header in numbered rows; `groups` are headings over several columns as (row number, first, last column from 0)."""
    filled = [(number, tuple(row)) for number, row in rows if any(cell_text(cell) for cell in row)]
    if not filled:
        raise BadFile(say("it holds no rows."), where=name, remedy=say("Look into the file, and give the right one."))
    at = _header_at([row for _, row in filled[:_HEADER_ROWS]])
    width = max((_last_filled(row) for _, row in filled[at:]), default=0)
    number, header = filled[at]
    above = filled[:at]
    headers = _with_groups([cell_text(cell) for cell in _padded(header, width)], above, groups)
    return Table(
        name=name,
        headers=_distinct(headers),
        header_row=number,
        rows=tuple(TableRow(number, _padded(row, width)) for number, row in filled[at + 1 :]),
        titles=tuple(" ".join(filter(None, map(cell_text, row))) for _, row in above),
        notes=dict(notes or {}),
        sheet=sheet,
        sheets=tuple(sheets),
    )


def _header_at(rows: Sequence[Sequence[CellValue]]) -> int:
    """The row with most words in different cells; of equals the first."""
    best, at = -1.0, 0
    for number, row in enumerate(rows):
        words = [cell_text(cell).casefold() for cell in row if isinstance(cell, str) and _is_words(cell)]
        others = sum(1 for cell in row if cell_text(cell)) - len(words)
        score = len(set(words)) + 0.25 * (len(words) - len(set(words))) - 2.0 * others - 0.3 * number
        if len(words) > 1 and score > best:
            best, at = score, number
    return at


def _is_words(text: str) -> bool:
    shown = text.strip()
    if re.fullmatch(r"(?:19|20)\d\d|#", shown):
        return True
    return bool(re.search(r"[^\W\d_]", shown)) and not _NUMBER.match(shown) and not looks_like_date(shown)


def _with_groups(headers: list[str], above: Sequence[tuple[int, Sequence[CellValue]]], groups: Sequence[tuple[int, int, int]]) -> list[str]:
    """Put a heading that spans some, not all, columns before each header below it."""
    if not above:
        return headers
    number, row = above[-1]
    for at, first, last in groups:
        if at == number and 0 < last - first + 1 < len(headers) and first < len(row) and cell_text(row[first]):
            for column in range(first, min(last + 1, len(headers))):
                headers[column] = f"{cell_text(row[first])} {headers[column]}".strip()
    return headers


def _distinct(headers: Sequence[str]) -> tuple[str, ...]:
    """Name columns without a header by their number, and tell equal headers apart."""
    seen: dict[str, int] = {}
    shown = []
    for column, header in enumerate(headers, 1):
        text = header or say("column {column}", column=column)
        seen[text] = seen.get(text, 0) + 1
        shown.append(text if seen[text] == 1 else f"{text} ({seen[text]})")
    return tuple(shown)


def _last_filled(row: Sequence[CellValue]) -> int:
    return max((at + 1 for at, cell in enumerate(row) if cell_text(cell)), default=0)


def _padded(row: Sequence[CellValue], width: int) -> tuple[CellValue, ...]:
    return tuple(row[:width]) + ("",) * (width - len(row))
