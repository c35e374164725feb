"""What stands on a tray: how many pots, where each one, what it hangs on, and how many such trays a bench takes. Needs no book."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from scionary.answers.tray_words import LEAF_MM, sentence_of, why_of
from scionary.errors import BadValue
from scionary.plan import (
    BenchLayout,
    Cover,
    Headroom,
    Layout,
    MixedLayout,
    RoundPot,
    SomePots,
    SquarePot,
    headroom,
    mixed_on_tray,
    pots_on_tray,
    trays_on_bench,
)
from scionary.units import Float

Progress = Callable[[float, str], bool | None]

WIDER_MM = 2.0  # by how much a pot may be wider than it was measured; project default, unsourced


@dataclass(frozen=True)
class PotAsk:
    """A kind of pot: round or square, how wide, how many (None: as many as there is room for)."""

    across_mm: float
    round: bool = False
    count: int | None = None

    @property
    def pot(self) -> SquarePot | RoundPot:
        return RoundPot(self.across_mm) if self.round else SquarePot(self.across_mm)


@dataclass(frozen=True)
class TrayAsk:
    """A tray, what is to stand on it, and what may be known beside it; all lengths in mm, None where not known."""

    length_mm: float
    width_mm: float
    pots: tuple[PotAsk, ...]
    clearance_mm: float = 0.0
    tolerance_mm: float = 0.0
    cover_mm: float | None = None
    lean_mm: float = 0.0
    pot_height_mm: float | None = None
    scion_mm: float | None = None
    bench_length_mm: float | None = None
    bench_width_mm: float | None = None
    wall_mm: float = 0.0
    gap_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse half a question."""
        if not self.pots:
            raise BadValue("pots", [], "one pot or more")
        if (self.bench_length_mm is None) != (self.bench_width_mm is None):
            raise BadValue("bench", self.bench_length_mm or self.bench_width_mm, "length and width together")
        if self.wall_mm < 0:
            raise BadValue("wall_mm", self.wall_mm, "0 mm or more")


@dataclass(frozen=True)
class TrayPot:
    """One place: its number, the middle in mm from the near left corner, which kind stands there, and the free height above its rim."""

    place: int
    x_mm: float
    y_mm: float
    kind: int
    free_mm: float | None = None
    too_low: bool = False


@dataclass(frozen=True)
class TrayAnswer:
    """What stands where, in words and numbers."""

    ask: TrayAsk
    pots: tuple[TrayPot, ...]
    counts: tuple[int, ...]
    left_over: tuple[int, ...]
    how: str
    proved: bool
    at_most: int | None
    next_width_mm: float | None
    when_wider: int | None
    whole: bool
    bench: BenchLayout | None = None
    unit: str = "mm"
    sentence: str = ""
    why: tuple[str, ...] = field(default=())
    flags: tuple[str, ...] = field(default=())

    @property
    def count(self) -> int:
        """Pots on the tray."""
        return len(self.pots)

    def across_mm(self, pot: TrayPot) -> float:
        """Width of the pot at a place."""
        return self.ask.pots[pot.kind].across_mm

    def to_dict(self) -> dict[str, object]:
        kinds = zip(self.ask.pots, self.counts, self.left_over, strict=True)
        return {
            "length_mm": self.ask.length_mm,
            "width_mm": self.ask.width_mm,
            "count": self.count,
            "pots": [{"across_mm": a.across_mm, "round": a.round, "count": n, "left_over": left} for a, n, left in kinds],
            "how": self.how,
            "proved": self.proved,
            "at_most": self.at_most,
            "next_width_mm": self.next_width_mm,
            "count_if_pots_are_wider": self.when_wider,
            "whole": self.whole,
            "places": [{"place": p.place, "x_mm": p.x_mm, "y_mm": p.y_mm, "kind": p.kind, "free_mm": p.free_mm} for p in self.pots],
            "trays_on_bench": None if self.bench is None else self.bench.count,
            "sentence": self.sentence,
            "why": list(self.why),
            "flags": list(self.flags),
        }


def tray(ask: TrayAsk, *, unit: str = "mm", progress: Progress | None = None) -> TrayAnswer:
    """Answer for a tray; lengths in words are in this unit."""
    found = _one_kind(ask, progress) if len(ask.pots) == 1 else _mixed(ask, progress)
    found = replace(found, unit=unit, bench=_bench(ask))
    if ask.cover_mm is not None and found.pots:
        found = _under_cover(found, ask.cover_mm)
    why, flags = why_of(found)
    return replace(found, sentence=sentence_of(found), why=tuple(why), flags=tuple(flags))


def _one_kind(ask: TrayAsk, progress: Progress | None) -> TrayAnswer:
    only = ask.pots[0]
    asked = (ask.length_mm, ask.width_mm, only.pot, ask.clearance_mm, ask.tolerance_mm)
    layout = _laid_out(*asked) if progress is None else _laid_out.__wrapped__(*asked, progress)
    stand = layout.count if only.count is None else min(layout.count, only.count)
    return TrayAnswer(
        ask=ask,
        pots=_places(layout.positions[:stand], np.zeros(stand, dtype=int), ask),
        counts=(stand,),
        left_over=((only.count or stand) - stand,),
        how=layout.kind.value,
        proved=layout.count == layout.at_most or stand == only.count,
        at_most=layout.at_most,
        next_width_mm=layout.next_width_mm,
        when_wider=_when_wider(ask, only, layout.count),
        whole=layout.whole,
    )


@lru_cache(maxsize=256)
def _laid_out(
    length_mm: float, width_mm: float, pot: SquarePot | RoundPot, clearance_mm: float, tolerance_mm: float, progress: Progress | None = None
) -> Layout:
    """A layout, found once: a page, its print and the same page again ask for the same."""
    return pots_on_tray(length_mm, width_mm, pot, clearance_mm=clearance_mm, tolerance_mm=tolerance_mm, progress=progress)


@lru_cache(maxsize=64)
def _laid_out_mixed(
    length_mm: float,
    width_mm: float,
    kinds: tuple[SomePots, ...],
    clearance_mm: float,
    tolerance_mm: float,
    progress: Progress | None = None,
) -> MixedLayout:
    return mixed_on_tray(length_mm, width_mm, kinds, clearance_mm=clearance_mm, tolerance_mm=tolerance_mm, progress=progress)


def _when_wider(ask: TrayAsk, only: PotAsk, count: int) -> int | None:
    """How many stand when pots are a little wider than measured; None where that changes nothing."""
    wider = replace(only, across_mm=only.across_mm + WIDER_MM).pot
    if not count or wider.width_mm + WIDER_MM > min(ask.length_mm, ask.width_mm):
        return None
    found = _laid_out(ask.length_mm, ask.width_mm, wider, ask.clearance_mm, ask.tolerance_mm).count
    return found if found < count else None


def _mixed(ask: TrayAsk, progress: Progress | None) -> TrayAnswer:
    kinds = tuple(SomePots(kind.pot, kind.count) for kind in ask.pots)
    asked = (ask.length_mm, ask.width_mm, kinds, ask.clearance_mm, ask.tolerance_mm)
    layout = _laid_out_mixed(*asked) if progress is None else _laid_out_mixed.__wrapped__(*asked, progress)
    return TrayAnswer(
        ask=ask,
        pots=_places(layout.positions, layout.kinds, ask),
        counts=layout.counts,
        left_over=layout.left_over,
        how="mixed",
        proved=layout.proved,
        at_most=None,
        next_width_mm=None,
        when_wider=None,
        whole=layout.whole,
    )


def _places(positions: Float, kinds: np.ndarray, ask: TrayAsk) -> tuple[TrayPot, ...]:
    """The places with the free strips shared out on all sides, as a person would set the pots."""
    if not len(positions):
        return ()
    half = np.array([ask.pots[kind].across_mm / 2 for kind in kinds])[:, None]
    room = np.array([ask.length_mm, ask.width_mm])
    free = (room - (positions + half).max(axis=0) - (positions - half).min(axis=0)) / 2
    moved = positions + free
    return tuple(TrayPot(at, float(x), float(y), int(kind)) for at, ((x, y), kind) in enumerate(zip(moved, kinds, strict=True), start=1))


def _under_cover(found: TrayAnswer, cover_mm: float) -> TrayAnswer:
    ask = found.ask
    places = np.array([(pot.x_mm, pot.y_mm) for pot in found.pots])
    scion = 0.0 if ask.scion_mm is None else ask.scion_mm
    room: Headroom = headroom(
        places,
        ask.length_mm,
        ask.width_mm,
        Cover(cover_mm, ask.lean_mm),
        pot_mm=ask.pot_height_mm or 0.0,
        scion_mm=scion,
        free_mm=LEAF_MM if ask.scion_mm is not None else 0.0,
    )
    each = zip(found.pots, room.free_mm, room.stands, strict=True)
    return replace(found, pots=tuple(replace(pot, free_mm=float(free), too_low=not stands) for pot, free, stands in each))


def _bench(ask: TrayAsk) -> BenchLayout | None:
    if ask.bench_length_mm is None or ask.bench_width_mm is None:
        return None
    outside = (ask.length_mm + 2 * ask.wall_mm, ask.width_mm + 2 * ask.wall_mm)
    return trays_on_bench(ask.bench_length_mm, ask.bench_width_mm, *outside, gap_mm=ask.gap_mm)
