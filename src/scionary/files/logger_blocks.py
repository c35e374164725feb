"""The columns of a logger file cut out of its bytes, a block of lines at a time, so that a million lines take a moment.

Lines with the usual number of separators are cut all together; any other line is split by itself, and so is a cell that is no plain
number. Both ways give the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import sliding_window_view

from scionary.files.decoding import check_size, decode_text
from scionary.files.dialects import split_line
from scionary.files.logger_columns import Layout
from scionary.files.logger_numbers import read_number, read_numbers
from scionary.files.problems import ProblemList
from scionary.files.stamps import Flags, Floats, Integers, Stamps, read_stamps
from scionary.language import say

_BLOCK_BYTES = 2_000_000
_HEAD_BYTES, _HEAD_LINES = 10_000, 500
_NEWLINE, _SPACE, _QUOTE, _MINUS, _PLUS, _POINT, _COMMA = (ord(sign) for sign in '\n "-+.,')
_LONGEST_NUMBER = 15
_POWERS = 10.0 ** np.arange(_LONGEST_NUMBER + 1)
Bytes = npt.NDArray[np.uint8]


@dataclass(frozen=True)
class Rows:
    """What stands in the wanted columns, one entry a row; `starts` are the places of the lines in the file's bytes."""

    lines: Integers
    starts: Integers
    stamps: Stamps
    temperature: Floats
    humidity: Floats
    light: Floats


@dataclass(frozen=True)
class Body:
    """A file's text in UTF-8 with plain line ends, up to `end`, where only blank lines follow."""

    data: bytes
    end: int
    layout: Layout

    def written(self, start: int) -> str:
        """When a row says that it was measured, as it says it."""
        end = self.data.find(b"\n", start, self.end)
        cells = split_line(self.data[start : self.end if end < 0 else end].decode("utf-8"), self.layout.delimiter)
        return " ".join(cells[column] for column in self.layout.stamp_columns if column < len(cells))


def plain_text(data: bytes, *, name: str, limit_bytes: int) -> tuple[bytes, str]:
    """A file's text in UTF-8 with plain line ends, and the encoding that it came in; the file itself where it is so already."""
    check_size(data, name=name, limit_bytes=limit_bytes)
    if data.isascii() and b"\0" not in data:
        _, encoding = decode_text(data[:_HEAD_BYTES], name=name)
        text = data
    else:
        decoded, encoding = decode_text(data, name=name, limit_bytes=limit_bytes)
        text = decoded.encode("utf-8")
    return text.replace(b"\r\n", b"\n").replace(b"\r", b"\n") if b"\r" in text else text, encoding


def head_lines(text: bytes) -> list[str]:
    """The lines in which the layout is looked for."""
    end = -1
    for _ in range(_HEAD_LINES):
        end = text.find(b"\n", end + 1)
        if end < 0:
            return text.decode("utf-8").split("\n")
    return text[:end].decode("utf-8").split("\n")


def body_of(data: bytes, layout: Layout) -> Body:
    """The text with blank lines at its end cut off."""
    end = len(data)
    while end > 0:
        before = data.rfind(b"\n", 0, end)
        if before < 0 or data[before + 1 : end].strip():
            break
        end = before
    return Body(data, end, layout)


def read_rows(body: Body, problems: ProblemList, *, block_bytes: int = _BLOCK_BYTES) -> Rows:
    """Read all lines from the first reading on, about so many bytes at a time."""
    most = body.data.count(b"\n", 0, body.end) + 2 - body.layout.first_line
    filled, columns = 0, [np.empty(most, dtype) for dtype in (np.int64, np.int64, *[np.int32] * 4, *[np.float64] * 5)]
    for part in _parts(body, problems, block_bytes):
        for column, values in zip(columns, _columns(part), strict=True):
            column[filled : filled + len(values)] = values
        filled += len(part.lines)
    return _rows([column[:filled] for column in columns])


def _columns(rows: Rows) -> list[npt.NDArray[Any]]:
    stamps = [getattr(rows.stamps, name) for name in Stamps.__dataclass_fields__]
    return [rows.lines, rows.starts, *stamps, rows.temperature, rows.humidity, rows.light]


def _rows(columns: Sequence[npt.NDArray[Any]]) -> Rows:
    lines, starts, *stamps, temperature, humidity, light = columns
    return Rows(lines, starts, Stamps(*stamps), temperature, humidity, light)


def _parts(body: Body, problems: ProblemList, block_bytes: int) -> Iterator[Rows]:
    at, line = 0, body.layout.first_line
    for _ in range(line - 1):
        at = body.data.index(b"\n", at) + 1
    width = len(split_line(body.data[at : (body.data.find(b"\n", at) + 1) or None].decode("utf-8").rstrip("\n"), body.layout.delimiter))
    while at < body.end:
        end = body.data.find(b"\n", min(at + block_bytes, body.end - 1), body.end)
        end = body.end if end < 0 else end
        yield _block(body, at, end, line, width, problems)
        line += body.data.count(b"\n", at, end) + 1
        at = end + 1


def _block(body: Body, at: int, end: int, line: int, width: int, problems: ProblemList) -> Rows:
    """Rows from one place of the bytes up to another; the one at `end` is a line's end."""
    letters = np.frombuffer(body.data, np.uint8, end - at, at)
    ends = np.append(np.flatnonzero(letters == _NEWLINE), len(letters))
    starts = np.append(0, ends[:-1] + 1)
    marks = np.flatnonzero(letters == ord(body.layout.delimiter))
    before = np.searchsorted(marks, starts)
    usual = np.searchsorted(marks, ends) - before == width - 1
    regular = _regular(_Cut(letters, starts[usual], ends[usual], marks, before[usual], width), usual, at, line, body, problems)
    if usual.all():
        return regular
    others = [_Line(line + int(row), at + int(starts[row]), int(at + ends[row])) for row in np.flatnonzero(~usual)]
    return _merged(regular, _by_themselves(others, body, problems))


@dataclass(frozen=True)
class _Cut:
    """Lines with the usual number of separators: where they begin and end, and the first separator of each among `marks`."""

    letters: Bytes
    starts: Integers
    ends: Integers
    marks: Integers
    first: Integers
    width: int

    def cells(self, column: int) -> tuple[Integers, Integers]:
        """Where the cells of a column begin and end, without blanks and quotes round them."""
        begin = self.marks[self.first + column - 1] + 1 if column else self.starts
        end = self.marks[self.first + column] if column < self.width - 1 else self.ends
        begin, end = self._without_blanks(begin, end)
        quoted = (end - begin > 1) & self._is(begin, _QUOTE) & self._is(end - 1, _QUOTE)
        return self._without_blanks(begin + 1 * quoted, end - 1 * quoted) if quoted.any() else (begin, end)

    def _without_blanks(self, begin: Integers, end: Integers) -> tuple[Integers, Integers]:
        while (lead := (begin < end) & self._is(begin, _SPACE)).any():
            begin = begin + lead
        while (tail := (begin < end) & self._is(end - 1, _SPACE)).any():
            end = end - tail
        return begin, end

    def _is(self, places: Integers, sign: int) -> Flags:
        """Whether a sign stands there; a place behind the end counts as the last."""
        return self.letters[np.minimum(places, len(self.letters) - 1)] == sign if len(self.letters) else np.zeros(len(places), bool)


def _regular(cut: _Cut, usual: Flags, at: int, line: int, body: Body, problems: ProblemList) -> Rows:
    layout, lines = body.layout, line + np.flatnonzero(usual)
    stamps = read_stamps(_texts(cut.letters, [cut.cells(column) for column in layout.stamp_columns]))
    readings = [_numbers(cut, column, lines, layout, problems) for column in (layout.temperature, layout.humidity, layout.light)]
    return Rows(lines, at + cut.starts, stamps, *readings)


def _texts(letters: Bytes, columns: Sequence[tuple[Integers, Integers]]) -> npt.NDArray[np.bytes_] | list[str]:
    """Cells as texts; those of two columns are joined by a blank."""
    rows = len(columns[0][0])
    widths = [int((end - begin).max(initial=0)) for begin, end in columns]
    page = np.zeros((rows, max(sum(widths) + len(widths) - 1, 1)), np.uint8)
    place = np.zeros(rows, np.int64)
    for number, (begin, end) in enumerate(columns):
        if number:
            page[np.arange(rows), place] = _SPACE
            place = place + 1
        _copy(letters, begin, end - begin, page, place)
        place = place + (end - begin)
    texts: npt.NDArray[np.bytes_] = page.view(f"S{page.shape[1]}").ravel()
    return [text.decode("utf-8", "replace") for text in texts.tolist()] if (page > 127).any() else texts


def _copy(letters: Bytes, begin: Integers, lengths: Integers, page: Bytes, place: Integers) -> None:
    if not len(begin):
        return
    if np.all(lengths == lengths[0]) and np.all(place == place[0]):
        length, at = int(lengths[0]), int(place[0])
        if length:
            page[:, at : at + length] = sliding_window_view(letters, length)[begin]
        return
    for length in np.unique(lengths).tolist():
        rows = np.flatnonzero(lengths == length)
        for step in range(length):
            page[rows, place[rows] + step] = letters[begin[rows] + step]


def _numbers(cut: _Cut, column: int | None, lines: Integers, layout: Layout, problems: ProblemList) -> Floats:
    values = np.full(len(lines), np.nan)
    if column is None:
        return values
    begin, end = cut.cells(column)
    lengths = end - begin
    plain = lengths == 0
    for length in np.unique(lengths).tolist():
        if 0 < length <= _LONGEST_NUMBER:
            rows = np.flatnonzero(lengths == length)
            values[rows], plain[rows] = _plain_numbers(cut.letters, begin[rows], length)
    for row in np.flatnonzero(~plain):
        cell = cut.letters[begin[row] : end[row]].tobytes().decode("utf-8", "replace")
        values[row] = read_number(cell, int(lines[row]), layout.header(column), problems)
    return values


def _plain_numbers(letters: Bytes, begin: Integers, length: int) -> tuple[Floats, Flags]:
    """Digits with at most one point or comma and a sign in front, all of one length; which are such, and their value to the last bit."""
    whole, digits, behind = (np.zeros(len(begin), np.int64) for _ in range(3))
    pointed, plain = np.zeros(len(begin), bool), np.ones(len(begin), bool)
    for step in range(length):
        letter = letters[begin + step]
        digit = letter - np.uint8(48)
        counts, point = digit < 10, (letter == _POINT) | (letter == _COMMA)
        whole = np.where(counts, whole * 10 + digit, whole)
        digits += counts
        behind += counts & pointed
        signed = (letter == _MINUS) | (letter == _PLUS) if step == 0 else False
        plain &= counts | (point & ~pointed) | signed
        pointed |= point
    plain &= digits > 0
    value = whole / _POWERS[behind]
    return np.where(plain, np.where(letters[begin] == _MINUS, -value, value), np.nan), plain


@dataclass(frozen=True)
class _Line:
    number: int
    start: int
    end: int


def _by_themselves(others: Sequence[_Line], body: Body, problems: ProblemList) -> Rows:
    """Lines with another number of separators, each split by itself; what is too short is told and left out."""
    layout = body.layout
    wanted = [column for column in (layout.temperature, layout.humidity) if column is not None]
    need = max(*layout.stamp_columns, *wanted) + 1
    kept: list[tuple[_Line, list[str]]] = []
    for each in others:
        text = body.data[each.start : each.end].decode("utf-8")
        cells = split_line(text, layout.delimiter)
        if len(cells) >= need:
            kept.append((each, cells))
        elif text.strip():
            cut = each.end == body.end == len(body.data) and each.start > 0
            what = say("the last line is cut off: left out") if cut else say("too few columns: left out")
            problems.add(each.number, "", text, what)
    numbers = np.array([each.number for each, _ in kept], np.int64)
    when = [" ".join(cells[column] for column in layout.stamp_columns) for _, cells in kept]
    readings = [
        np.full(len(kept), np.nan)
        if column is None
        else read_numbers([cells[column] if column < len(cells) else "" for _, cells in kept], numbers, layout.header(column), problems)
        for column in (layout.temperature, layout.humidity, layout.light)
    ]
    return Rows(numbers, np.array([each.start for each, _ in kept], np.int64), read_stamps(when), *readings)


def _merged(one: Rows, two: Rows) -> Rows:
    order = np.argsort(np.concatenate([one.lines, two.lines]), kind="stable")
    return _rows([np.concatenate(pair)[order] for pair in zip(_columns(one), _columns(two), strict=True)])
