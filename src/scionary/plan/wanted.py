"""What is wanted of a season, and the ways to make it: the arrays that a plan chooses from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.plan.arrays import column, indices, table
from scionary.units import Float

Int = npt.NDArray[np.int64]
Bool = npt.NDArray[np.bool_]
HEALING_WEEKS = 5  # about a month closed, then by degrees: common practice, no source
HOURS_PER_GRAFT = 1.0 / 12.0  # a beginner makes 8 to 15 an hour: common practice, no source
NEVER = 10_000  # a week later than any season has: no limit


@dataclass(frozen=True)
class Targets:
    """What is wanted, one row a wish; a single number stands for all rows.

    Attributes
    ----------
    names : tuple of str
        What the person calls each, no two alike, shape (targets,).
    wanted : ndarray of int
        Finished plants wanted, 0 or more.
    value : ndarray
        Money, or worth to the person, of a finished plant up to the number wanted; 0 or more.
    penalty : ndarray
        Money lost beside the value for each plant that is missing; 0 or more.
    salvage : ndarray
        Money for each plant beyond the number wanted, at most `value` + `penalty`. Zero unless the person says otherwise: above the
        cost of a take, it makes "graft everything" the best plan.
    at_least : ndarray
        Finished plants that the plan must give on average, whatever it costs; 0 for no such limit.
    assurance : ndarray
        Wanted chance of reaching `wanted`, above 0 and below 1; NaN where most value is wanted.
    assurance_price : ndarray
        Money for each plant missing on average over the worst seasons, which makes assurance a price and never a wall; NaN for
        ``ASSURANCE_WEIGHT`` times what a missing plant costs.
    rare : ndarray of bool
        True where the grafts must never all stand in one week, or in one tray where there is but one week.
    latest_week : ndarray of int
        Last week (its index) in which a graft for this wish still serves it.
    """

    names: tuple[str, ...]
    wanted: Any
    value: Any
    penalty: Any = 0.0
    salvage: Any = 0.0
    at_least: Any = 0.0
    assurance: Any = np.nan
    assurance_price: Any = np.nan
    rare: Any = False
    latest_week: Any = NEVER

    def __post_init__(self) -> None:
        """Bring every field to one row a wish; refuse what cannot be wanted."""
        put(self, "names", tuple(self.names))
        count = len(self.names)
        put(self, "wanted", indices("wanted", self.wanted, count, least=0))
        for name in ("value", "penalty", "salvage", "at_least"):
            put(self, name, column(name, getattr(self, name), count, low=0.0))
        put(self, "assurance", column("assurance", self.assurance, count, low=1e-6, high=1.0 - 1e-6, gaps=True))
        put(self, "assurance_price", column("assurance_price", self.assurance_price, count, low=0.0, gaps=True))
        put(self, "rare", np.broadcast_to(np.asarray(self.rare, dtype=bool), (count,)).copy())
        put(self, "latest_week", indices("latest_week", self.latest_week, count))

    @property
    def shortfall_cost(self) -> Float:
        """Money that the first plant too few costs, against one too many, shape (targets,)."""
        cost: Float = self.value - self.salvage + self.penalty
        return cost


@dataclass(frozen=True)
class Options:
    """Ways to make a graft, one row each; a single number stands for all rows.

    Attributes
    ----------
    target : ndarray of int
        Which wish it serves, an index into `Targets`, shape (options,).
    week : ndarray of int
        In which week it is grafted, an index into the season's weeks.
    pot : ndarray of int
        Which kind of pot it stands in, an index into `Pots`.
    method : ndarray of int
        Which method, an index into the problem's `methods`.
    mother_tree : ndarray of int
        Which supply of sticks (a mother tree in one window) it is cut from, an index into `Sticks`; -1 where none limits it.
    stock_lot : ndarray of int
        Which lot its rootstock comes from, an index into `Stocks`; -1 where none limits it.
    healing_weeks : ndarray of int
        Weeks that it keeps its place under a dome, closed and hardening, 1 or more.
    hours : ndarray
        Bench hours a graft.
    sticks : ndarray
        Sticks a graft: 0.5 where a stick gives two.
    cost : ndarray
        Money a graft: rootstock, film, work, all that is not counted elsewhere.
    last_safe_week : ndarray of int
        Last week in which it can be grafted so that it is hardened before frost.
    latest_week : ndarray of int
        Last week in which it can be grafted so that it serves its wish: what is healed sooner may be grafted later.
    regraft : ndarray of bool
        True where the stock is one of the same lot on which an earlier graft failed.
    least, most : ndarray
        Fewest and most grafts that the person allows; 0 and no limit by default.
    """

    target: Any
    week: Any
    pot: Any = 0
    method: Any = 0
    mother_tree: Any = -1
    stock_lot: Any = -1
    healing_weeks: Any = HEALING_WEEKS
    hours: Any = HOURS_PER_GRAFT
    sticks: Any = 1.0
    cost: Any = 0.0
    last_safe_week: Any = NEVER
    latest_week: Any = NEVER
    regraft: Any = False
    least: Any = 0.0
    most: Any = np.inf

    def __post_init__(self) -> None:
        """Bring every field to one row an option; refuse what cannot be."""
        target = np.atleast_1d(np.asarray(self.target))
        count = len(target)
        for name in ("target", "week", "pot", "method"):
            put(self, name, indices(name, getattr(self, name), count, least=0))
        for name in ("mother_tree", "stock_lot"):
            put(self, name, indices(name, getattr(self, name), count, least=-1))
        put(self, "healing_weeks", indices("healing_weeks", self.healing_weeks, count, least=1))
        for name in ("last_safe_week", "latest_week"):
            put(self, name, indices(name, getattr(self, name), count))
        for name in ("hours", "sticks", "cost", "least"):
            put(self, name, column(name, getattr(self, name), count, low=0.0))
        put(self, "most", column("most", self.most, count, low=0.0, high=np.inf))
        put(self, "regraft", np.broadcast_to(np.asarray(self.regraft, dtype=bool), (count,)).copy())

    def __len__(self) -> int:
        """How many options there are."""
        return len(self.target)


@dataclass(frozen=True)
class Already:
    """Grafts that are made and whose takes are not all known: they count, and nothing can change them.

    Attributes
    ----------
    target : ndarray of int
        Which wish each row serves, shape (rows,).
    grafts : ndarray
        Grafts made and not known to be dead, 0 or more.
    takes : ndarray
        Chance of take in each season, with all that has been seen since, shape (seasons, rows), 0 to 1.
    survival : ndarray
        Share of takes that become finished plants, 0 to 1.
    fresh_takes : ndarray, optional
        The same for the seasons that the plan is judged by, shape (fresh seasons, rows).
    """

    target: Any
    grafts: Any
    takes: Any
    survival: Any = 1.0
    fresh_takes: Any = None

    def __post_init__(self) -> None:
        """Bring every field to one row a batch."""
        count = len(np.atleast_1d(np.asarray(self.target)))
        put(self, "target", indices("already.target", self.target, count, least=0))
        put(self, "grafts", column("already.grafts", self.grafts, count, low=0.0))
        put(self, "takes", table("already.takes", self.takes, (None, count), low=0.0, high=1.0))
        put(self, "survival", column("already.survival", self.survival, count, low=0.0, high=1.0))
        if self.fresh_takes is not None:
            put(self, "fresh_takes", table("already.fresh_takes", self.fresh_takes, (None, count), low=0.0, high=1.0))


def put(record: object, name: str, value: object) -> None:
    """Set a field of a frozen record while it is made.

    Parameters
    ----------
    record : object
        The dataclass.
    name : str
        The field.
    value : object
        What it shall be.
    """
    object.__setattr__(record, name, value)
