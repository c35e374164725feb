"""A grower's own records of past seasons, row by row: what each becomes, and what is not understood."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scionary.errors import BadFile, BadValue
from scionary.files.past_counts import Puzzle, is_many, read_count
from scionary.files.past_dates import DateColumn, When, read_dates
from scionary.files.past_roles import Role, read_mapping, suggest_columns
from scionary.files.past_rows import Look, NotUnderstood, PastRecords, PastRow
from scionary.files.stamps import ORDERS
from scionary.files.tables import CellValue, Table, TableRow, cell_text
from scionary.language import say

__all__ = ["Look", "NotUnderstood", "PastRecords", "PastRow", "read_past_records", "suggest_columns"]

_DITTO = {'"', "''", "„", "“", "”", "ditto", "do.", "dto.", "〃", "-''-", '-"-', "same"}
_TOTAL = re.compile(r"^(?:sub)?totals?\b|^sum\b|^summe\b|^average\b|^all cultivars\b", re.IGNORECASE)
_GRAFTS = re.compile(r"^(\d{1,5})(?:\s*(?:x|×|grafts?|pcs|plants?|made))?$", re.IGNORECASE)
_NEAR = 78.0  # project default, unsourced: likeness from 0 to 100 above which a known name is offered


@dataclass(frozen=True)
class _Block:
    """The columns that belong together: all of a plain table, or those of one year of a wide one."""

    year: int | None
    columns: Mapping[str, str]  # role to header, for roles that stand once
    looks: tuple[tuple[str, Role], ...]

    @property
    def counted(self) -> tuple[str, ...]:
        """Headers of all columns that say how many."""
        grafts = (self.columns["grafts"],) if "grafts" in self.columns else ()
        return grafts + tuple(header for header, _ in self.looks)


def read_past_records(
    table: Table, mapping: Mapping[str, str] | None = None, *, date_order: str | None = None, known_cultivars: Sequence[str] = ()
) -> PastRecords:
    """Read every row of a table by a mapping of headers to roles (guessed when none is given); nothing is guessed inside a cell."""
    if date_order is not None and date_order not in ORDERS:
        raise BadValue("date_order", date_order, " or ".join(ORDERS))
    used = dict(mapping) if mapping is not None else suggest_columns(table)
    roles = read_mapping(used, table)
    if not any(role.kind == "cultivar" for role in roles.values()):
        where = say("{table}, row {header_row}", table=table.name, header_row=table.header_row)
        raise BadFile(
            say("no column holds the cultivar."),
            where=where,
            remedy=say("Say which it is. Columns are: {headers}.", headers=", ".join(table.headers)),
        )
    dates = _read_all_dates(table, roles, date_order)
    reader = _Reader(table, roles, dates, known_cultivars)
    for at, row in enumerate(table.rows):
        reader.read(at, row)
    orders = tuple(dict.fromkeys(order for column in dates.values() for order in column.orders))
    return PastRecords(tuple(reader.rows), tuple(reader.puzzles), tuple(reader.left_out), orders, used)


def _read_all_dates(table: Table, roles: Mapping[str, Role], date_order: str | None) -> dict[str, DateColumn]:
    """Columns of seasons first: their years complete the dates that name none."""
    seasons = {header: read_dates(table.column(header), date_order) for header, role in roles.items() if role.kind == "season"}
    years = [value.year if isinstance(value, When) else None for column in list(seasons.values())[:1] for value in column.values]
    dated = {header: role for header, role in roles.items() if role.kind == "date"}
    return seasons | {header: read_dates(table.column(header), date_order, years=years) for header in dated}


def blocks_of(roles: Mapping[str, Role]) -> list[_Block]:
    """One block for a plain table; one a year where grafts or takes stand in columns by year. Looks come in the order of the columns."""
    years = sorted({role.year for role in roles.values() if role.year is not None and role.kind in ("grafts", "takes", "outcome")})
    blocks = []
    for year in years or (None,):
        mine = {header: role for header, role in roles.items() if role.year in (None, year)}
        looks = [(header, role) for header, role in mine.items() if role.kind in ("takes", "outcome")]
        blocks.append(_Block(year, {role.kind: header for header, role in mine.items()}, tuple(looks)))
    return blocks


class _Reader:
    """Reads row after row and remembers the cultivar above, for ditto marks."""

    def __init__(self, table: Table, roles: Mapping[str, Role], dates: Mapping[str, DateColumn], known: Sequence[str]) -> None:
        self.table, self.dates, self.blocks = table, dates, blocks_of(roles)
        self.notes = [header for header, role in roles.items() if role.kind == "note"]
        self.rows: list[PastRow] = []
        self.puzzles: list[NotUnderstood] = []
        self.left_out: list[NotUnderstood] = []
        self.above = ""
        self.cultivar = self.blocks[0].columns["cultivar"]
        self.names = known_names(table.column(self.cultivar), known)
        self.one_each = [_one_each(table, block) for block in self.blocks]

    def read(self, at: int, row: TableRow) -> None:
        """Turn one row into one or several, or into what is not understood about it."""
        text = self._text(row, self.cultivar)
        if _TOTAL.match(text):
            self.left_out.append(NotUnderstood(row.number, self.cultivar, text, say("a total, not a graft."), ""))
            return
        name = self.above if text.casefold() in _DITTO else clean_name(text)
        if not name or name == "?":
            why = say("the cultivar is not known.") if text else say("no cultivar is named.")
            self.above = ""
            self._puzzle(row, self.cultivar, Puzzle(why, say('Write its name, or " for the one above.')))
            return
        self.above = name
        for block, one_each in zip(self.blocks, self.one_each, strict=True):
            if block.year is None or any(self._text(row, header) for header in block.counted):
                self._read_block(at, row, block, name, one_each)

    def _read_block(self, at: int, row: TableRow, block: _Block, name: str, one_each: bool) -> None:
        before = len(self.puzzles)
        when = self._when(at, row, block)
        grafts = 1 if one_each else self._grafts(row, block)
        looks, grafts, said = self._looks(row, block, grafts)
        if len(self.puzzles) > before:
            return
        header = block.columns.get("grafts", block.counted[0] if block.counted else self.cultivar)
        if grafts is None:
            self._puzzle(row, header, Puzzle(say("how many were grafted?"), say('Write the number, or "8 of 10" for how it went.')))
        elif grafts == 0:
            self.left_out.append(NotUnderstood(row.number, header, "0", say("nothing was grafted."), ""))
        else:
            self.rows.append(self._row(row, block, name, when, grafts, looks, said))

    def _row(
        self, row: TableRow, block: _Block, name: str, when: When | None, grafts: int, looks: Sequence[Look], said: Sequence[str]
    ) -> PastRow:
        written = self._text(row, self.cultivar)
        more = [say("the name is marked with ?")] if written.rstrip().endswith("?") else []
        if when and when.precision != "day" and when.words:
            more.append(f"when: {when.words}")
        notes = [*(self._text(row, header) for header in self.notes), *said, *more, *self._comments(row, block)]
        return PastRow(
            row=row.number,
            cultivar=self.names.get(name.casefold(), name),
            grafts=grafts,
            date=when.date if when else None,
            season=when.year if when else block.year,
            precision=when.precision if when else "year" if block.year else None,
            looks=tuple(looks),
            **{kind: self._words(row, block, kind) for kind in ("method", "stock_lot", "label", "place")},
            note="; ".join(filter(None, notes)),
            did_you_mean=nearest_name(name, self.names),
        )

    def _text(self, row: TableRow, header: str) -> str:
        return cell_text(self.table.value(row, header))

    def _words(self, row: TableRow, block: _Block, kind: str) -> str:
        text = self._text(row, block.columns[kind]) if kind in block.columns else ""
        return "" if text in ("?", "-", "–") else text

    def _comments(self, row: TableRow, block: _Block) -> list[str]:
        """Comments on cells of this row, without those of other years."""
        others = {header for other in self.blocks for header in other.counted} - set(block.counted)
        return [note for note in self.table.row_notes(row) if not any(note.startswith(f"{header}: ") for header in others)]

    def _when(self, at: int, row: TableRow, block: _Block) -> When | None:
        """The date; the season's column counts where there is no date."""
        found: list[When] = []
        for kind in ("date", "season"):
            header = block.columns.get(kind)
            value = self.dates[header].values[at] if header else None
            if header and isinstance(value, Puzzle):
                self._puzzle(row, header, value)
            elif isinstance(value, When) and value.precision:
                found.append(value)
        return found[0] if found else None

    def _grafts(self, row: TableRow, block: _Block) -> int | None:
        header = block.columns.get("grafts")
        text = self._text(row, header) if header else ""
        found = _GRAFTS.match(text)
        if found:
            return int(found[1])
        if header and text not in ("", "?", "-", "–"):
            self._puzzle(row, header, Puzzle(say("{typed!r} is no number of grafts.", typed=text), say("Write a whole number.")))
        return None

    def _looks(self, row: TableRow, block: _Block, grafts: int | None) -> tuple[list[Look], int | None, list[str]]:
        """Every look of the row, the number grafted once a look says it, and words found beside the counts."""
        looks, said = [], []
        for header, role in block.looks:
            value = self.table.value(row, header)
            count = read_count(value, grafts)
            if isinstance(count, Puzzle):
                self._puzzle(row, header, count)
                continue
            grafts = count.of if grafts is None else grafts
            said += [f"{header}: {count.note}"] if count.note else []
            if cell_text(value):
                looks.append(Look(count.takes, count.outcome, role.stage or count.stage, header))
        return looks, grafts, said

    def _puzzle(self, row: TableRow, header: str, puzzle: Puzzle) -> None:
        self.puzzles.append(NotUnderstood(row.number, header, self._text(row, header), puzzle.why, puzzle.remedy))


def _one_each(table: Table, block: _Block) -> bool:
    """Whether every row is one graft: no column of numbers grafted, and no cell that counts several."""
    return "grafts" not in block.columns and not any(is_many(cell) for header in block.counted for cell in table.column(header))


def known_names(cells: Sequence[CellValue], known: Sequence[str]) -> dict[str, str]:
    """Names to compare with, by their lower-case form: those that the book knows, and those that stand at least three times here."""
    times = Counter(clean_name(cell_text(cell)) for cell in cells)
    here = {name.casefold(): name for name, count in times.items() if count > 2 and name not in ("", "?")}
    return here | {name.casefold(): name for name in known}


def clean_name(text: str) -> str:
    """A cultivar's name without quotes and without a question mark behind it."""
    return text.strip().rstrip("?").strip().strip("'\"‘’“”").strip() or ("?" if "?" in text else "")


def nearest_name(name: str, names: Mapping[str, str]) -> str | None:
    """A known name that is nearly this one; None when it is known or nothing is near."""
    from rapidfuzz import fuzz, process

    if name.casefold() in names or not names:
        return None
    found = process.extractOne(name.casefold(), list(names), scorer=fuzz.ratio, score_cutoff=_NEAR)
    return names[found[0]] if found else None
