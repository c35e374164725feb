"""A season's limits: what they are called, and their rows in a linear programme."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from scionary.plan.wanted import Bool, Int
from scionary.units import Float

if TYPE_CHECKING:
    from scipy.sparse import csc_array, csr_array


class LimitKind(StrEnum):
    """What a row limits."""

    PLACES = "places"
    TRAYS = "trays"
    BENCH = "bench hours"
    STICKS = "sticks"
    STOCKS = "stocks"
    THICKNESS = "stocks of the right thickness"
    REGRAFT = "failed stocks"
    BUDGET = "budget"
    POTS = "pots"
    SPREAD = "spreading a rare kind"
    AT_LEAST = "at least"


def amount_words(amount: float) -> str:
    """Say an amount, to a tenth.

    Parameters
    ----------
    amount : float
        Any number.

    Returns
    -------
    str
        ``7.2``, ``60``, ``1,250``.
    """
    return f"{amount:,.1f}".removesuffix(".0")


@dataclass(frozen=True)
class Limit:
    """One limit.

    Attributes
    ----------
    kind : LimitKind
        What it limits.
    of : int
        Which room, week, supply, lot or wish, by the kind; -1 for the budget.
    week : int
        The week; -1 where it has none.
    words : str
        What there is, in a grower's words: ``2 trays of the tall dome in week 9``.
    one_more : str
        What one unit more would be: ``one more tray of the tall dome in week 9``.
    amount : float
        How much there is.
    """

    kind: LimitKind
    of: int
    week: int
    words: str
    one_more: str
    amount: float


@dataclass(frozen=True)
class Fillings:
    """Every way to fill a tray: its room, the week, the kind of pot and how long it heals; arrays of shape (fillings,)."""

    room: Int
    week: Int
    pot: Int
    healing: Int
    holds: Float

    def __len__(self) -> int:
        """How many ways there are."""
        return len(self.room)

    def stands(self, week: int) -> Bool:
        """Which of them take up their tray in a week.

        Parameters
        ----------
        week : int
            The week.

        Returns
        -------
        ndarray of bool
            Shape (fillings,).
        """
        standing: Bool = (self.week <= week) & (week < self.week + self.healing)
        return standing


@dataclass(frozen=True)
class LimitRows:
    """The linear programme's own part: ``lower <= matrix @ columns <= upper``.

    Columns are the options' grafts, then trays by filling, then pots bought by kind, then one yes or no for each rare kind that has but
    one week and each filling's group.
    """

    fillings: Fillings
    matrix: csr_array
    lower: Float
    upper: Float
    limits: tuple[Limit, ...]
    least: Float
    most: Float
    cost: Float
    whole: Bool
    switches: int
    closed: tuple[str, ...]

    @cached_property
    def by_column(self) -> csc_array:
        """The matrix, to be read by columns."""
        return self.matrix.tocsc()

    @cached_property
    def priced(self) -> Bool:
        """Which limits are of something that a graft takes from others, shape (limits,)."""
        return np.array([limit.kind not in (LimitKind.POTS, LimitKind.AT_LEAST) for limit in self.limits], dtype=bool)

    @property
    def columns(self) -> int:
        """How many columns there are."""
        return len(self.cost)

    def switched(self, grafts: Float) -> tuple[Float, Int]:
        """Which switches a number of grafts needs on: more than one graft of the rare kind.

        Parameters
        ----------
        grafts : ndarray of shape (options,)
            The grafts.

        Returns
        -------
        on, asking : ndarray
            1 or 0, and the row that asks two trays for each, shape (switches,).
        """
        first, count = self.columns - self.switches, len(grafts)
        asking, using = np.zeros(self.switches, dtype=np.int64), np.zeros(self.switches, dtype=np.int64)
        block = self.matrix[:, first:].tocoo()
        for row, switch, by in zip(*block.coords, block.data, strict=True):
            (asking if by > 0.0 else using)[switch] = row
        on: Float = (self.matrix[using][:, :count] @ grafts > 1.0 + 1e-9).astype(np.float64) if self.switches else np.zeros(0)
        return on, asking
