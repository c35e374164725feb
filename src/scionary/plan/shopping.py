"""What a season uses up: sticks of each tree, film, blades, labels, pots, water of the trays."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from scionary.errors import BadValue
from scionary.language import say

_MM_PER_M, _MM3_PER_LITRE = 1000.0, 1e6


@dataclass(frozen=True)
class PlannedGrafts:
    """Grafts of one kind in one week.

    Attributes
    ----------
    week : date
        Its Monday.
    grafts : int
        How many, 0 or more.
    method, pot, tree : str
        How, in what, and from which mother tree; empty where that is not planned, or where the stock stands in its pot already.
    """

    week: date
    grafts: int
    method: str = ""
    pot: str = ""
    tree: str = ""

    def __post_init__(self) -> None:
        """Refuse fewer than none."""
        if self.grafts < 0:
            raise BadValue("grafts", self.grafts, "0 or more")


@dataclass(frozen=True)
class MethodUse:
    """What one graft by a method uses up.

    Attributes
    ----------
    film_mm : float
        Film or tape, in mm.
    grafts_per_stick : float
        Grafts that one stick gives, more than 0.
    grafts_per_blade : float
        Grafts until a blade is changed, more than 0.
    labels : float
        Labels for each graft.
    """

    film_mm: float = 250.0
    grafts_per_stick: float = 2.0
    grafts_per_blade: float = 50.0
    labels: float = 1.0

    def __post_init__(self) -> None:
        """Refuse numbers that cannot be."""
        for name in ("grafts_per_stick", "grafts_per_blade"):
            if not (np.isfinite(getattr(self, name)) and getattr(self, name) > 0):
                raise BadValue(name, getattr(self, name), "more than 0")
        for name in ("film_mm", "labels"):
            if not (np.isfinite(getattr(self, name)) and getattr(self, name) >= 0):
                raise BadValue(name, getattr(self, name), "0 or more")


USUAL = MethodUse()  # common practice, no source


@dataclass(frozen=True)
class TrayUse:
    """A tray: how many pots of each kind it takes, and the water in it.

    Attributes
    ----------
    length_mm, width_mm : float
        Its inside size.
    holds : mapping of str to int
        Pots that stand on it, by kind; 1 or more each.
    water_mm : float
        Depth of the water below the grid; 10 is common practice, no source.
    """

    length_mm: float
    width_mm: float
    holds: Mapping[str, int]
    water_mm: float = 10.0

    def __post_init__(self) -> None:
        """Refuse sizes that cannot be."""
        for name, least in (("length_mm", 1e-9), ("width_mm", 1e-9), ("water_mm", 0.0)):
            if not (np.isfinite(getattr(self, name)) and getattr(self, name) >= least):
                raise BadValue(name, getattr(self, name), "more than 0 mm" if least else "0 mm or more")
        for pot, count in self.holds.items():
            if count < 1:
                raise BadValue(f"holds of {pot!r}", count, "1 or more")

    @property
    def litres(self) -> float:
        """Water of one filling."""
        return self.length_mm * self.width_mm * self.water_mm / _MM3_PER_LITRE


@dataclass(frozen=True)
class ShoppingList:
    """What is used up; whole numbers where things are bought whole.

    Attributes
    ----------
    sticks : dict of str to int
        By mother tree; "" for grafts without one.
    sticks_by_week : dict of (date, str) to int
        The same for each week, so that wood is cut when it is wanted.
    film_m : float
        Film in metres.
    blades, labels : int
        Pieces.
    pots : dict of str to int
        By kind.
    trays_by_week : dict of date to int
        Trays newly filled in each week; empty without a tray.
    water_l : float
        Water for the first filling of all these trays.
    assumed : tuple of str
        What was supposed, one sentence each.
    """

    sticks: dict[str, int]
    sticks_by_week: dict[tuple[date, str], int]
    film_m: float
    blades: int
    labels: int
    pots: dict[str, int]
    trays_by_week: dict[date, int] = field(default_factory=dict)
    water_l: float = 0.0
    assumed: tuple[str, ...] = ()


def shopping_list(
    planned: Sequence[PlannedGrafts], uses: Mapping[str, MethodUse] | None = None, *, tray: TrayUse | None = None, spare: float = 0.1
) -> ShoppingList:
    """Add up what planned grafts use.

    Parameters
    ----------
    planned : sequence of PlannedGrafts
        The season, in any order.
    uses : mapping of str to MethodUse, optional
        What each method uses; a method that is not named uses what is usual.
    tray : TrayUse, optional
        The tray that is filled; without it trays and water are left out.
    spare : float
        Share added to film, blades, labels and pots, 0 to 1; a tenth is common practice, no source. Sticks and trays have none.

    Returns
    -------
    ShoppingList
        Everything, and what was supposed.

    Raises
    ------
    BadValue
        When a share is out of range, or the tray does not say how many it holds of a pot that is planned.
    """
    if not 0.0 <= spare <= 1.0:
        raise BadValue("spare", spare, "0 to 1")
    known = uses or {}
    film = blades = labels = 0.0
    pots: dict[str, int] = {}
    for each in planned:
        use = known.get(each.method, USUAL)
        film += each.grafts * use.film_mm / _MM_PER_M
        blades += each.grafts / use.grafts_per_blade
        labels += each.grafts * use.labels
        if each.pot:
            pots[each.pot] = pots.get(each.pot, 0) + each.grafts
    by_week = _sticks(planned, known)
    trays = _trays(planned, tray) if tray else {}
    return ShoppingList(
        sticks=_by_tree(by_week),
        sticks_by_week=by_week,
        film_m=film * (1.0 + spare),
        blades=_whole(blades * (1.0 + spare)),
        labels=_whole(labels * (1.0 + spare)),
        pots={pot: _whole(count * (1.0 + spare)) for pot, count in sorted(pots.items()) if count},
        trays_by_week=trays,
        water_l=sum(trays.values()) * tray.litres if tray else 0.0,
        assumed=tuple(_assumed(planned, known, tray, spare)),
    )


def _sticks(planned: Sequence[PlannedGrafts], known: Mapping[str, MethodUse]) -> dict[tuple[date, str], int]:
    """Whole sticks for each week and tree: what is left of one is not kept until another week."""
    parts: dict[tuple[date, str], float] = {}
    for each in planned:
        key = (each.week, each.tree)
        parts[key] = parts.get(key, 0.0) + each.grafts / known.get(each.method, USUAL).grafts_per_stick
    return {key: _whole(part) for key, part in sorted(parts.items()) if part > 0}


def _by_tree(by_week: dict[tuple[date, str], int]) -> dict[str, int]:
    found: dict[str, int] = {}
    for (_, tree), count in by_week.items():
        found[tree] = found.get(tree, 0) + count
    return dict(sorted(found.items()))


def _trays(planned: Sequence[PlannedGrafts], tray: TrayUse) -> dict[date, int]:
    """Trays for each week: one kind of pot and one age on each."""
    grafts: dict[tuple[date, str], int] = {}
    for each in planned:
        if each.grafts and each.pot not in tray.holds:
            raise BadValue("tray", each.pot, f"a tray that says how many it holds of {each.pot!r}")
        grafts[each.week, each.pot] = grafts.get((each.week, each.pot), 0) + each.grafts
    found: dict[date, int] = {}
    for (week, pot), count in sorted(grafts.items()):
        if count:
            found[week] = found.get(week, 0) + -(-count // tray.holds[pot])
    return found


def _whole(value: float) -> int:
    return math.ceil(value - 1e-9)


def _assumed(planned: Sequence[PlannedGrafts], known: Mapping[str, MethodUse], tray: TrayUse | None, spare: float) -> list[str]:
    found = []
    if any(each.grafts and each.method not in known for each in planned):
        found.append(
            say(
                "A graft takes {film} mm of film and {labels} label, a stick gives {sticks} grafts, a blade lasts {blades} (common"
                " practice, no source).",
                film=f"{USUAL.film_mm:g}",
                labels=f"{USUAL.labels:g}",
                sticks=f"{USUAL.grafts_per_stick:g}",
                blades=f"{USUAL.grafts_per_blade:g}",
            )
        )
    if spare:
        found.append(
            say(
                "{share} per cent of film, blades, labels and pots are added as spare (common practice, no source).",
                share=f"{spare * 100:g}",
            )
        )
    if tray:
        found.append(say("Water stands {depth} mm deep below the grid (common practice, no source).", depth=f"{tray.water_mm:g}"))
        found.append(say("A tray holds one kind of pot and one week's grafts."))
    return found
