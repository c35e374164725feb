"""How large a sheet's rectangle is, read from its cells before anything is laid out in memory.

One cell far down and far to the right makes a reader lay out every cell above and beside it. What the sheet says of its
own size is not trusted.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from zipfile import BadZipFile, ZipFile

from scionary.errors import BadFile
from scionary.language import say

_PIECE_BYTES = 1 << 20
_ATTRIBUTES = rb"""((?:[^>"']|"[^"]*"|'[^']*')*)>"""
_XLSX = re.compile(rb"<(?:\w+:)?(row|c)(?=[\s/>])" + _ATTRIBUTES)
_ODS = re.compile(rb"<(?:\w+:)?(table|table-row|table-cell|covered-table-cell)(?=[\s/>])" + _ATTRIBUTES)
_PLACE = re.compile(rb"""(?:^|\s)r\s*=\s*["']([A-Za-z]*)(\d{1,9})["']""")
_REPEATED = re.compile(rb"""number-(?:rows|columns)-repeated\s*=\s*["'](\d{1,9})["']""")


def sheet_extent(archive: ZipFile, name: str) -> tuple[int, int, int]:
    """(rows, columns, cells) of the largest sheet: the cells are those of the rectangle from the first corner on."""
    parts = [part for part in archive.namelist() if re.fullmatch(r"/?xl/worksheets/[^/]+", part, re.IGNORECASE)]
    found = [_xlsx_extent(_tags(archive, part, _XLSX, name)) for part in parts]
    if "content.xml" in archive.namelist():
        found += _ods_extents(_tags(archive, "content.xml", _ODS, name))
    rows, columns = max((rows for rows, _ in found), default=0), max((columns for _, columns in found), default=0)
    return rows, columns, max((rows * columns for rows, columns in found), default=0)


def _tags(archive: ZipFile, part: str, wanted: re.Pattern[bytes], name: str) -> Iterator[tuple[bytes, bytes]]:
    """(name, attributes) of each wanted tag of a part, read in pieces."""
    rest = b""
    try:
        with archive.open(part) as file:
            while piece := file.read(_PIECE_BYTES):
                held, end = rest + piece, 0
                for tag in wanted.finditer(held):
                    end = tag.end()
                    yield tag[1], tag[2]
                rest = held[max(end, held.rfind(b"<")) :]
                if len(rest) > _PIECE_BYTES:
                    raise BadFile(
                        say("{part} holds something too long for a cell.", part=part), where=name, remedy=say("Save the sheet as CSV.")
                    )
    except (BadZipFile, zlib.error, NotImplementedError, RuntimeError, OSError, EOFError) as error:
        raise BadFile(
            say("{part} cannot be unpacked ({error}).", part=part, error=error),
            where=name,
            remedy=say("Save or send it again, without a password."),
        ) from error


def _xlsx_extent(tags: Iterator[tuple[bytes, bytes]]) -> tuple[int, int]:
    """Rows and columns; a row or cell without its place follows the one before it."""
    rows = columns = row = column = 0
    for tag, attributes in tags:
        place = _PLACE.search(attributes)
        if tag == b"row":
            row, column = int(place[2]) if place else row + 1, 0
            continue
        row, column = (int(place[2]), _number(place[1])) if place else (max(row, 1), column + 1)
        rows, columns = max(rows, row), max(columns, column)
    return rows, columns


def _number(letters: bytes) -> int:
    number = 0
    for letter in letters[:6].upper():
        number = number * 26 + letter - 64
    return number


def _ods_extents(tags: Iterator[tuple[bytes, bytes]]) -> list[tuple[int, int]]:
    """Rows and columns of each table; what is repeated counts so often, up to the last cell that holds something."""
    found: list[tuple[int, int]] = []
    rows = column = repeat = 0
    for tag, attributes in tags:
        times = int(said[1]) if (said := _REPEATED.search(attributes)) else 1
        if tag == b"table":
            found.append((0, 0))
            rows = 0
        elif tag == b"table-row":
            rows, column, repeat = rows + times, 0, times
        elif found and repeat:
            column += times
            if not attributes.rstrip().endswith(b"/") or b"value" in attributes:
                found[-1] = (max(found[-1][0], rows), max(found[-1][1], column))
    return found
