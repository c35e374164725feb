"""Which character separates the columns of a text table."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Sequence

DELIMITERS = (";", "\t", ",", "|")
_NUMBER_CELL = r"[-+]?\d*(?:[.,]\d+)?\s*(?:%|°?[CF])?"
_DATE_CELL = r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}(?:[ T].*)?"
_CLOCK_CELL = r"\d{1,2}:\d\d(?::\d\d)?.*"
_PLAIN_CELL = re.compile(rf"^\s*(?:{_NUMBER_CELL}|{_DATE_CELL}|{_CLOCK_CELL})\s*$")


def split_line(line: str, delimiter: str) -> list[str]:
    """Split one physical line; a quote that never closes is taken as an ordinary character."""
    if '"' not in line:
        return line.split(delimiter)
    try:
        return next(csv.reader([line], delimiter=delimiter, strict=True), [])
    except csv.Error:
        return line.split(delimiter)


def find_delimiter(lines: Sequence[str]) -> str | None:
    """Give the character that splits most lines into the same number of columns; None when none does."""
    sample = [line for line in lines if line.strip()][-60:]
    scores = {delimiter: _score(sample, delimiter) for delimiter in DELIMITERS}
    good = sorted((delimiter for delimiter in DELIMITERS if scores[delimiter] > 0), key=lambda d: -scores[d])
    if len(good) < 2 or scores[good[0]] > 1.5 * scores[good[1]]:
        return good[0] if good else None
    return _second_opinion(sample, good) or good[0]


def _score(sample: Sequence[str], delimiter: str) -> float:
    """Share of lines with the commonest column count, times the share of plain cells (numbers, dates, times, blanks)."""
    rows = [split_line(line, delimiter) for line in sample]
    width, times = Counter(len(row) for row in rows).most_common(1)[0] if rows else (0, 0)
    if width < 2:
        return 0.0
    cells = [cell for row in rows if len(row) == width for cell in row]
    plain = sum(bool(_PLAIN_CELL.match(cell)) for cell in cells) / len(cells)
    return times / len(rows) * (0.2 + plain) * (1 - 0.5 / width)


def _second_opinion(sample: Sequence[str], good: Sequence[str]) -> str | None:
    """Ask a dialect detector; its answer counts only when it is one of ours."""
    import clevercsv

    try:
        dialect = clevercsv.Detector().detect("\n".join(sample), delimiters=list(good))
    except (clevercsv.Error, ValueError, IndexError):
        return None
    return dialect.delimiter if dialect is not None and dialect.delimiter in good else None
