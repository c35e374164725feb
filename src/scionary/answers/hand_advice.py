"""How to set a scion, asked by a phone for the bench that is set on it, which the book may not have heard of yet."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, TypeVar

from scionary.answers.bench_join import BenchAdvice, bench_advice
from scionary.book.kinds import checked_payload
from scionary.book.models import BenchDay, Cultivar, Method, Noun, Nursery, RootstockLot
from scionary.errors import Refused
from scionary.language import say

N = TypeVar("N", bound=Noun)
_SETTING = ("cultivar", "method", "lot", "grafter")


def hand_advice(setting: Mapping[str, Any], sizes: Mapping[str, Any], nursery: Nursery, *, today: date) -> BenchAdvice:
    """The advice for two thicknesses in mm under a bench's method, cultivar, lot and grafter; the same as on the page of that bench.

    Raises `Refused` where a value cannot be, or where no method is set whose way to join the book knows.
    """
    asked = {name: setting[name] for name in _SETTING if setting.get(name)}
    found = checked_payload("grafted", asked | {name: sizes.get(name) for name in ("stock_mm", "scion_mm")})
    if not {"stock_mm", "scion_mm"} <= set(found):
        raise Refused(say("the advice needs both thicknesses."), where="thickness", remedy=say("Measure stock and scion."))
    bench = BenchDay(
        day=today,
        cultivar=_row(Cultivar, found["cultivar"]),
        method=_row(Method, found.get("method")),
        lot=_row(RootstockLot, found.get("lot")),
        grafter=found.get("grafter", ""),
    )
    if bench.method is None:
        wrong = say("the book holds this method no more.") if "method" in found else say("no method is set.")
        raise Refused(wrong, where="method", remedy=say("Say by which method you graft."))
    advice = bench_advice(bench, found["stock_mm"], found["scion_mm"], nursery)
    if advice is None:
        remedy = say("Say in the book, under Methods, how it joins.")
        raise Refused(say("the book does not know how {method} joins.", method=bench.method.name), where="method", remedy=remedy)
    return advice


def _row(model: type[N], ident: str | None) -> N | None:
    return model._default_manager.filter(pk=ident).first() if ident else None
