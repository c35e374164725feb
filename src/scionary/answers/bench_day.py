"""From what a person types at the bench to grafts in the book: only the cultivar is needed, new names are added."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from scionary.answers.bench import full_words, how_full, stocks_left
from scionary.answers.usual_method import method_for
from scionary.book.commands import GraftSetup, Written, cultivar_called, noon, save_noun, write_grafts
from scionary.book.kinds import plain
from scionary.book.models import BenchDay, Dome, Method, MotherTree, Nursery, RootstockLot
from scionary.book.patience import patiently
from scionary.errors import Refused, UnknownSubject
from scionary.language import say
from scionary.units import length_words, read_length_mm


@dataclass(frozen=True)
class Label:
    """What a graft's label is written with, and whether it hangs in ``sun`` or ``shade``; empty where nobody says."""

    medium: str = ""
    light: str = ""


NO_LABEL = Label()


@dataclass(frozen=True)
class BenchWords:
    """What was typed: names as people say them, lengths with or without a unit."""

    cultivar: str
    count: int
    day: date
    dome: str = ""
    method: str = ""
    lot: str = ""
    tree: str = ""
    stock: str = ""
    scion: str = ""
    grafter: str = ""
    note: str = ""
    numbers: tuple[int, ...] = ()  # those on labels printed ahead
    label: Label = NO_LABEL
    cut: str = ""
    lean: str = ""


@patiently
def write_bench_day(words: BenchWords, nursery: Nursery, *, now: datetime, who: str = "") -> Written:
    """Write down the grafts and the bench day that they belong to, all or nothing."""
    stock_mm = read_length_mm(words.stock, nursery.length_unit) if words.stock else None
    scion_mm = read_length_mm(words.scion, nursery.length_unit) if words.scion else None
    cut = {"cut_mm": _cut_typed(words.cut, "cut", 1.0, 500.0, nursery), "lean_mm": _cut_typed(words.lean, "lean", 0.0, 100.0, nursery)}
    with transaction.atomic():
        bench = _bench_day(words, nursery, now=now, who=who)
        setup = setup_of(bench, nursery, stock_mm=stock_mm, scion_mm=scion_mm, note=words.note, label=words.label, now=now, **cut)
        written = write_grafts(setup, words.count, now=now, who=who, numbers=words.numbers)
        flags = [*written.flags, *bench_flags(bench, stock_mm, scion_mm)]
        return Written(written.plants, written.events, flags)


def bench_flags(bench: BenchDay, stock_mm: float | None = None, scion_mm: float | None = None) -> list[str]:
    """What is to say of a bench day after grafts were written down: stocks that the lot did not hold, a thick scion, a full dome."""
    flags = []
    if bench.lot:
        left = stocks_left(bench.lot)
        if left is not None and left < 0:
            flags.append(
                say(
                    "stock lot {lot} had {count} stocks; {more} more are grafted than it held",
                    lot=bench.lot,
                    count=bench.lot.count,
                    more=-left,
                )
            )
    if stock_mm and scion_mm and scion_mm > stock_mm:
        flags.append(say("the scion is thicker than the stock"))
    full = how_full(bench)
    if full and full[1] > full[0]:
        flags.append(full_words(bench.dome, full))
    return flags


def setup_of(
    bench: BenchDay,
    nursery: Nursery,
    *,
    stock_mm: float | None,
    scion_mm: float | None,
    cut_mm: float | None = None,
    lean_mm: float | None = None,
    note: str = "",
    label: Label = NO_LABEL,
    now: datetime,
) -> GraftSetup:
    """A bench day's setup as grafts carry it; a graft of today carries this moment, one of an earlier day its noon."""
    assert bench.cultivar_id is not None
    today = now.astimezone(nursery.zone).date()
    return GraftSetup(
        cultivar=bench.cultivar_id,
        happened_at=now if bench.day == today else noon(bench.day, nursery),
        method=bench.method_id,
        lot=bench.lot_id,
        tree=bench.tree_id,
        bag=bench.bag_id,
        bench=bench.pk,
        dome=bench.dome_id,
        pot=bench.pot_kind_id,
        scion_mm=scion_mm,
        stock_mm=stock_mm,
        cut_mm=cut_mm,
        lean_mm=lean_mm,
        grafter=bench.grafter,
        label_medium=label.medium,
        label_light=label.light,
        note=note,
    )


def _cut_typed(text: str, where: str, low_mm: float, high_mm: float, nursery: Nursery) -> float | None:
    """A length of the cut or a lean as it was typed; None where nothing was."""
    if not text:
        return None
    found = read_length_mm(text, nursery.length_unit)
    if not low_mm <= found <= high_mm:
        raise Refused(
            say("{typed!r} is out of range.", typed=text[:40]),
            where=where,
            remedy=say(
                "Give {low} to {high}.", low=length_words(low_mm, nursery.length_unit), high=length_words(high_mm, nursery.length_unit)
            ),
        )
    return found


def dome_called(name: str, *, now: datetime, who: str = "") -> Dome:
    """The dome of this name; a new one with the usual inside size when the book holds none."""
    found = Dome.objects.filter(name__iexact=plain(name)).first()
    return found or save_noun(Dome, {"name": plain(name)}, now=now, who=who)


def lot_called(name: str, *, now: datetime, who: str = "") -> RootstockLot:
    """The stock lot of this name; a new one, not counted, when the book holds none."""
    found = RootstockLot.objects.filter(name__iexact=plain(name)).first()
    return found or save_noun(RootstockLot, {"name": plain(name)}, now=now, who=who)


def method_called(name: str) -> Method:
    """The method of this name, or the only one that begins with it."""
    exact = Method.objects.filter(name__iexact=name.strip()).first()
    near = list(Method.objects.filter(name__istartswith=name.strip(), retired=False)[:2])
    if exact is None and len(near) != 1:
        known = "; ".join(Method.objects.filter(retired=False).values_list("name", flat=True))
        raise UnknownSubject(
            say("no method is called {name!r}.", name=name), where="method", remedy=say("Methods: {methods}.", methods=known)
        )
    return exact or near[0]


def _bench_day(words: BenchWords, nursery: Nursery, *, now: datetime, who: str) -> BenchDay:
    tree = None
    if words.tree:
        tree = MotherTree.objects.filter(name__iexact=words.tree.strip()).first()
        if tree is None:
            known = ", ".join(MotherTree.objects.filter(retired=False).values_list("name", flat=True)[:8])
            raise UnknownSubject(
                say("no mother tree is called {tree!r}.", tree=words.tree),
                where="tree",
                remedy=say("Known: {names}.", names=known or say("none yet")),
            )
    values = {
        "day": words.day,
        "cultivar": cultivar_called(words.cultivar, now=now, who=who),
        "method": method_called(words.method) if words.method else method_for(words.day, nursery),
        "lot": lot_called(words.lot, now=now, who=who) if words.lot else None,
        "tree": tree,
        "dome": dome_called(words.dome, now=now, who=who) if words.dome else None,
        "grafter": words.grafter,
    }
    return save_noun(BenchDay, values, now=now, who=who)
