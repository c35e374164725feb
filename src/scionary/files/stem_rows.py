"""A table of stems: a line a stem with its side, or scions and stocks in columns beside each other."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from scionary.errors import BadFile
from scionary.files.tables import Table, TableRow, cell_text
from scionary.language import say

SCIONS, STOCKS = "scions", "stocks"
# What a column holds by words in its title; the first that fits holds.
_ROLES = (
    ("label", r"^(no|nr|number|#|id|label|tag)\.?$"),
    ("unit", r"^units?$"),
    ("lot", r"\b(lot|batch)\b"),
    ("pot", r"\b(pot|container)s?\b"),
    ("count", r"\b(count|many|qty|quantity|pieces|alike)\b"),
    ("first", r"\b(first|priority|urgent)\b"),
    ("name", r"\b(cultivar|variety|name|whose|clone|species)\b"),
    ("side", r"^(stem|kind|what|side|part|type|scion or stock|stock or scion)$"),
    ("scion", r"\b(scions?|sticks?)\b"),
    ("stock", r"\b(root|under)?stocks?\b|\bliners?\b"),
    ("thickness", r"\b(thick\w*|diam\w*|size|calip\w*|width|mm|in)\b"),
)
_UNITS = {"mm": "mm", "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in", "64ths": "64ths"}
_UNIT = re.compile(r"(?<![\w\"])(mm|inch(?:es)?|in|64ths)(?!\w)|[\"″]", re.IGNORECASE)
_SIDES = ((SCIONS, re.compile(r"^(scion|stick)s?$")), (STOCKS, re.compile(r"^((root|under)?stock|liner)s?$")))
_UNKNOWN = ("?", "-", "–", "n/a", "na", "unknown", "not measured")
_YES = {"": 0, "no": 0, "-": 0, "0": 0, "yes": 1, "x": 1, "true": 1, "!": 1, "!!": 2}
_MOST, _FIRST = 9_999, 100


@dataclass(frozen=True)
class StemRow:
    """One line's stems of one side: `size` as it was typed, empty where it was not measured; `line` and `column` say where it stands."""

    line: int
    column: str
    side: str
    size: str
    unit: str = ""
    label: str = ""
    name: str = ""
    lot: str = ""
    pot: str = ""
    count: int = 1
    first: int = 0


def looks_like_table(data: bytes, name: str) -> bool:
    """Whether a file of stems is a table, not lines under the titles scions and stocks."""
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        return True
    line = next((line for line in data[:4_000].replace(b"\0", b"").splitlines() if line.strip(b"\xef\xbb\xbf\xff\xfe \t;,")), b"")
    first = line.strip(b"\xef\xbb\xbf\xff\xfe \t;,:\"'").decode("ascii", "replace").casefold()
    if first in (SCIONS, STOCKS):
        return False
    return name.casefold().endswith((".csv", ".tsv")) or bool(re.search(r"[;\t,|]", first))


def read_stem_rows(table: Table) -> list[StemRow]:
    """The stems of a table in its order; refused at the line that cannot be."""
    columns = _columns(table)
    found: list[StemRow] = []
    for row in table.rows:
        _check_width(table, row)
        found += _by_side(table, row, columns) if "side" in columns else _beside(table, row, columns)
    return found


def _columns(table: Table) -> dict[str, str]:
    """Role to header; of two that fit the first."""
    columns: dict[str, str] = {}
    for header in table.headers:
        role = _role(header)
        if role and role not in columns:
            columns[role] = header
    whole = {"side", "thickness"} <= set(columns)
    if not whole and not {"scion", "stock"} & set(columns):
        headers = ", ".join(table.headers)[:120]
        remedy = say("Title columns scion and stock, or one stem and one thickness. Columns are: {headers}.", headers=headers)
        where = place(table.name, table.header_row, "")
        raise BadFile(say("no column says how thick a scion or a stock is."), where=where, remedy=remedy)
    return columns if whole else {role: header for role, header in columns.items() if role not in ("side", "thickness")}


def _role(header: str) -> str:
    title = re.sub(r"[\s_()\[\]:]+", " ", header).strip().casefold()
    return next((role for role, words in _ROLES if re.search(words, title)), "")


def _check_width(table: Table, row: TableRow) -> None:
    """Refuse figures beyond the last title: commas of decimals that were taken for those between columns."""
    named = max((at for at, header in enumerate(table.headers, 1) if header != say("column {column}", column=at)), default=0)
    if any(re.match(r"\d", cell_text(cell)) for cell in row.cells[named:]):
        told = say("figures stand beyond the last title.")
        raise _refused(table, row, "", told, say("Put decimals with a comma in quotes, or semicolons between columns."))


def _by_side(table: Table, row: TableRow, columns: Mapping[str, str]) -> Iterator[StemRow]:
    """The stems of a line that says whether they are scions or stocks; a line without both is left out."""
    word, size = _cell(table, row, columns, "side").casefold(), _cell(table, row, columns, "thickness")
    if not word and not size:
        return
    side = next((side for side, words in _SIDES if words.match(word)), None)
    if side is None:
        raise _refused(table, row, columns["side"], say("{word!r} is no side.", word=word[:40]), say("Write scion or stock."))
    yield _row(table, row, columns, side, "thickness", size)


def _beside(table: Table, row: TableRow, columns: Mapping[str, str]) -> Iterator[StemRow]:
    """A scion and a stock of one line, which are no pair yet; an empty cell is no stem."""
    for side, role in ((SCIONS, "scion"), (STOCKS, "stock")):
        if size := _cell(table, row, columns, role):
            yield _row(table, row, columns, side, role, size)


def _row(table: Table, row: TableRow, columns: Mapping[str, str], side: str, role: str, size: str) -> StemRow:
    """A stem with what stands beside it: beside each other, a name is the scion's, a lot the stock's."""
    text = {name: _cell(table, row, columns, name) for name in ("label", "name", "lot", "pot")}
    if role != "thickness":
        text["name" if side == STOCKS else "lot"] = ""
    return StemRow(
        row.number,
        columns[role],
        side,
        "" if size.casefold() in _UNKNOWN else size,
        _unit(table, row, columns, columns[role]),
        count=_count(table, row, columns),
        first=_first(table, row, columns) if side == SCIONS else 0,
        **text,
    )


def _unit(table: Table, row: TableRow, columns: Mapping[str, str], header: str) -> str:
    """The unit of the line, else that in the title; empty where neither names one."""
    typed = _cell(table, row, columns, "unit").casefold().rstrip(".")
    if typed:
        if typed not in _UNITS:
            raise _refused(table, row, columns["unit"], say("{unit!r} is no unit.", unit=typed[:20]), say("Give mm, in or 64ths."))
        return _UNITS[typed]
    named = _UNIT.search(header)
    return _UNITS[named[0].casefold()] if named else ""


def _count(table: Table, row: TableRow, columns: Mapping[str, str]) -> int:
    typed = _cell(table, row, columns, "count")
    if typed and not (typed.isascii() and typed.isdigit() and 1 <= int(typed[:6]) <= _MOST):
        remedy = say("Give a whole number from 1, or leave it empty.")
        raise _refused(table, row, columns["count"], say("{typed!r} is no number of stems.", typed=typed[:40]), remedy)
    return int(typed) if typed else 1


def _first(table: Table, row: TableRow, columns: Mapping[str, str]) -> int:
    """How urgent a scion is: yes or x, or a figure, higher first."""
    typed = _cell(table, row, columns, "first").casefold()
    if typed in _YES:
        return _YES[typed]
    if typed.isascii() and typed.isdigit() and int(typed[:4]) <= _FIRST:
        return int(typed)
    remedy = say("Write yes, or a whole number up to {most}: higher comes first.", most=_FIRST)
    raise _refused(table, row, columns["first"], say("{typed!r} does not say what comes first.", typed=typed[:40]), remedy)


def _cell(table: Table, row: TableRow, columns: Mapping[str, str], role: str) -> str:
    return cell_text(table.value(row, columns[role])) if role in columns else ""


def _refused(table: Table, row: TableRow, column: str, told: str, remedy: str) -> BadFile:
    return BadFile(told, where=place(table.name, row.number, column), remedy=remedy)


def place(name: str, line: int, column: str) -> str:
    """Where a cell stands, as a person looks for it."""
    told = say("{table}, line {line}", table=name, line=line)
    return f"{told}, {column}" if column else told
