"""The chance that a frost still comes, from the frost dates of years on record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.season.frost import FrostDates
from scionary.units import Float

DAY = np.timedelta64(1, "D")


@dataclass(frozen=True, eq=False)
class FrostChances:
    """Chance of a frost after each day of spring and before each day of autumn; a day is counted from the summer solstice or its turn.

    Attributes
    ----------
    days_before_solstice, days_after_solstice : ndarray of int
        Days of spring, rising to 0 (the solstice itself, or the day on which the autumn half begins), and days of autumn from 0 on.
    still_to_come, low, high : ndarray of float
        Chance that a frost comes after that day of spring, and the range that so few years allow, nine times in ten.
    already_come, already_low, already_high : ndarray of float
        Chance that one came on or before that day of autumn, and its range.
    spring_years, autumn_years : int
        Years counted: those whose half is known without a gap. A year without any frost counts as one.
    """

    days_before_solstice: Float
    still_to_come: Float
    low: Float
    high: Float
    days_after_solstice: Float
    already_come: Float
    already_low: Float
    already_high: Float
    spring_years: int
    autumn_years: int

    def spring_safe(self, chance: float = 0.1) -> int | None:
        """Find the first day of spring after which frost is at most so likely.

        Parameters
        ----------
        chance : float
            Chance that one takes, above 0 and below 1.

        Returns
        -------
        int or None
            Days before the summer solstice; None when no year is known.
        """
        _check_chance(chance)
        good = np.flatnonzero(self.still_to_come <= chance)
        return int(self.days_before_solstice[good[0]]) if good.size else None

    def autumn_safe(self, chance: float = 0.1) -> int | None:
        """Find the last day of autumn until which frost is at most so likely.

        Parameters
        ----------
        chance : float
            Chance that one takes, above 0 and below 1.

        Returns
        -------
        int or None
            Days after the summer solstice; None when no year is known or frost is likelier from the first day.
        """
        _check_chance(chance)
        good = np.flatnonzero(self.already_come <= chance)
        return int(self.days_after_solstice[good[-1]]) if good.size else None


def frost_chances(found: FrostDates, *, southern: bool = False, turn_d: int = 0) -> FrostChances:
    """Count in how many years a frost was still to come after each day.

    Parameters
    ----------
    found : FrostDates
        From `frost_dates`.
    southern : bool
        True south of the equator, as for `frost_dates`.
    turn_d : int
        Days from the summer solstice to the begin of the autumn half, as for `frost_dates` [d].

    Returns
    -------
    FrostChances
        Shares of the years with their ranges (Jeffreys); NaN when no year is whole. Years with a gap in that half are
        left out, because a frost may have gone unseen.
    """
    solstice = np.array([f"{year}-12-21" if southern else f"{year}-06-21" for year in found.year], dtype="datetime64[D]") + turn_d * DAY
    spring_whole, autumn_whole = found.spring_days_missing == 0, found.autumn_days_missing == 0
    last = _days(found.last_spring_frost - solstice, without=-np.inf)[spring_whole]
    first = _days(found.first_autumn_frost - solstice, without=np.inf)[autumn_whole]
    before, after = np.arange(-182.0, 1.0), np.arange(0.0, 183.0)
    still = _share(np.count_nonzero(last[None, :] > before[:, None], axis=1), last.size)
    already = _share(np.count_nonzero(first[None, :] <= after[:, None], axis=1), first.size)
    return FrostChances(before, *still, after, *already, last.size, first.size)


def _days(length: Any, *, without: float) -> Float:
    known = ~np.isnat(length)
    return np.where(known, np.where(known, length, 0 * DAY) / DAY, without)


def _share(come: Any, years: int) -> tuple[Float, Float, Float]:
    from scipy.special import betaincinv

    if not years:
        nothing = np.full(come.shape, np.nan)
        return nothing, nothing, nothing
    low, high = (betaincinv(come + 0.5, years - come + 0.5, point) for point in (0.05, 0.95))
    return come / years, low, high


def _check_chance(chance: float) -> None:
    if not 0.0 < chance < 1.0:
        raise BadValue("chance", chance, "above 0 and below 1")
