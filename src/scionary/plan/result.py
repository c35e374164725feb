"""A plan and what is known of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scionary.plan.effort import Effort
from scionary.plan.judging import PlanValue
from scionary.plan.limits import Limit, LimitRows
from scionary.plan.seasons import Seasons
from scionary.plan.wanted import Int
from scionary.units import Float


@dataclass(frozen=True)
class TrayFillings:
    """Trays that a plan fills, arrays of shape (fillings,); only those that are filled.

    Attributes
    ----------
    room, week, pot, healing_weeks : ndarray of int
        Which kind of tray, when, with which pots, for how long.
    trays : ndarray of int
        How many.
    """

    room: Int
    week: Int
    pot: Int
    healing_weeks: Int
    trays: Int

    def to_dict(self) -> dict[str, Any]:
        """Give everything as plain values."""
        return {name: getattr(self, name).tolist() for name in ("room", "week", "pot", "healing_weeks", "trays")}


@dataclass(frozen=True)
class LimitPrice:
    """What one unit more of a limit would be worth, by the relaxation.

    Attributes
    ----------
    limit : Limit
        Which.
    price : float
        Money a unit, in parts of grafts and trays: not yet confirmed with whole ones.
    row : int
        Its row among the problem's limits.
    """

    limit: Limit
    price: float
    row: int


@dataclass(frozen=True)
class Relaxation:
    """The season's programme with parts of grafts and trays allowed.

    Attributes
    ----------
    value : float
        Money that no plan exceeds in the seasons that it is made from.
    grafts : ndarray
        Parts of grafts of each option, shape (options,).
    prices : ndarray
        Money for one unit more of each limit, shape (limits,).
    worth_less : ndarray
        Money that the season would lose by one graft more of each option, shape (options,); 0 for those in use.
    """

    value: float
    grafts: Float
    prices: Float
    worth_less: Float


@dataclass(frozen=True)
class PlanResult:
    """A season's plan.

    Attributes
    ----------
    grafts : ndarray of int
        Grafts of each option, shape (options,).
    trays : TrayFillings
        Trays to fill.
    value : float
        Money on average over the seasons that it was made from, less the price of wishes that are not as sure as asked.
    bound : float
        What no plan exceeds in those seasons.
    gap : float
        (bound - value) ÷ |value|: how much better the best plan could at most be.
    seen : PlanValue
        The plan under fresh seasons; `chance` is the chance of each wish.
    relaxation : Relaxation
        Where the prices come from.
    own : PlanValue or None
        The person's own plan under the same seasons.
    own_broken : tuple of str
        Limits that the person's own plan breaks; it cannot win then.
    kept_own : bool
        True where the person's own plan is the better one and is given back.
    complete : bool
        False where `seconds` or the person stopped the search early; such a result should not be kept.
    stopped : bool
        True where the person stopped it.
    effort : Effort
        How hard it was looked for.
    assumptions : tuple of str
        What was supposed, one sentence each.
    rows, made_from : LimitRows, Seasons
        The limits, and the seasons that it was made from.
    judge : int
        The seed of the seasons that it was judged by.
    """

    grafts: Int
    trays: TrayFillings
    value: float
    bound: float
    gap: float
    seen: PlanValue
    relaxation: Relaxation
    own: PlanValue | None
    own_broken: tuple[str, ...]
    kept_own: bool
    complete: bool
    stopped: bool
    effort: Effort
    assumptions: tuple[str, ...]
    rows: LimitRows = field(repr=False)
    made_from: Seasons = field(repr=False)
    judge: int = field(repr=False)

    @property
    def chance(self) -> Float:
        """Chance of each wish in fresh seasons, shape (targets,)."""
        return self.seen.chance

    @property
    def optimism(self) -> float:
        """Share by which the seasons that it was made from flatter it; never for a plan that was not made from them."""
        return (self.value - self.seen.score) / abs(self.seen.score) if self.seen.score and not self.kept_own else 0.0

    @property
    def prices(self) -> tuple[LimitPrice, ...]:
        """Limits that hold the plan back, dearest first."""
        order = np.argsort(-self.relaxation.prices, kind="stable")
        worth = 1e-6 * max(1.0, abs(self.value))
        return tuple(
            LimitPrice(self.rows.limits[at], float(self.relaxation.prices[at]), int(at))
            for at in order
            if self.relaxation.prices[at] > worth
        )

    def to_dict(self) -> dict[str, Any]:
        """Give what a page shows as plain values; no bound and gap are None."""
        return {
            "grafts": self.grafts.tolist(),
            "trays": self.trays.to_dict(),
            "value": self.value,
            "bound": self.bound if np.isfinite(self.bound) else None,
            "gap": self.gap if np.isfinite(self.gap) else None,
            "seen": self.seen.to_dict(),
            "own": self.own.to_dict() if self.own else None,
            "own_broken": list(self.own_broken),
            "kept_own": self.kept_own,
            "complete": self.complete,
            "stopped": self.stopped,
            "effort": self.effort.name.lower(),
            "prices": [{"words": each.limit.one_more, "kind": each.limit.kind.value, "price": each.price} for each in self.prices],
            "assumptions": list(self.assumptions),
        }
