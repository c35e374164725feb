"""A sheet keyed in with words in a terminal: "1=firm", "Red Tarn 3=drops+bud", "4=lost:dried out"; at the bench "1=7x6.5+disinfected"."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from scionary.answers.paper_rows import SheetRow
from scionary.answers.paper_slots import BLADE
from scionary.answers.paper_ticks import BenchRow, Ticks, WrongRow
from scionary.book.models import Nursery, PrintedSheet
from scionary.errors import BadValue, Refused
from scionary.language import either, mark, say
from scionary.units import read_length_mm

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
    """Made, how thick (stock x scion), what was done to the blade before."""
    found = BenchRow(made=True)
    for part in parts:
        if part.lower() in BLADE:
            found = replace(found, blade=part.lower())
        elif part.lower() != "made":
            stock, scion = (_length(length, number, nursery) for length in part.lower().partition("x")[::2])
            found = replace(found, stock_mm=stock, scion_mm=scion)
    return found


def _length(text: str, number: int, nursery: Nursery) -> float | None:
    try:
        return read_length_mm(text, nursery.length_unit) if text.strip() else None
    except BadValue as error:
        remedy = say("Write made, stock x scion such as 7x6.5, {blade}; + between.", blade=either(BLADE))
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
