"""When the buds of takes push, and what a bud that has pushed, or has not yet, says of a plant.

Days from grafting to the push of a take are log-normal (or log-logistic) and shift with the season: a cold spring delays all plants
together. A plant is looked at now and then, so its push is known to lie between two looks, or not to have come by the last. Failures push
too: a share of them leafs on reserves, at the same time as takes, and collapses after some weeks. So an early push says little; one
that still stands late says much; and a bud that has not moved before spring says little again, since some takes rest until then.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.take.intervals import check_share
from scionary.take.push_likelihood import Looks, PushCurve, PushShape
from scionary.take.push_posterior import PushModel, PushPrior, PushRecord, push_draws
from scionary.take.signs import NOT_SEEN, SignEvidence
from scionary.units import Float, check_range


@dataclass(frozen=True)
class PushTable:
    """Share of takes that have pushed, by day: the mean, and the ends of its range; arrays of equal length."""

    day: Float
    mean: Float
    low: Float
    high: Float
    confidence: float

    def to_dict(self) -> dict[str, list[float]]:
        """Give the columns as lists."""
        return {name: getattr(self, name).tolist() for name in ("day", "mean", "low", "high")}


@dataclass(frozen=True)
class BudPush:
    """How bud push runs, as draws that belong together.

    Attributes
    ----------
    shape : PushShape
        Distribution of the days to the push.
    seasons : tuple
        Seasons of the record, in the order of the columns of `season_shift`.
    log_median, plant_spread : ndarray, shape (draws,)
        Logarithm of the median day in a usual season; standard deviation (log-normal) or scale (log-logistic) of log days.
    season_spread : ndarray, shape (draws,)
        Standard deviation of the seasons' shifts of log days.
    season_shift : ndarray, shape (draws, seasons)
        Shift of log days in each season of the record.
    rest_share : ndarray, shape (draws,)
        Share of takes that rest until the next spring.
    reserve_share, collapse_days : ndarray, shape (draws,)
        Share of failures that leaf on reserves, and their mean days until collapse.
    lapse_share : float
        Share of takes whose push is later scored as collapsed; supposed, not learned.
    effective : float
        Effective number of draws behind these.
    assumptions : tuple of str
        What was supposed, one sentence each.
    """

    shape: PushShape
    seasons: tuple[Any, ...]
    log_median: Float
    plant_spread: Float
    season_spread: Float
    season_shift: Float
    rest_share: Float
    reserve_share: Float
    collapse_days: Float
    lapse_share: float
    effective: float
    assumptions: tuple[str, ...] = field(default=())

    def chance_pushed(self, day: Any, *, season: Any = None, spring: float | None = None, rng: int | np.random.Generator = 0) -> Float:
        """Give the share of takes that have pushed by a day, F(t).

        Parameters
        ----------
        day : array_like, shape (days,) or a number
            Days after grafting, 0 or more.
        season : label, optional
            A season of the record; any other, or None, is a new one and shifts by chance, the same for all days of a draw.
        spring : float, optional
            Days from grafting to the next spring, until which some takes rest; None where no winter lies between.
        rng : int or Generator
            Seed or generator of a new season's shift.

        Returns
        -------
        ndarray of shape (draws, days)
            Shares, 0 to 1.

        Raises
        ------
        BadValue
            When a day is negative or missing.
        """
        return self._curve(season, rng).pushed(_days(day), spring)

    def chance_pushed_if_lost(self, day: Any, *, season: Any = None, rng: int | np.random.Generator = 0) -> Float:
        """Give the share of failures that stand pushed on a day: one minus the specificity of a push.

        Parameters
        ----------
        day : array_like, shape (days,) or a number
            Days after grafting, 0 or more.
        season : label, optional
            As in `chance_pushed`.
        rng : int or Generator
            Seed or generator of a new season's shift.

        Returns
        -------
        ndarray of shape (draws, days)
            Shares, 0 to 1.

        Raises
        ------
        BadValue
            When a day is negative or missing.
        """
        days = _days(day)
        looks = Looks.read(days, np.zeros_like(days), None, None)
        return -np.expm1(self._curve(season, rng).log_lost(looks, self.reserve_share[:, None], self.collapse_days[:, None]))

    def curve(
        self, day: Any, *, season: Any = None, spring: float | None = None, confidence: float = 0.9, rng: int | np.random.Generator = 0
    ) -> PushTable:
        """Give the share of takes that have pushed by each day, with its range.

        Parameters
        ----------
        day : array_like, shape (days,)
            Days after grafting, 0 or more.
        season : label, optional
            As in `chance_pushed`.
        spring : float, optional
            As in `chance_pushed`.
        confidence : float
            Probability inside each range.
        rng : int or Generator
            Seed or generator of a new season's shift.

        Returns
        -------
        PushTable
            Shares by day.

        Raises
        ------
        BadValue
            When an argument is out of its range.
        """
        inside = check_share("confidence", confidence)
        shares = self.chance_pushed(day, season=season, spring=spring, rng=rng)
        low, high = np.quantile(shares, [(1.0 - inside) / 2.0, (1.0 + inside) / 2.0], axis=0)
        return PushTable(_days(day), shares.mean(axis=0), low, high, inside)

    def evidence(
        self,
        days: Any,
        pushed: Any,
        *,
        season: Any = None,
        since: Any = None,
        spring: Any = None,
        rng: int | np.random.Generator = 0,
    ) -> SignEvidence:
        """Turn looks at buds into evidence about the plants of one season.

        Parameters
        ----------
        days : array_like, shape (plants,) or (plants, looks)
            Days from grafting to each look; NaN not looked at.
        pushed : array_like, same shape
            1 stood pushed at that look, 0 not, NaN not scored.
        season : label, optional
            As in `chance_pushed`; a new season's shift is the same for all plants of a draw.
        since : array_like, shape (plants,), optional
            One earlier look that saw the bud unpushed; 0 (also NaN) where there was none. The same as a first look with 0.
        spring : array_like, shape (plants,), or a number, optional
            Days from grafting to the next spring, until which some takes rest; None (or NaN) where no winter lies between.
        rng : int or Generator
            Seed or generator of a new season's shift.

        Returns
        -------
        SignEvidence
            One column for each different look.

        Raises
        ------
        BadValue
            When an argument is out of its range.
        """
        looks = Looks.read(days, pushed, since, spring)
        seen = np.flatnonzero(looks.seen)
        _, spot, column = np.unique(looks.rows()[seen], axis=0, return_index=True, return_inverse=True)
        kind = np.full(len(looks.day), NOT_SEEN, dtype=np.int64)
        kind[seen] = np.ravel(column)
        kinds, curve = looks.only(seen[spot]), self._curve(season, rng)
        if_lost = curve.log_lost(kinds, self.reserve_share[:, None], self.collapse_days[:, None])
        return SignEvidence(kind, curve.log_taken(kinds), if_lost, self.assumptions)

    def _curve(self, season: Any, rng: int | np.random.Generator) -> PushCurve:
        """The curve of a season; a new one gets a shift in each draw."""
        if season in self.seasons:
            shift = self.season_shift[:, self.seasons.index(season)]
        else:
            shift = self.season_spread * np.random.default_rng(rng).normal(size=self.log_median.size)
        return PushCurve(
            self.shape, (self.log_median + shift)[:, None], self.plant_spread[:, None], self.rest_share[:, None], self.lapse_share
        )


def bud_push(
    days: Any,
    pushed: Any,
    *,
    season: Any,
    since: Any = None,
    spring: Any = None,
    taken: Any = None,
    prior: PushPrior | None = None,
    shape: PushShape = PushShape.LOG_NORMAL,
    draws: int = 2000,
    rng: int | np.random.Generator = 0,
) -> BudPush:
    """Learn when the buds of takes push, how seasons shift it, and how many failures push as well.

    Parameters
    ----------
    days : array_like, shape (plants,) or (plants, looks)
        Days from grafting to each look, 0 or more; NaN no look. Takes need only the look that first saw the push, and the one before it
        or the last; give all looks of plants that failed or whose end is not known, since a failure may push and collapse between two.
    pushed : array_like, same shape
        1 stood pushed at that look, 0 not; NaN not scored. A 0 after a 1 is a collapse.
    season : array_like, shape (plants,)
        The season's label of each plant.
    since : array_like, shape (plants,), optional
        One earlier look that saw the bud unpushed; 0 (also NaN) where there was none. The same as a first look with 0.
    spring : array_like, shape (plants,), or a number, optional
        Days from grafting to the next spring, until which some takes rest; None (or NaN) where no winter lies between.
    taken : array_like, shape (plants,), optional
        1 took in the end, 0 failed, NaN not known; left out, all plants are takes.
    prior : PushPrior, optional
        What is supposed before any plant is seen.
    shape : PushShape
        Distribution of the days.
    draws : int
        Number of draws, 1 or more.
    rng : int or Generator
        Seed or generator.

    Returns
    -------
    BudPush
        Draws of all that was learned.

    Raises
    ------
    BadValue
        When an argument is out of its range or the arrays differ in length.

    Notes
    -----
    Interval- and right-censored likelihood: Klein & Moeschberger (2003), Survival Analysis, 2nd ed., section 3.5. The posterior is
    drawn by elliptical slices around a normal density that was fitted to it (Nishihara, Murray & Adams 2014, JMLR 15, 2087-2112).
    """
    if draws < 1:
        raise BadValue("draws", draws, "1 or more")
    used = prior or PushPrior()
    record = PushRecord.read(Looks.read(days, pushed, since, spring), season, taken)
    numbers, effective = push_draws(PushModel(record, used, shape), draws, np.random.default_rng(rng))
    return BudPush(
        shape=shape,
        seasons=record.seasons,
        log_median=numbers["log_median"][:, 0],
        plant_spread=numbers["plant_spread"][:, 0],
        season_spread=numbers["season_spread"][:, 0],
        season_shift=numbers["season_shift"],
        rest_share=numbers["rest_share"][:, 0],
        reserve_share=numbers["reserve_share"][:, 0],
        collapse_days=numbers["collapse_days"][:, 0],
        lapse_share=used.lapse_share,
        effective=effective,
        assumptions=used.words(),
    )


def _days(value: Any) -> Float:
    days = np.atleast_1d(check_range("day", value, 0.0, np.inf, "days"))
    if np.any(np.isnan(days)):
        raise BadValue("day", "a missing number", "days, 0 or more")
    return days
