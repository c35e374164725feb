"""What a season has to work with: room under domes, pots, rootstocks, sticks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.plan.arrays import column, indices, table
from scionary.plan.wanted import put


@dataclass(frozen=True)
class Rooms:
    """Kinds of tray with a dome (or places on a bench), one row a kind; trays of one inside size are one kind.

    Attributes
    ----------
    names : tuple of str
        What the person calls each kind, shape (rooms,).
    available : ndarray of int
        Trays of the kind that can stand in each week, shape (rooms, weeks); one number, or one a kind, stands for all weeks.
    holds : ndarray of int
        Pots of each kind that one tray takes, by its inside size, shape (rooms, pot kinds); 0 where the pot is too high or wide.
    cost : ndarray
        Money for each filling of a tray.
    """

    names: tuple[str, ...]
    available: Any
    holds: Any
    cost: Any = 0.0

    def __post_init__(self) -> None:
        """Bring every field to one row a kind; the number of weeks is checked by the problem."""
        count = len(tuple(self.names))
        put(self, "names", tuple(self.names))
        available = np.asarray(self.available, dtype=np.float64)
        if available.ndim < 2:
            available = np.broadcast_to(available, (count,))[:, None]
        put(self, "available", table("rooms.available", available, (count, available.shape[1]), low=0.0))
        put(self, "holds", table("rooms.holds", np.atleast_2d(self.holds), (count, np.atleast_2d(self.holds).shape[1]), low=0.0))
        put(self, "cost", column("rooms.cost", self.cost, count, low=0.0))


@dataclass(frozen=True)
class Pots:
    """Kinds of pot, one row each.

    Attributes
    ----------
    names : tuple of str
        What the person calls each kind, shape (pot kinds,).
    owned : ndarray
        Pots at hand; what is used beyond them is bought.
    price : ndarray
        Money for each pot bought; 0 where pots do not matter.
    """

    names: tuple[str, ...] = ("pot",)
    owned: Any = 0.0
    price: Any = 0.0

    def __post_init__(self) -> None:
        """Bring every field to one row a kind."""
        put(self, "names", tuple(self.names))
        for name in ("owned", "price"):
            put(self, name, column(f"pots.{name}", getattr(self, name), len(self.names), low=0.0))


@dataclass(frozen=True)
class Stocks:
    """Lots of rootstocks, one row each.

    Attributes
    ----------
    names : tuple of str
        What the person calls each lot, shape (lots,).
    number : ndarray
        Rootstocks in the lot.
    arrival_week : ndarray of int
        First week in which they can be grafted; negative for lots that are there.
    usable_share : ndarray
        Share whose thickness lies inside the method's window, shape (lots, methods), 0 to 1; one number stands for all.
    usable_by_any : ndarray
        Share that some method can use, shape (lots,); NaN for the largest of `usable_share`, the careful end.
    outgrown_weeks : ndarray
        Weeks from arrival after which the stock has outgrown the pot, shape (lots, pot kinds); infinite where it does not. A graft must
        be out of its dome by then.
    failed : ndarray
        Stocks of the lot on which a graft is known to have failed and which can be grafted again, shape (lots,).
    """

    names: tuple[str, ...] = ()
    number: Any = 0.0
    arrival_week: Any = -1
    usable_share: Any = 1.0
    usable_by_any: Any = np.nan
    outgrown_weeks: Any = np.inf
    failed: Any = 0.0

    def __post_init__(self) -> None:
        """Bring the fields with one number a lot to that; tables are spread by the problem, which knows methods and pots."""
        put(self, "names", tuple(self.names))
        count = len(self.names)
        put(self, "number", column("stocks.number", self.number, count, low=0.0))
        put(self, "failed", column("stocks.failed", self.failed, count, low=0.0))
        put(self, "arrival_week", indices("stocks.arrival_week", self.arrival_week, count))
        put(self, "usable_by_any", column("stocks.usable_by_any", self.usable_by_any, count, low=0.0, high=1.0, gaps=True))


@dataclass(frozen=True)
class Sticks:
    """Scion wood, one row a mother tree and window; dwarfs simply have fewer.

    Attributes
    ----------
    names : tuple of str
        Mother tree and window, as the person calls them, shape (supplies,).
    number : ndarray
        Sticks that can be cut.
    """

    names: tuple[str, ...] = ()
    number: Any = 0.0

    def __post_init__(self) -> None:
        """Bring the number to one a row."""
        put(self, "names", tuple(self.names))
        put(self, "number", column("sticks.number", self.number, len(self.names), low=0.0))
