"""What is keyed in off a sheet: names of the page's fields, read into ticks, and ticks written back as they are typed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

from django import forms
from django.http import QueryDict

from scionary.answers.paper_rows import SheetRow
from scionary.answers.paper_ticks import CUT_MM, BenchRow, Ticks, WholeDome, WrongRow
from scionary.answers.rounds import CAUSES
from scionary.book.models import Nursery, PrintedSheet
from scionary.errors import Refused
from scionary.language import say
from scionary.web.typing_in import DayField, LengthField, typed_length

Typed = Mapping[str, list[str]]

_ROW = re.compile(r"[rm](\d{1,6})")
_LENGTHS = {
    "s": ("stock_mm", 0.5, 500.0),
    "i": ("scion_mm", 0.5, 500.0),
    "l": ("cut_mm", *CUT_MM["cut"]),
    "k": ("lean_mm", *CUT_MM["lean"]),
}  # by the letter of the page's field: what a graft has for it, and the millimetres that it takes
_LONGEST_CAUSE, _LONGEST_PRODUCT, _LONGEST_NOTE = 120, 80, 2000


def read_ticks(sent: QueryDict, sheet: PrintedSheet, rows: list[SheetRow], nursery: Nursery) -> Ticks:
    """All that the page says; it says something of every row, so that what is not ticked is taken away."""
    day = _day(sent.get("day", ""), "day")
    numbers = {row.number for row in rows} | {int(match[1]) for name in sent if (match := _ROW.fullmatch(name))}
    if sheet.kind == PrintedSheet.Kind.BENCH:
        return Ticks(day, bench=_bench(sent, sorted(numbers), nursery))
    lines = len(sheet.layout.get("dates", []))
    return Ticks(
        day,
        rows={number: sent.getlist(f"r{number}") for number in numbers},
        causes={row.number: _cause(_text(sent, f"c{row.number}", _LONGEST_CAUSE)) for row in rows if sent.get(f"c{row.number}")},
        domes={at: _whole(sent, at) for at in range(len(sheet.layout["domes"]))},
        dates={at: _day(sent.get(f"e{at}", ""), say("date {part}", part=at + 1)) if f"t{at}" in sent else None for at in range(lines)},
    )


def typed_of(ticks: Ticks, nursery: Nursery) -> dict[str, list[str]]:
    """Ticks as the page's fields hold them."""
    typed = {"day": [ticks.day.isoformat()]}
    typed |= {f"r{number}": list(said) for number, said in ticks.rows.items()}
    typed |= {f"c{number}": [say(cause) if cause in CAUSES else cause] for number, cause in ticks.causes.items()}
    for at, whole in ticks.domes.items():
        typed[f"w{at}"] = [name for name in ("water", "stalks", "treated") if getattr(whole, name)]
        typed |= {f"v{at}": ["" if whole.vents is None else str(whole.vents)], f"p{at}": [whole.product], f"n{at}": [whole.note]}
    for at, done in ticks.dates.items():
        typed |= {f"t{at}": ["done"], f"e{at}": [done.isoformat()]} if done else {}
    before: dict[str, float | None] = {}
    for number, row in ticks.bench.items():
        typed |= {f"m{number}": ["made"]} if row.made else {}
        typed |= {f"a{number}": ["above"]} if row.above else {}
        said = {name: mm for name, mm in row.sizes.items() if not (row.above and mm == before.get(name))}
        before = row.sizes
        lengths = {letter: said.get(name) for letter, (name, _, _) in _LENGTHS.items()}
        typed |= {f"{name}{number}": [typed_length(value, nursery.length_unit)] for name, value in lengths.items() if value is not None}
        typed |= {f"b{number}": [row.blade] if row.blade else [], f"o{number}": [row.note]}
    return typed


def _cause(typed: str) -> str:
    """A cause as the book keeps it: one that is offered by its English words, however the reader's language calls it."""
    return next((cause for cause in CAUSES if typed in (cause, say(cause))), typed)


def _whole(sent: QueryDict, at: int) -> WholeDome:
    ticked, vents = sent.getlist(f"w{at}"), sent.get(f"v{at}", "")
    if vents and not (vents.isascii() and vents.isdigit() and int(vents[:4]) <= 100):
        raise Refused(
            say("{vents!r} is no opening of vents.", vents=vents[:20]), where="vents", remedy=say("Choose one that stands on the sheet.")
        )
    return WholeDome(
        water="water" in ticked,
        stalks="stalks" in ticked,
        rest="rest" in ticked,
        treated="treated" in ticked,
        vents=int(vents) if vents else None,
        product=_text(sent, f"p{at}", _LONGEST_PRODUCT),
        note=_text(sent, f"n{at}", _LONGEST_NOTE),
    )


def _bench(sent: QueryDict, numbers: list[int], nursery: Nursery) -> dict[int, BenchRow]:
    """The rows of a bench sheet; "as above" takes the sizes of the row before."""
    found: dict[int, BenchRow] = {}
    before: dict[str, float | None] = {}
    for number in numbers:
        sizes = {_LENGTHS[letter][0]: _length(sent, letter, number, nursery) for letter in _LENGTHS}
        if f"a{number}" in sent:
            sizes = {name: before.get(name) if mm is None else mm for name, mm in sizes.items()}
        blades = sent.getlist(f"b{number}")
        if len(blades) > 1:
            raise WrongRow(number, say("new blade and disinfected are both ticked."), remedy=say("Which one is right? Take one away."))
        note = _text(sent, f"o{number}", _LONGEST_NOTE)
        blade, above = blades[0] if blades else "", f"a{number}" in sent
        found[number] = BenchRow(f"m{number}" in sent, note=note, blade=blade, above=above, **sizes)
        before = sizes
    return found


def _length(sent: QueryDict, letter: str, number: int, nursery: Nursery) -> float | None:
    _, low, high = _LENGTHS[letter]
    try:
        found: float | None = LengthField(unit=nursery.length_unit, low_mm=low, high_mm=high).clean(sent.get(f"{letter}{number}", ""))
    except forms.ValidationError as error:
        raise WrongRow(number, " ".join(error.messages)) from error
    return found


def _day(text: str, where: str) -> date:
    try:
        found: date = DayField().clean(text)
    except forms.ValidationError as error:
        raise Refused(say("{typed!r} is no day.", typed=text[:20]), where=where, remedy=say("Write it like 2026-06-14.")) from error
    return found


def _text(sent: QueryDict, name: str, longest: int) -> str:
    return " ".join(sent.get(name, "").split())[:longest]
