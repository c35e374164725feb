"""The posterior of bud push: its numbers, their prior, and draws of them by importance resampling."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property, partial
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import say
from scionary.take.push_likelihood import Looks, PushCurve, PushShape
from scionary.take.signs import Index, zero_one
from scionary.take.slices import effective_number, slice_step
from scionary.units import Float

_PROPOSALS, _ROUNDS, _TAIL = 1000, 3, 5.0  # to find where the posterior lies; the last is the degrees of freedom of the proposals
_CHAINS, _WARM, _APART, _WIDER = 200, 10, 4, 1.2
_CHUNK = 200_000  # numbers worked on at once
_COMMON = 7  # numbers that all seasons share


@dataclass(frozen=True)
class PushPrior:
    """What is supposed of bud push before any plant is seen (project default, unsourced).

    Attributes
    ----------
    median_days : float
        Days after grafting by which half of the takes have pushed, in a usual season.
    median_spread : float
        Standard deviation of its logarithm.
    plant_spread : float
        Median of the standard deviation of log days between the plants of one season.
    plant_spread_spread : float
        Standard deviation of the logarithm of `plant_spread`.
    season_spread : float
        How much seasons shift the logarithm of days: scale of a half-normal distribution; 0 leaves seasons out.
    rest_share : float
        Median share of takes that rest until the next spring, where a look has one; 0 leaves rest out.
    rest_spread : float
        Standard deviation of its log odds.
    reserve_share : float
        Median share of failures that leaf on their reserves; 0 means that a failure never pushes.
    reserve_spread : float
        Standard deviation of its log odds.
    collapse_days : float
        Median of the mean time from such a push to its collapse, days.
    collapse_spread : float
        Standard deviation of its logarithm.
    take_share_spread : float
        Standard deviation of the log odds of a take, around one half; bears on plants of unknown end only.
    lapse_share : float
        Share of takes that have pushed whose push is later scored as collapsed.
    source : str
        Where the numbers are from, in words.
    """

    median_days: float = 45.0
    median_spread: float = 0.6
    plant_spread: float = 0.45
    plant_spread_spread: float = 0.4
    season_spread: float = 0.25
    rest_share: float = 0.3
    rest_spread: float = 1.0
    reserve_share: float = 0.3
    reserve_spread: float = 1.0
    collapse_days: float = 45.0
    collapse_spread: float = 0.5
    take_share_spread: float = 1.5
    lapse_share: float = 0.02
    source: str = "project default, unsourced"

    def __post_init__(self) -> None:
        """Refuse what is no prior."""
        for item in fields(self):
            value = getattr(self, item.name)
            may_be_zero = item.name in ("season_spread", "rest_share", "reserve_share")
            if item.name == "source":
                continue
            if not (np.isfinite(value) and value >= 0 and (value > 0 or may_be_zero)):
                raise BadValue(item.name, value, "a number, 0 or more" if may_be_zero else "a number above 0")
            if item.name in ("rest_share", "reserve_share", "lapse_share") and value >= 1:
                raise BadValue(item.name, value, "a share, 0 or more and less than 1")

    def words(self) -> tuple[str, ...]:
        """Say the assumptions, one sentence each."""
        factor = float(np.exp(1.645 * self.median_spread))
        low, high = self.median_days / factor, self.median_days * factor
        return (
            say(
                "Half of the takes have pushed by day {middle:g}, {low:.0f} to {high:.0f} in nine of ten cases; a season shifts all "
                "of them together ({source}).",
                middle=self.median_days,
                low=low,
                high=high,
                source=say(self.source),
            ),
            say(
                "About {share:.0%} of takes rest until spring, so a bud still shut then is late, not dead ({source}).",
                share=self.rest_share,
                source=say(self.source),
            ),
            say(
                "About {share:.0%} of failures leaf on their reserves, when takes push, and collapse after some "
                "{days:g} days; {lapse:.0%} of pushed takes are scored as collapsed later ({source}).",
                share=self.reserve_share,
                days=self.collapse_days,
                lapse=self.lapse_share,
                source=say(self.source),
            ),
        )


@dataclass(frozen=True)
class PushRecord:
    """Different looks with how often each was made; end is 1, 0 or NaN."""

    looks: Looks
    end: Float
    season: Index
    times: Float
    seasons: tuple[Any, ...]

    @classmethod
    def read(cls, looks: Looks, season: Any, taken: Any) -> PushRecord:
        """Bring looks, the season's label and the end of each plant together.

        Parameters
        ----------
        looks : Looks
            What was seen.
        season, taken : array_like, shape (plants,)
            As in `bud_push`.

        Returns
        -------
        PushRecord
            Different looks, counted.

        Raises
        ------
        BadValue
            When lengths differ.
        """
        ends = np.ones(len(looks.day)) if taken is None else zero_one("taken", taken)
        labels = np.asarray(season).ravel()
        for name, size in (("taken", ends.size), ("season", labels.size)):
            if size != len(looks.day):
                raise BadValue(name, f"{size} values", f"one a plant ({len(looks.day)})")
        names, place = np.unique(labels, return_inverse=True)
        coded = np.where(np.isnan(ends), 2.0, ends)  # NaN never equals itself
        rows = np.column_stack([looks.rows(), coded, np.ravel(place)])
        _, spot, times = np.unique(rows[looks.seen], axis=0, return_index=True, return_counts=True)
        chosen = np.flatnonzero(looks.seen)[spot]
        return cls(
            looks.only(chosen), ends[chosen], np.ravel(place)[chosen].astype(np.int64), times.astype(np.float64), tuple(names.tolist())
        )


@dataclass(frozen=True)
class PushModel:
    """Log posterior in coordinates whose prior is standard normal."""

    record: PushRecord
    prior: PushPrior
    shape: PushShape

    @property
    def size(self) -> int:
        """How many numbers there are."""
        return _COMMON + len(self.record.seasons)

    def numbers(self, points: Float) -> dict[str, Float]:
        """Named numbers, each of shape (points, 1), or (points, seasons) for the shifts.

        Parameters
        ----------
        points : ndarray, shape (points, size)
            Coordinates.

        Returns
        -------
        dict of str to ndarray
            The numbers by name.
        """
        from scipy.special import expit, ndtr, ndtri

        prior, (middle, spread, season, rest, reserve, collapse, take) = self.prior, points[:, :_COMMON].T[:, :, None]
        season_spread = prior.season_spread * ndtri(0.5 + 0.5 * np.minimum(ndtr(season), 1.0 - 1e-15))
        return {
            "log_median": np.log(prior.median_days) + prior.median_spread * middle,
            "plant_spread": prior.plant_spread * np.exp(prior.plant_spread_spread * spread),
            "season_spread": season_spread,
            "season_shift": season_spread * points[:, _COMMON:],
            "rest_share": _share(prior.rest_share, prior.rest_spread * rest),
            "reserve_share": _share(prior.reserve_share, prior.reserve_spread * reserve),
            "collapse_days": prior.collapse_days * np.exp(prior.collapse_spread * collapse),
            "take_share": np.asarray(expit(prior.take_share_spread * take)),
        }

    def log_posterior(self, points: Float) -> Float:
        """Log density, up to a constant, of each point; the points are worked on in chunks.

        Parameters
        ----------
        points : ndarray, shape (points, size)
            Coordinates.

        Returns
        -------
        ndarray of shape (points,)
            Log densities.
        """
        step = max(1, _CHUNK // max(1, self.record.times.size, self.lost_looks.pieces[0].size))
        return np.concatenate([self._log_posterior(points[start : start + step]) for start in range(0, len(points), step)])

    def _log_posterior(self, points: Float) -> Float:
        record, numbers = self.record, self.numbers(points)
        middle = numbers["log_median"] + numbers["season_shift"][:, record.season]
        taken = self._curve(middle, numbers).log_taken(record.looks)
        if not np.all(record.end == 1):
            taken = self._with_ends(taken, middle, numbers)
        return np.asarray(taken @ record.times - 0.5 * np.sum(points**2, axis=1))

    @cached_property
    def lost_looks(self) -> Looks:
        """Looks at plants that are not known to have taken."""
        return self.record.looks.only(self.record.end != 1)

    def _curve(self, middle: Float, numbers: dict[str, Float]) -> PushCurve:
        return PushCurve(self.shape, middle, numbers["plant_spread"], numbers["rest_share"], self.prior.lapse_share)

    def _with_ends(self, taken: Float, middle: Float, numbers: dict[str, Float]) -> Float:
        """Log probability of looks and ends together; an unknown end is summed over."""
        record, chance = self.record, numbers["take_share"]
        other = record.end != 1
        looks, curve = self.lost_looks, self._curve(middle[:, other], numbers)
        both = taken + np.log(chance)
        lost = curve.log_lost(looks, numbers["reserve_share"], numbers["collapse_days"]) + np.log1p(-chance)
        both[:, other] = np.where(record.end[other] == 0, lost, np.logaddexp(both[:, other], lost))
        return both


def push_draws(model: PushModel, draws: int, generator: np.random.Generator) -> tuple[dict[str, Float], float]:
    """Draw the numbers from their posterior by chains of slices; gives the effective number of draws too.

    Parameters
    ----------
    model : PushModel
        Record, prior and shape.
    draws : int
        Number of draws.
    generator : Generator
        Source of chance.

    Returns
    -------
    numbers : dict of str to ndarray
        Draws by name.
    effective : float
        Effective number of draws, the least of all numbers.
    """
    points, mean, factor = _start(model, generator)

    log_ratio = partial(_log_ratio, model, mean, factor)
    height, kept = log_ratio(points, np.arange(_CHAINS)), []
    for step in range(_WARM + -(-draws // _CHAINS) * _APART):
        points, height = slice_step(points, height, log_ratio, mean, factor, generator)
        if step >= _WARM and (step - _WARM) % _APART == 0:
            kept.append(points)
    chains = np.array(kept)
    effective = min(effective_number(chains[:, :, number]) for number in range(model.size))
    return model.numbers(chains.reshape(-1, model.size)[:draws]), effective


def _log_ratio(model: PushModel, mean: Float, factor: Float, tried: Float, _: Index) -> Float:
    """Log of the posterior over the normal density around which slices are drawn."""
    distance = np.linalg.solve(factor, (tried - mean).T)
    return np.asarray(model.log_posterior(tried) + 0.5 * np.sum(distance**2, axis=0))


def _start(model: PushModel, generator: np.random.Generator) -> tuple[Float, Float, Float]:
    """Points from the mode's surroundings, and the normal density that fits the posterior there, a little widened."""
    from scipy.special import softmax

    centre, factor = _mode(model)
    for _ in range(_ROUNDS):
        normal = generator.normal(size=(_PROPOSALS, model.size))
        steps = normal * np.sqrt(_TAIL / generator.chisquare(_TAIL, size=_PROPOSALS))[:, None]
        points = centre + steps @ factor.T
        log_weight = model.log_posterior(points) + 0.5 * (_TAIL + model.size) * np.log1p(np.sum(steps**2, axis=1) / _TAIL)
        weight = softmax(log_weight)
        centre = weight @ points
        around = points - centre
        factor = np.linalg.cholesky((around * weight[:, None]).T @ around + 0.05 * factor @ factor.T)
    return points[generator.choice(_PROPOSALS, size=_CHAINS, p=weight)], centre, _WIDER * factor


def _share(median: float, shift: Float) -> Float:
    from scipy.special import expit, logit

    return np.asarray(expit(logit(median) + shift)) if median else np.zeros_like(shift)


def _mode(model: PushModel) -> tuple[Float, Float]:
    """Mode of the posterior and a factor of the inverse of its curvature there (both by differences)."""
    from scipy.optimize import minimize

    size, step, wide = model.size, 1e-4, 1e-3
    moves = step * np.vstack([np.eye(size), -np.eye(size)])

    def height(point: Any) -> float:
        return float(-model.log_posterior(np.asarray(point)[None])[0])

    def slope(point: Any) -> Any:
        values = -model.log_posterior(np.asarray(point) + moves)
        return (values[:size] - values[size:]) / (2.0 * step)

    found = np.asarray(minimize(height, np.zeros(size), jac=slope, method="BFGS").x)
    curvature = np.array([(slope(found + move) - slope(found - move)) / (2.0 * wide) for move in wide * np.eye(size)])
    values, vectors = np.linalg.eigh((curvature + curvature.T) / 2.0)
    return found, np.asarray(vectors / np.sqrt(np.maximum(values, 0.5)))
