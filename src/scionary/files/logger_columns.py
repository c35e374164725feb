"""Where a logger file's readings begin, and which of its columns is what."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from scionary.errors import BadFile
from scionary.files.dialects import find_delimiter, split_line
from scionary.files.logger_light import light_unit
from scionary.files.stamps import looks_like_date
from scionary.language import say

ROLES = ("time", "date", "clock", "temperature", "humidity", "light")

_CLOCK = re.compile(r"^\s*\d{1,2}[:.]\d\d(?:[:.]\d\d(?:[.,]\d+)?)?\s*(?:[ap]\.?\s?m\.?)?\s*$", re.IGNORECASE)
_NUMBER = re.compile(r"^\s*[-+]?\d+(?:[.,]\d+)?\s*(?:%|°\s?[CF]?|[CF])?\s*$", re.IGNORECASE)
_WHOLE = re.compile(r"^\s*\d+\s*$")
_TEMPERATURE = re.compile(
    r"temp|^\s*t(?:air)?\s*(?:_.*|[\[(].*)?$|°\s?[cf]|º\s?[cf]|celsius|fahrenheit|deg\.?\s?[cf]\b|\b[cf]\s*\)", re.IGNORECASE
)
_HUMIDITY = re.compile(r"humid|(?<![a-z])r\.?\s?h\.?(?![a-z])|(?<![a-z])hum(?![a-z])|%|feucht|humed|vocht", re.IGNORECASE)
_NEITHER = re.compile(r"dew|taupunkt|rosée|heat index|wet bulb|vpd|battery|batt|signal|min\b|max\b", re.IGNORECASE)
_LOOKED_AT = 400


@dataclass
class Layout:
    """Where the readings begin and which columns hold them; columns count from 0, lines from 1."""

    delimiter: str
    first_line: int
    header_line: int | None
    headers: list[str]
    time: int = -1
    date: int = -1
    clock: int = -1
    temperature: int | None = None
    humidity: int | None = None
    light: int | None = None
    assumptions: list[str] = field(default_factory=list)

    def header(self, column: int | None) -> str:
        """The column's header, or its number as people count."""
        if column is None:
            return ""
        named = self.headers[column].strip() if column < len(self.headers) else ""
        return named or say("column {number}", number=column + 1)

    @property
    def unread(self) -> tuple[str, ...]:
        """Headers of the columns that are taken for nothing."""
        used = {*self.stamp_columns, self.temperature, self.humidity, self.light}
        return tuple(name for column, header in enumerate(self.headers) if (name := header.strip()) and column not in used)

    @property
    def stamp_columns(self) -> tuple[int, ...]:
        """The column or the two columns that say when."""
        return (self.time,) if self.time >= 0 else (self.date, self.clock)


def find_layout(lines: Sequence[str], *, name: str, columns: Mapping[str, str | int] | None = None) -> Layout:
    """Find separator, header and columns; `columns` names some by header text or number (from 1) and wins over any guess."""
    start = _first_reading(lines)
    if start is None:
        raise BadFile(
            say("no line was found that holds a date and a number."),
            where=say("{name}, lines 1 to {min}", name=name, min=min(len(lines), _LOOKED_AT)),
            remedy=say("Is it the file that the logger's program exports as CSV?"),
        )
    at, delimiter = start
    rows = [split_line(line, delimiter) for line in lines[at : at + 40] if line.strip()]
    headers, header_line = _headers(lines[:at], delimiter, len(rows[0]))
    layout = Layout(delimiter, at + 1, header_line, headers)
    _apply(layout, columns or {}, len(rows[0]), name)
    if layout.time < 0 and layout.date < 0:
        _find_stamps(layout, rows, name)
    _find_readings(layout, rows, set(columns or {}), name)
    _find_light(layout, rows, name)
    return layout


def _first_reading(lines: Sequence[str]) -> tuple[int, str] | None:
    """The first line that is a reading, and the separator with which it is one."""
    looked_at = lines[:_LOOKED_AT]
    delimiter = find_delimiter([line for line in looked_at if re.search(r"\d", line)])
    for candidate in ([delimiter] if delimiter else []) + [";", "\t", ","]:
        for at, line in enumerate(looked_at):
            cells = split_line(line, candidate)
            if len(cells) > 1 and any(looks_like_date(cell) for cell in cells) and _holds_value(cells):
                return at, candidate
    return None


def _holds_value(cells: Sequence[str]) -> bool:
    return any(_NUMBER.match(cell) and not looks_like_date(cell) for cell in cells) or len(cells) > 2


def _headers(before: Sequence[str], delimiter: str, width: int) -> tuple[list[str], int | None]:
    """Headers from the nearest lines above that have as many columns; a line of units below the names is added to them."""
    found: list[list[str]] = []
    line = None
    for at in range(len(before) - 1, max(len(before) - 4, -1), -1):
        cells = [cell.strip() for cell in split_line(before[at], delimiter)]
        if not any(cells) or not width - 1 <= len(cells) <= width + 1:
            continue
        found.insert(0, cells)
        line = at + 1
        if sum(len(cell) > 3 for cell in cells) * 2 >= len(cells):
            break
    columns = range(max((len(cells) for cells in found), default=width))
    return [" ".join(cells[column] for cells in found if column < len(cells) and cells[column]) for column in columns], line


def _apply(layout: Layout, columns: Mapping[str, str | int], width: int, name: str) -> None:
    """Take the columns that the person named."""
    for role, wanted in columns.items():
        if role not in ROLES:
            raise BadFile(
                say("there is no kind of column called {role!r}.", role=role),
                where=name,
                remedy=say("Kinds are {roles}.", roles=", ".join(ROLES)),
            )
        setattr(layout, role, _number_of(layout, wanted, width, name))


def _number_of(layout: Layout, wanted: str | int, width: int, name: str) -> int:
    if isinstance(wanted, int) or (wanted.isascii() and wanted.strip().isdigit() and len(wanted) < 10):
        number = int(wanted) - 1
        if 0 <= number < width:
            return number
    else:
        folded = [header.casefold().strip() for header in layout.headers]
        asked = wanted.casefold().strip()
        if asked in folded:
            return folded.index(asked)
    raise BadFile(
        say("there is no column {wanted!r}.", wanted=wanted),
        where=_line_of(layout, name),
        remedy=say("Columns are: {listed}.", listed=_listed(layout, width)),
    )


def _listed(layout: Layout, width: int) -> str:
    return ", ".join(f"{column + 1} {layout.header(column)!r}" for column in range(width))


def _line_of(layout: Layout, name: str) -> str:
    return say("{name}, line {line}", name=name, line=layout.header_line or layout.first_line)


def _find_stamps(layout: Layout, rows: Sequence[Sequence[str]], name: str) -> None:
    """The first column of dates; a column of times of day belongs to it when its own dates have none."""
    width = len(rows[0])
    share = [_share(rows, column, looks_like_date) for column in range(width)]
    dates = [column for column in range(width) if share[column] > 0.5]
    if not dates:
        remedy = say("Name it: --column 'HEADER=time' in a terminal, or write its header as time.")
        raise BadFile(say("no column of dates was found."), where=_line_of(layout, name), remedy=remedy)
    clocks = [column for column in range(width) if _share(rows, column, lambda cell: bool(_CLOCK.match(cell))) > 0.5]
    whole = any(":" in row[dates[0]] for row in rows if len(row) > dates[0])
    if clocks and not whole:
        layout.date, layout.clock = dates[0], clocks[0]
    else:
        layout.time = dates[0]


def _share(rows: Sequence[Sequence[str]], column: int, test: Callable[[str], bool]) -> float:
    cells = [row[column] for row in rows if len(row) > column and row[column].strip()]
    return sum(test(cell) for cell in cells) / len(cells) if cells else 0.0


def _find_readings(layout: Layout, rows: Sequence[Sequence[str]], named: set[str], name: str) -> None:
    """Temperature and humidity by their headers, or by their place where there are no headers."""
    taken = set(layout.stamp_columns)
    numeric = [c for c in range(len(rows[0])) if c not in taken and _share(rows, c, lambda cell: bool(_NUMBER.match(cell))) > 0.3]
    numeric = [c for c in numeric if not _counts_rows(rows, c)]
    if any(layout.headers):
        for role, words in (("humidity", _HUMIDITY), ("temperature", _TEMPERATURE)):
            if role not in named:
                others = [c for c in range(len(rows[0])) if c not in taken and c not in numeric]
                found = _by_header(layout, numeric, role, words, name)
                setattr(layout, role, found if found is not None else _by_header(layout, others, role, words, name))
    elif not named & {"temperature", "humidity"} and numeric:
        layout.temperature, layout.humidity = numeric[0], numeric[1] if len(numeric) > 1 else None
        layout.assumptions.append(say("no headers: the first column of numbers is taken as temperature, the second as relative humidity"))
    if layout.temperature is None and layout.humidity is None:
        raise BadFile(
            say("no column of temperature or of relative humidity was found."),
            where=_line_of(layout, name),
            remedy=say(
                "Name it: --column '2=temperature' in a terminal, or write its header as temperature or humidity. Columns are: {listed}.",
                listed=_listed(layout, len(rows[0])),
            ),
        )


def _find_light(layout: Layout, rows: Sequence[Sequence[str]], name: str) -> None:
    """The one column of numbers whose header names a unit of light; of several none, unless one was named."""
    if layout.light is not None:
        if not light_unit(layout.header(layout.light)):
            remedy = say("Write lux, W/m² or µmol/m²/s into its header.")
            raise BadFile(
                say("column {named!r} names no unit of light.", named=layout.header(layout.light)),
                where=_line_of(layout, name),
                remedy=remedy,
            )
        return
    taken = {*layout.stamp_columns, layout.temperature, layout.humidity}
    found = [c for c in range(len(rows[0])) if c not in taken and light_unit(layout.header(c)) and not _NEITHER.search(layout.header(c))]
    numeric = [c for c in found if _share(rows, c, lambda cell: bool(_NUMBER.match(cell))) > 0.3]
    layout.light = numeric[0] if len(numeric) == 1 else None


def _by_header(layout: Layout, numeric: Sequence[int], role: str, words: re.Pattern[str], name: str) -> int | None:
    fitting = [c for c in numeric if words.search(layout.header(c)) and not _NEITHER.search(layout.header(c)) and c != layout.humidity]
    if len(fitting) > 1:
        raise BadFile(
            say(
                "{number} columns could be the {role}: {headers}.",
                number=len(fitting),
                role=role,
                headers=", ".join(repr(layout.header(column)) for column in fitting),
            ),
            where=_line_of(layout, name),
            remedy=say(
                "Choose one: --column '{column}={role}' in a terminal, or write the other headers differently.",
                column=fitting[0] + 1,
                role=role,
            ),
        )
    return fitting[0] if fitting else None


def _counts_rows(rows: Sequence[Sequence[str]], column: int) -> bool:
    """A column of 1, 2, 3 ... that stands first or begins at 0 or 1 numbers the rows."""
    cells = [row[column] for row in rows if len(row) > column]
    if len(cells) < 3 or not all(_WHOLE.match(cell) for cell in cells):
        return False
    numbers = [int(cell.strip()) for cell in cells]
    return (column == 0 or numbers[0] in (0, 1)) and all(after - before == 1 for before, after in pairwise(numbers))
