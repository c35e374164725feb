"""Chances of what is seen of buds: of takes, and of failures that leaf on their reserves and collapse.

Numbers about the curve come as arrays of shape (draws, 1) or (draws, plants) and broadcast against the plants.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.take.signs import Index
from scionary.units import Float, as_floats, check_range, refuse_where

NODES = 16
_TINY = 1e-300
_NONE = -1.0  # stands where there was no look; NaN never equals itself


class PushShape(Enum):
    """Distribution of the days to the push."""

    LOG_NORMAL = "log-normal"
    LOG_LOGISTIC = "log-logistic"


@dataclass(frozen=True)
class Looks:
    """What was seen of each plant's bud.

    Attributes
    ----------
    day : ndarray, shape (plants, looks)
        Days from grafting, rising; -1 behind the last look.
    push : ndarray, shape (plants, looks)
        1 stood pushed, 0 not; -1 behind the last look.
    spring : ndarray, shape (plants,)
        Days from grafting to the next spring; infinite where no winter lies between.
    """

    day: Float
    push: Float
    spring: Float

    @classmethod
    def read(cls, days: Any, pushed: Any, since: Any, spring: Any) -> Looks:
        """Check what was given and sort the looks of each plant; NaN in either means: no look.

        Parameters
        ----------
        days, pushed, since, spring : array_like
            As in `bud_push`.

        Returns
        -------
        Looks
            One row a plant.

        Raises
        ------
        BadValue
            When an argument is out of its range or of another shape.
        """
        push, day = _columns("pushed", pushed), _columns("days", check_range("days", days, 0.0, np.inf, "days"))
        refuse_where(~np.isnan(push) & (push != 0.0) & (push != 1.0), "pushed", push, "1, 0 or NaN")
        if since is not None:
            earlier = _columns("since", check_range("since", since, 0.0, np.inf, "days"))
            _same("since", earlier, push[:, :1])
            day, push = np.hstack([np.where(earlier > 0, earlier, np.nan), day]), np.hstack([np.zeros_like(earlier), push])
        _same("days", day, push)
        refuse_where((push == 1) & (day == 0), "days", day, "more than 0 where the bud has pushed")
        later = np.broadcast_to(as_floats("spring", np.inf if spring is None else spring), len(push))
        none = np.isnan(day) | np.isnan(push)
        order = np.argsort(np.where(none, np.inf, day), axis=1, kind="stable")
        day, push = (np.take_along_axis(np.where(none, _NONE, column), order, axis=1) for column in (day, push))
        refuse_where((np.diff(day, axis=1) == 0) & (day[:, 1:] > 0), "days", day[:, 1:], "one look a day; since lies before days")
        return cls(day, push, np.where(np.isnan(later), np.inf, later))

    def rows(self) -> Float:
        """One row a plant, for telling alike ones."""
        return np.column_stack([self.day, self.push, self.spring])

    def only(self, chosen: Any) -> Looks:
        """The chosen plants.

        Parameters
        ----------
        chosen : ndarray
            Mask or row numbers.

        Returns
        -------
        Looks
            Their looks.
        """
        return Looks(self.day[chosen], self.push[chosen], self.spring[chosen])

    @cached_property
    def seen(self) -> np.ndarray[Any, np.dtype[np.bool_]]:
        """Where there was a look at all."""
        return np.asarray((self.day != _NONE).any(axis=1))

    @cached_property
    def ever(self) -> np.ndarray[Any, np.dtype[np.bool_]]:
        """Where a look saw the bud pushed."""
        return np.asarray((self.push == 1).any(axis=1))

    @cached_property
    def until(self) -> Float:
        """The first look that saw it pushed, or the last look."""
        first = np.argmax(self.push == 1, axis=1)
        return np.where(self.ever, self._at(first), np.maximum(self.day.max(axis=1, initial=0.0), 0.0))

    @cached_property
    def since(self) -> Float:
        """The look before it; 0 where there was none."""
        before = np.where(self.day < self.until[:, None], self.day, 0.0)
        return np.asarray(np.maximum(before.max(axis=1, initial=0.0), 0.0))

    @cached_property
    def fallen(self) -> Float:
        """The first look that saw a pushed bud collapsed; infinite where none did."""
        down = (self.push == 0) & (self.day > self.until[:, None]) & self.ever[:, None]
        return np.asarray(np.where(down, self.day, np.inf).min(axis=1, initial=np.inf))

    @cached_property
    def stood(self) -> Float:
        """The last look before a collapse that saw it pushed; the look of `until` where it never was."""
        up = (self.push == 1) & (self.day < self.fallen[:, None])
        return np.asarray(np.maximum(np.where(up, self.day, 0.0).max(axis=1, initial=0.0), self.until))

    @cached_property
    def pieces(self) -> tuple[Index, Float, Float, Float, Float]:
        """Plant, begin, end, day of standing and weight of the stretches in which a push would have been seen by a look."""
        rising = np.hstack([np.zeros((len(self.day), 1)), self.day])
        plant, look = np.nonzero((self.day > 0) & ~self.ever[:, None])
        never = (plant, rising[plant, look], self.day[plant, look], self.day[plant, look], np.ones(plant.size))
        up, down = np.flatnonzero(self.ever), np.flatnonzero(np.isfinite(self.fallen))
        stands = (up, self.since[up], self.until[up], self.stood[up], np.ones(up.size))
        falls = (down, self.since[down], self.until[down], self.fallen[down], -np.ones(down.size))
        parts = [np.concatenate(column) for column in zip(never, stands, falls, strict=True)]
        return parts[0], parts[1], parts[2], parts[3], parts[4]

    def _at(self, look: Any) -> Float:
        if not self.day.shape[1]:
            return np.zeros(len(self.day))
        return np.take_along_axis(self.day, look[:, None], axis=1)[:, 0]


@dataclass(frozen=True)
class PushCurve:
    """The curve of pushes, were it known.

    Attributes
    ----------
    shape : PushShape
        Distribution of the days.
    middle, spread : ndarray
        Logarithm of the median day; standard deviation (log-normal) or scale (log-logistic) of log days.
    rest : ndarray
        Share of takes that rest until the next spring.
    lapse : float
        Chance that a take that has pushed is later scored as collapsed.
    """

    shape: PushShape
    middle: Float
    spread: Float
    rest: Float
    lapse: float

    def log_taken(self, looks: Looks) -> Float:
        """Log probability of what was seen, were the plant a take; upper tails are taken from above, where they keep their digits.

        Parameters
        ----------
        looks : Looks
            What was seen.

        Returns
        -------
        ndarray of shape (draws, plants)
            Log probabilities.
        """
        begin, end = self._standard(looks.since), self._standard(looks.until)
        rest = np.where(np.isfinite(looks.spring), self.rest, 0.0)
        between = np.where(begin > 0, self._share(-begin) - self._share(-end), self._share(end) - self._share(begin))
        between = (1.0 - rest) * between + rest * ((looks.since < looks.spring) & (looks.spring <= looks.until))
        not_yet = (1.0 - rest) * self._share(-end) + rest * (looks.until < looks.spring)
        lapse = np.where(np.isfinite(looks.fallen), self.lapse, 1.0)
        chance = np.where(looks.ever, between, not_yet)
        return np.asarray(np.log(np.maximum(chance * lapse, _TINY)))

    def log_lost(self, looks: Looks, reserve: Float, collapse: Float) -> Float:
        """Log probability of what was seen, were the plant a failure.

        Parameters
        ----------
        looks : Looks
            What was seen.
        reserve, collapse : ndarray
            Share of failures that leaf on reserves; mean days until their collapse.

        Returns
        -------
        ndarray of shape (draws, plants)
            Log probabilities.
        """
        plant, begin, end, at, weight = looks.pieces
        standing = self._standing(plant, begin, end, at, collapse) * weight
        seen = np.zeros((len(looks.day), len(standing)))
        np.add.at(seen, plant, standing.T)
        return np.log(np.maximum(np.where(looks.ever, reserve * seen.T, 1.0 - reserve * seen.T), _TINY))

    def pushed(self, day: Float, spring: float | None) -> Float:
        """Share of takes that have pushed by a day.

        Parameters
        ----------
        day : ndarray
            Days after grafting.
        spring : float or None
            Days from grafting to the next spring; None where no winter lies between.

        Returns
        -------
        ndarray of shape (draws, days)
            Shares, 0 to 1.
        """
        share = self._share(self._standard(day))
        return share if spring is None else np.asarray((1.0 - self.rest) * share + self.rest * (day >= spring))

    def _standing(self, plant: Index, begin: Float, end: Float, at: Float, collapse: Float) -> Float:
        """Chance to push on reserves from begin to end and stand at a day; Gauss-Legendre over the share pushed, right to 2 % or 1e-5."""
        from scipy.special import logit, ndtri

        middle = self.middle if self.middle.shape[1] == 1 else self.middle[:, plant]
        low, high = (self._share(self._standard(days, middle)) for days in (begin, end))
        total = np.zeros_like(low)
        for node, weight in zip(*np.polynomial.legendre.leggauss(NODES), strict=True):
            part = np.clip(low + (high - low) * (node + 1.0) / 2.0, 1e-15, 1.0 - 1e-15)
            standard = ndtri(part) if self.shape is PushShape.LOG_NORMAL else logit(part)
            age = np.maximum(at - np.exp(middle + self.spread * standard), 0.0)
            total += weight / 2.0 * np.exp(-age / collapse)
        return np.asarray((high - low) * total)

    def _standard(self, days: Float, middle: Float | None = None) -> Float:
        with np.errstate(divide="ignore"):
            return np.asarray((np.log(days) - (self.middle if middle is None else middle)) / self.spread)

    def _share(self, standard: Float) -> Float:
        from scipy.special import expit, ndtr

        return np.asarray(ndtr(standard) if self.shape is PushShape.LOG_NORMAL else expit(standard))


def push_log_likelihood(
    days: Any, pushed: Any, *, since: Any = None, log_median: float, plant_spread: float, shape: PushShape = PushShape.LOG_NORMAL
) -> float:
    """Give the log likelihood of looks at takes, were the curve known; no season shift, no rest until spring, no failures.

    Parameters
    ----------
    days, pushed, since : array_like
        As in `bud_push`.
    log_median : float
        Logarithm of the day by which half have pushed.
    plant_spread : float
        Standard deviation (log-normal) or scale (log-logistic) of log days, more than 0.
    shape : PushShape
        Distribution of the days.

    Returns
    -------
    float
        Sum over plants of log(F(b) - F(a)) where the push lies between days a and b, log(1 - F(c)) where it had not come by day c.

    Raises
    ------
    BadValue
        When an argument is out of its range.
    """
    if not plant_spread > 0:
        raise BadValue("plant_spread", plant_spread, "more than 0")
    curve = PushCurve(shape, np.array([[log_median]]), np.array([[plant_spread]]), np.zeros((1, 1)), 1.0)
    return float(curve.log_taken(Looks.read(days, pushed, since, None)).sum())


def _columns(name: str, value: Any) -> Float:
    numbers = as_floats(name, value)
    if numbers.ndim not in (1, 2):
        raise BadValue(name, f"an array of {numbers.ndim} dimensions", "one number a plant, or one row a plant with its looks")
    return numbers[:, None] if numbers.ndim == 1 else numbers


def _same(name: str, given: Float, pattern: Float) -> None:
    if given.shape != pattern.shape:
        raise BadValue(name, f"an array of shape {given.shape}", f"shape {pattern.shape}, as pushed has")
