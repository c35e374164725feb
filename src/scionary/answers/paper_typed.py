"""A sheet keyed in with words in a terminal: "1=firm", "Red Tarn 3=drops+bud", "4=lost:dried out"; or "1=7x6.5+cut 20+lean 1.2"."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from scionary.answers.paper_rows import SheetRow
from scionary.answers.paper_slots import BLADE
from scionary.answers.paper_ticks import CUT_MM, BenchRow, Ticks, WrongRow
from scionary.book.models import Nursery, PrintedSheet
from scionary.errors import BadValue, Refused
from scionary.language import either, mark, say
from scionary.units import length_words, read_length_mm

_OF_CUT = re.compile(r"(cut|lean)\s+(.+)$", re.IGNORECASE)
_HOW = mark("Write ROW=WHAT: the place, the number of the row or the name as printed, and what is ticked.")


def with_typed(ticks: Ticks, typed: Sequence[str], sheet: PrintedSheet, rows: list[SheetRow], nursery: Nursery) -> Ticks:
    """The ticks with those rows changed that were typed; all others stay as they are."""
    read = _bench if sheet.kind == PrintedSheet.Kind.BENCH else _plants
    return read(ticks, [_split(text) for text in typed], rows, nursery)


def _split(text: str) -> tuple[str, str]:
    who, sign, what = text.rpartition("=")
    if not sign or not who.strip() or not what.strip():
        raise Refused(say("{typed!r} cannot be read.", typed=text[:60]), where="rows", remedy=_HOW)
    return who.strip(), what.strip()


def _plants(ticks: Ticks, typed: list[tuple[str, str]], rows: list[SheetRow], nursery: Nursery) -> Ticks:
    said, causes = dict(ticks.rows), dict(ticks.causes)
    for who, what in typed:
        if who.lower() == "rest":
            said |= {row.number: [what.lower()] for row in rows if not said.get(row.number)}
            continue
        number, (answers, _, cause) = _row(who, rows).number, what.partition(":")
        said[number] = [answer.strip().lower() for answer in answers.split("+")]
        causes.pop(number, None)
        causes |= {number: cause.strip()[:120]} if cause.strip() else {}
    return replace(ticks, rows=said, causes=causes)


def _bench(ticks: Ticks, typed: list[tuple[str, str]], rows: list[SheetRow], nursery: Nursery) -> Ticks:
    bench = dict(ticks.bench)
    for who, what in typed:
        row = _row(who, rows, lambda row: row.number)
        bench[row.number] = _bench_row([part.strip() for part in what.split("+")], row.number, nursery)
    return replace(ticks, bench=bench)


def _bench_row(parts: Sequence[str], number: int, nursery: Nursery) -> BenchRow:
    """Made, how thick (stock x scion), how long the cut, how far it leans, what was done to the blade before."""
    found = BenchRow(made=True)
    for part in parts:
        if part.lower() in BLADE:
            found = replace(found, blade=part.lower())
        elif (of_cut := _OF_CUT.match(part)) is not None:
            name = of_cut[1].lower()
            cut: dict[str, Any] = {f"{name}_mm": _of_cut(name, of_cut[2], number, nursery)}
            found = replace(found, **cut)
        elif part.lower() != "made":
            stock, scion = (_length(length, number, nursery) for length in part.lower().partition("x")[::2])
            found = replace(found, stock_mm=stock, scion_mm=scion)
    return found


def _of_cut(name: str, text: str, number: int, nursery: Nursery) -> float | None:
    """The length of the cut or the lean; refused where no cut is so long and no scion leans so far."""
    found, (low, high) = _length(text, number, nursery), CUT_MM[name]
    if found is not None and not low <= found <= high:
        told = say("{name} {typed} is out of range.", name=name, typed=text[:40])
        ends = {"low": length_words(low, nursery.length_unit), "high": length_words(high, nursery.length_unit)}
        raise WrongRow(number, told, remedy=say("Give {low} to {high}.", **ends))
    return found


def _length(text: str, number: int, nursery: Nursery) -> float | None:
    try:
        return read_length_mm(text, nursery.length_unit) if text.strip() else None
    except BadValue as error:
        remedy = say("Write made, stock x scion such as 7x6.5, cut 20, lean 1.2, {blade}; + between.", blade=either(BLADE))
        raise WrongRow(number, say("{typed!r} is nothing that a bench sheet has.", typed=text[:40]), remedy=remedy) from error


def _row(who: str, rows: list[SheetRow], number_of: Callable[[SheetRow], int] = lambda row: row.place) -> SheetRow:
    """The row of a place, or of a name as it was printed; one that two rows have is refused."""
    if who.isascii() and who.isdigit() and len(who) <= 6:
        found = [row for row in rows if number_of(row) == int(who)]
    else:
        found = [row for row in rows if row.said.removesuffix("*").casefold() == who.casefold()]
    if len(found) != 1:
        told = (
            say("{found} rows are called {who}", found=len(found), who=who[:40])
            if found
            else say("the sheet has no row {who!r}", who=who[:40])
        )
        raise Refused(f"{told}.", where="rows", remedy=say("Give the name as it stands on the paper.") if found else say(_HOW))
    return found[0]
