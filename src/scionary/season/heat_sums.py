"""At which heat sum a cultivar reaches a stage, learned from a grower's own dated looks, cultivars and seasons pooled.

    ln H = mu + cultivar + season + rest,   cultivar ~ N(0, tau²), season ~ N(0, omega²), rest ~ N(0, sigma² + width²/12)

H is the heat sum at which the stage was reached. Between two looks it lies anywhere: on the log scale the middle is taken, and the
width's variance of a uniform added. Given the three scales everything is a linear model in closed form; the scales are averaged over
a grid of equal steps of their prior, each weighed by its marginal likelihood. So a cultivar looked at once is pulled towards the
others, and one never looked at gets the range of a new one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.language import mark
from scionary.units import Float, as_floats, refuse_where

UNSOURCED = mark("project default, unsourced")
NODES = 8
NEGLIGIBLE = 1e-7


@dataclass(frozen=True)
class HeatPriors:
    """What is supposed before any look (project default, unsourced).

    Attributes
    ----------
    middle : float
        Heat sum expected for any cultivar [°C d], above 0.
    spread : float
        Standard deviation of its logarithm: 0.7 means a factor of 3 either way, nine times in ten.
    cultivars, seasons, rest : float
        Scales of the half-normal priors of how far cultivars, seasons and single looks lie apart, on the log scale.
    """

    middle: float = 150.0
    spread: float = 0.7
    cultivars: float = 0.3
    seasons: float = 0.2
    rest: float = 0.15

    def __post_init__(self) -> None:
        """Refuse what is no prior."""
        for each in fields(self):
            if not (np.isfinite(getattr(self, each.name)) and getattr(self, each.name) > 0):
                raise BadValue(each.name, getattr(self, each.name), "a number above 0")

    def assumptions(self) -> list[dict[str, Any]]:
        """List what is supposed.

        Returns
        -------
        list of dict
            ``name``, ``value``, ``unit``, ``source``.
        """
        units = {"middle": "°C d"}
        return [{"name": e.name, "value": getattr(self, e.name), "unit": units.get(e.name, ""), "source": UNSOURCED} for e in fields(self)]


@dataclass(frozen=True, eq=False)
class HeatSumFit:
    """What the looks say of the heat sum of a stage.

    Attributes
    ----------
    cultivars, seasons : tuple of str
        Levels that were looked at.
    looks : int
        Looks that counted.
    left_out : int
        Looks that could not count: the stage had been reached before the first one.
    weights : ndarray of shape (nodes,)
        Weight of each point of the grid of scales.
    scales : ndarray of shape (nodes, 3)
        Scales of cultivars, seasons and rest at each point.
    means : ndarray of shape (nodes, 1 + cultivars + seasons)
        Posterior means at each point: overall, cultivars, seasons, on the log scale.
    covariances : ndarray of shape (nodes, n, n)
        Posterior covariances of the same.
    priors : HeatPriors
        What was supposed before.
    """

    cultivars: tuple[str, ...]
    seasons: tuple[str, ...]
    looks: int
    left_out: int
    weights: Float
    scales: Float
    means: Float
    covariances: Float
    priors: HeatPriors

    def chance(self, heat: Any, *, cultivar: str | None = None, season: str | None = None, above: float = 0.0) -> Float:
        """Chance that the stage is reached by a heat sum.

        Parameters
        ----------
        heat : float or array_like
            Heat sum [°C d]. NaN gives NaN.
        cultivar : str, optional
            One of `cultivars`; any other, or None, is taken as one never looked at.
        season : str, optional
            One of `seasons`: what this season's looks at other cultivars say counts; any other is a coming one.
        above : float
            Heat sum at which it was seen that the stage had not been reached [°C d].

        Returns
        -------
        ndarray
            Chance, 0 to 1.
        """
        mean, sd = self._predictive(cultivar, season)
        heat = as_floats("heat", heat)
        reached = self._mixture(np.maximum(heat, 1e-9), mean, sd)
        if above > 0.0:
            before = float(self._mixture(np.asarray(above), mean, sd))
            reached = np.clip((reached - before) / max(1.0 - before, 1e-12), 0.0, 1.0)
        return np.where(np.isnan(heat), np.nan, reached)

    def quantile(self, share: Any, *, cultivar: str | None = None, season: str | None = None) -> Float:
        """Heat sums by which the stage is reached with given chances.

        Parameters
        ----------
        share : float or array_like
            Chances, above 0 and below 1.
        cultivar, season : str, optional
            As for `chance`.

        Returns
        -------
        ndarray
            Heat sums [°C d].
        """
        wanted = as_floats("share", share)
        refuse_where(~((wanted > 0.0) & (wanted < 1.0)), "share", wanted, "above 0 and below 1")
        mean, sd = self._predictive(cultivar, season)
        low = np.full(wanted.shape, float((mean - 9.0 * sd).min()))
        high = np.full(wanted.shape, float((mean + 9.0 * sd).max()))
        for _ in range(60):
            middle = (low + high) / 2.0
            short = self._mixture(np.exp(middle), mean, sd) < wanted
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        return np.asarray(np.exp((low + high) / 2.0))

    def draws(self, count: int, *, rng: np.random.Generator | int, cultivar: str | None = None, season: str | None = None) -> Float:
        """Draw heat sums of one cultivar in one season.

        Parameters
        ----------
        count : int
            How many.
        rng : Generator or int
            Where chance comes from.
        cultivar, season : str, optional
            As for `chance`.

        Returns
        -------
        ndarray of shape (count,)
            Heat sums [°C d].
        """
        rng = np.random.default_rng(rng)
        mean, sd = self._predictive(cultivar, season)
        node = rng.choice(len(self.weights), size=count, p=self.weights)
        return np.asarray(np.exp(rng.normal(mean[node], sd[node])))

    def table(self) -> list[dict[str, Any]]:
        """Give each cultivar's heat sum in a coming season, and that of one never looked at.

        Returns
        -------
        list of dict
            ``cultivar`` (None for a new one), ``middle``, ``low``, ``high`` [°C d]; the range holds it nine times in ten.
        """
        rows = []
        for cultivar in (*self.cultivars, None):
            low, middle, high = self.quantile([0.05, 0.5, 0.95], cultivar=cultivar).tolist()
            rows.append({"cultivar": cultivar, "middle": middle, "low": low, "high": high})
        return rows

    def _predictive(self, cultivar: str | None, season: str | None) -> tuple[Float, Float]:
        """Mean and standard deviation of ln H at each point of the grid."""
        parts = [0]
        variance = self.scales[:, 2] ** 2
        for name, levels, start, scale in ((cultivar, self.cultivars, 1, 0), (season, self.seasons, 1 + len(self.cultivars), 1)):
            if name in levels:
                parts.append(start + levels.index(name))
            else:
                variance = variance + self.scales[:, scale] ** 2
        mean = self.means[:, parts].sum(axis=1)
        variance = variance + self.covariances[:, parts][:, :, parts].sum(axis=(1, 2))
        return mean, np.sqrt(variance)

    def _mixture(self, heat: Float, mean: Float, sd: Float) -> Float:
        from scipy.special import ndtr

        return np.asarray(ndtr((np.log(heat)[..., None] - mean) / sd) @ self.weights)


def fit_heat_sums(
    cultivar: Sequence[str], season: Sequence[str], heat_before: Any, heat_at: Any, *, priors: HeatPriors | None = None
) -> HeatSumFit:
    """Learn the heat sum of a stage from dated looks.

    Parameters
    ----------
    cultivar, season : sequence of str
        Of each look.
    heat_before : array_like
        Heat sum at the last look at which the stage had not been reached [°C d]; equal to `heat_at` when the day is known;
        NaN when it had been reached before the first look: that look is left out, and counted.
    heat_at : array_like
        Heat sum at the first look at which it had [°C d], above 0.
    priors : HeatPriors, optional
        What is supposed before.

    Returns
    -------
    HeatSumFit
        Chances, heat sums with ranges, draws. Without any look it gives the prior back.

    Raises
    ------
    BadValue
        When lengths differ, or a heat sum is not above 0 or falls.
    """
    priors = priors or HeatPriors()
    before, at = as_floats("heat_before", heat_before), as_floats("heat_at", heat_at)
    if not len(cultivar) == len(season) == before.size == at.size:
        raise BadValue("heat_at", f"{at.size} sums", f"as many as cultivars, {len(cultivar)}, seasons and heat_before")
    refuse_where(~(at > 0.0), "heat_at", at, "above 0 °C d, known")
    refuse_where(before > at, "heat_before", before, "at most heat_at of the same look")
    kept = np.flatnonzero(~np.isnan(before)).tolist()
    cultivars, seasons = (tuple(dict.fromkeys(each[i] for i in kept)) for each in (cultivar, season))
    low = np.log(np.maximum(before[kept], 0.05 * at[kept]))  # before any warmth the log has no end: a twentieth stands for it
    high = np.log(at[kept])
    design = _design([cultivar[i] for i in kept], cultivars, [season[i] for i in kept], seasons)
    grid = _grid(priors)
    y, extra = (low + high) / 2.0 - np.log(priors.middle), (high - low) ** 2 / 12.0
    means, covariances, log_weight = _conditional(design, y, extra, grid, priors.spread, len(cultivars))
    weight = np.exp(log_weight - log_weight.max())
    some = weight > NEGLIGIBLE * weight.sum()
    means[:, 0] += np.log(priors.middle)
    weight = weight[some] / weight[some].sum()
    return HeatSumFit(cultivars, seasons, len(kept), len(cultivar) - len(kept), weight, grid[some], means[some], covariances[some], priors)


def _design(cultivar: Sequence[str], cultivars: Sequence[str], season: Sequence[str], seasons: Sequence[str]) -> Float:
    rows = np.zeros((len(cultivar), 1 + len(cultivars) + len(seasons)))
    rows[:, 0] = 1.0
    for row, (mine, when) in enumerate(zip(cultivar, season, strict=True)):
        rows[row, 1 + cultivars.index(mine)] = rows[row, 1 + len(cultivars) + seasons.index(when)] = 1.0
    return rows


def _grid(priors: HeatPriors) -> Float:
    """Points of equal prior weight: middles of equal shares of each half-normal."""
    from scipy.special import ndtri

    steps = ndtri((1.0 + (np.arange(NODES) + 0.5) / NODES) / 2.0)
    axes = [scale * steps for scale in (priors.cultivars, priors.seasons, priors.rest)]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)


def _conditional(
    design: Float, y: Float, extra: Float, grid: Float, spread: float, cultivars: int
) -> tuple[Float, npt.NDArray[np.float64], Float]:
    """Posterior mean and covariance given each point of the grid, and its log marginal likelihood."""
    size = design.shape[1]
    means, covariances, log_weight = np.empty((len(grid), size)), np.empty((len(grid), size, size)), np.empty(len(grid))
    for node, (tau, omega, sigma) in enumerate(grid):
        prior = np.concatenate([[spread**-2], np.full(cultivars, tau**-2), np.full(size - 1 - cultivars, omega**-2)])
        weight = 1.0 / (sigma**2 + extra)
        pull = design.T @ (weight * y)
        covariance = np.linalg.inv((design.T * weight) @ design + np.diag(prior))
        mean = covariance @ pull
        _, log_det = np.linalg.slogdet(covariance)
        fit = np.log(prior).sum() + log_det + np.log(weight).sum() - (weight * y) @ y + pull @ mean
        means[node], covariances[node], log_weight[node] = mean, covariance, 0.5 * fit
    return means, covariances, log_weight
