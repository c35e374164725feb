"""A grower's own wish list, row by row: which cultivar, how many, by when, what one is worth."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from scionary.errors import BadFile, BadValue
from scionary.files.past_counts import Puzzle
from scionary.files.past_dates import Precision, When, read_dates
from scionary.files.past_records import clean_name, known_names, nearest_name
from scionary.files.past_roles import IGNORE, fits_by_name
from scionary.files.past_rows import NotUnderstood
from scionary.files.tables import CellValue, Table, TableRow, cell_text
from scionary.language import say

ROLES = {
    "cultivar": "cultivar|variety|name|plant|tree|clone|kind|cv|sorte|what",
    "number": "number|how many|qty|quantity|wanted|want|count|pieces|plants|needed|no|no needed|order",
    "by_when": "by when|by|date|due|ready|season|year|wanted by|deadline|ready by|finished by|sale",
    "worth": "worth|price|value|each|sells for|price each|euro|eur|usd|gbp",
    "size": "size|pot|height|class",
    "assurance": "sure|how sure|sure to be enough|assurance|certainty|confidence|how certain|enough in|years in ten",
    "note": "note|notes|remark|remarks|comment|comments|for whom|customer|for",
}
_NUMBER = re.compile(r"^(?:about|ca\.?|~|some)?\s*(\d{1,6})\s*(?:x|×|plants?|pcs|pieces|trees|of them)?$", re.IGNORECASE)
_WORTH = re.compile(r"^[^\d-]{0,6}(\d{1,3}(?:[ '’]\d{3})+|\d+)(?:[.,](\d{1,2}|-+))?\s*[^\d]{0,12}$")
_IN_TEN = re.compile(r"^(\d{1,2}|[a-z]+)\s*(?:years?\s+)?(?:in|of|out of|/)\s*(10|ten|100|a hundred)$", re.IGNORECASE)
_PER_CENT = re.compile(r"^(\d{1,3}(?:[.,]\d+)?)\s*(?:%|per cent|percent)?$", re.IGNORECASE)
_IN_WORDS = ("five", "six", "seven", "eight", "nine")  # years in ten: fewer than five is no certainty
_SUREST = 0.999
_UNKNOWN = ("", "?", "-", "–")


@dataclass(frozen=True)
class Wish:
    """A wanted number of one cultivar; `number`, `worth` and `assurance` (a share of years) are None where the file does not say."""

    row: int
    cultivar: str
    number: int | None
    by_when: dt.date | None = None
    by_year: int | None = None
    precision: Precision | None = None
    worth: float | None = None
    size: str = ""
    note: str = ""
    did_you_mean: str | None = None
    assurance: float | None = None


@dataclass(frozen=True)
class WishList:
    """What a table of wishes became."""

    rows: tuple[Wish, ...]
    not_understood: tuple[NotUnderstood, ...]
    date_orders: tuple[str, ...] = ()
    mapping: Mapping[str, str] = field(default_factory=dict)


def suggest_wish_columns(table: Table) -> dict[str, str]:
    """Guess what each column holds: header to role."""
    scored = [(fits_by_name(header, words), header, kind) for header in table.headers for kind, words in ROLES.items()]
    chosen: dict[str, str] = {}
    for fits, header, kind in sorted(scored, key=lambda one: -one[0]):
        if fits >= 60 and header not in chosen and (kind not in chosen.values() or kind == "note"):
            chosen[header] = kind
    return {header: chosen.get(header, IGNORE) for header in table.headers}


def read_wishes(
    table: Table, mapping: Mapping[str, str] | None = None, *, date_order: str | None = None, known_cultivars: Sequence[str] = ()
) -> WishList:
    """Read a wish list by a mapping of headers to roles; columns that it does not name are guessed."""
    used = _laid_over(suggest_wish_columns(table), mapping or {})
    columns = _columns(used, table)
    times = read_dates(table.column(columns["by_when"]), date_order) if "by_when" in columns else None
    names = known_names(table.column(columns["cultivar"]), known_cultivars)
    rows: list[Wish] = []
    puzzles: list[NotUnderstood] = []
    for at, row in enumerate(table.rows):
        read = _wish(table, row, columns, times.values[at] if times else When(None, None, None), names)
        if isinstance(read, Wish):
            rows.append(read)
        else:
            puzzles += read
    return WishList(tuple(rows), tuple(puzzles), times.orders if times else (), used)


def _laid_over(guessed: Mapping[str, str], named: Mapping[str, str]) -> dict[str, str]:
    """What a person says of some columns, and the guess for the others but where it would give a role twice."""
    taken = set(named.values())
    return {**{header: IGNORE if kind in taken else kind for header, kind in guessed.items()}, **named}


def _columns(mapping: Mapping[str, str], table: Table) -> dict[str, str]:
    for header, kind in mapping.items():
        if header not in table.headers:
            raise BadValue("column", header, say("one of {headers}", headers=", ".join(table.headers)))
        if kind not in (*ROLES, IGNORE):
            raise BadValue(say("role of a column"), kind, ", ".join((*ROLES, IGNORE)))
    columns = {kind: header for header, kind in mapping.items() if kind != IGNORE}
    if "cultivar" not in columns:
        where = say("{table}, row {header_row}", table=table.name, header_row=table.header_row)
        raise BadFile(
            say("no column holds the cultivar."),
            where=where,
            remedy=say("Say which it is. Columns are: {headers}.", headers=", ".join(table.headers)),
        )
    return columns


def _wish(
    table: Table, row: TableRow, columns: Mapping[str, str], when: When | Puzzle, names: Mapping[str, str]
) -> Wish | list[NotUnderstood]:
    """One wish, or every cell of its row that is not understood."""

    def cell(kind: str) -> CellValue:
        return table.value(row, columns[kind]) if kind in columns else ""

    name = clean_name(cell_text(cell("cultivar")))
    read: dict[str, object] = {"number": _number(cell("number")), "worth": _worth(cell("worth")), "by_when": when}
    read["assurance"] = _assurance(cell("assurance"))
    if name in ("", "?"):
        read["cultivar"] = Puzzle(say("no cultivar is named."), say("Write its name."))
    puzzles = [
        NotUnderstood(row.number, columns[kind], cell_text(cell(kind)), value.why, value.remedy)
        for kind, value in read.items()
        if isinstance(value, Puzzle)
    ]
    number, worth, assurance = read["number"], read["worth"], read["assurance"]
    if puzzles or isinstance(when, Puzzle) or isinstance(number, Puzzle) or isinstance(worth, Puzzle):
        return puzzles
    notes = [cell_text(cell("note")), *table.row_notes(row)]
    return Wish(
        row=row.number,
        cultivar=names.get(name.casefold(), name),
        number=number if isinstance(number, int) else None,
        by_when=when.date,
        by_year=when.year,
        precision=when.precision,
        worth=worth if isinstance(worth, float) else None,
        size=cell_text(cell("size")),
        note="; ".join(filter(None, notes)),
        did_you_mean=nearest_name(name, names),
        assurance=assurance if isinstance(assurance, float) else None,
    )


def _number(value: CellValue) -> int | Puzzle | None:
    text = cell_text(value)
    found = _NUMBER.match(text)
    if found:
        return int(found[1])
    if text in _UNKNOWN:
        return None
    return Puzzle(say("{typed!r} is no number of plants.", typed=text), say("Write one whole number, or leave it blank."))


def _worth(value: CellValue) -> float | Puzzle | None:
    text = cell_text(value)
    found = _WORTH.match(text)
    if found:
        cents = found[2] if found[2] and found[2].isdigit() else "0"
        return float(f"{re.sub(r'[^0-9]', '', found[1])}.{cents}")
    if text in _UNKNOWN:
        return None
    return Puzzle(say("{typed!r} is no price.", typed=text), say("Write a number such as 45 or 45.50, or leave it blank."))


def _assurance(value: CellValue) -> float | Puzzle | None:
    """In which share of years it should be enough: 90 %, 0.9, 9 in 10 or nine years in ten."""
    text = cell_text(value)
    if text in _UNKNOWN:
        return None
    share = _share_of_years(text)
    if share is not None and 0.5 <= share <= _SUREST:
        return share
    return Puzzle(
        say("{typed!r} does not say in how many years of ten it should be enough.", typed=text),
        say("Write 90 %, or nine years in ten; 50 to 99.9 %."),
    )


def _share_of_years(text: str) -> float | None:
    years, share = _IN_TEN.match(text), _PER_CENT.match(text)
    if years:
        word = years[1].casefold()
        count = int(word) if word.isdigit() else _IN_WORDS.index(word) + 5 if word in _IN_WORDS else None
        return None if count is None else count / (10 if years[2].casefold() in ("10", "ten") else 100)
    if share:
        number = float(share[1].replace(",", "."))
        return number if number <= 1 else round(number / 100, 6)
    return None
