"""The engine of `scionary.take` held against a stored posterior; used by the tests and by `benchmarks/take_reach.py`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from oracle.store import Summaries, read
from scionary.take import Rate, TakeCells, TakeFit, TakePriors, fit_take

Float = NDArray[np.float64]


@dataclass(frozen=True)
class Distances:
    """How far the engine lies from the sampler, in the sampler's posterior standard deviations; an entry a quantity.

    `sd_ratio` and `width_ratio` are the engine's standard deviation and 5 to 95 % width over the sampler's.
    """

    mean: Float
    sd_ratio: Float
    low: Float
    median: Float
    high: Float
    width_ratio: Float


@dataclass(frozen=True)
class Holding:
    """One data set: the fit, and what the sampler found."""

    fit: TakeFit
    posterior: Summaries

    def of(self, kind: str) -> Distances:
        """Distances of all quantities of a kind: fixed, scale, effect, rate_at_reference, long_run_rate."""
        rows = np.flatnonzero(np.char.startswith(self.posterior["names"], f"{kind}:"))
        draws = np.stack([self._draws(str(name)) for name in self.posterior["names"][rows]])
        return self._distances(rows, draws.mean(axis=1), draws.std(axis=1), *np.quantile(draws, [0.05, 0.5, 0.95], axis=1))

    @property
    def scales(self) -> Distances:
        """Distances of the scales as `TakeFit.scales` tells them."""
        rows = np.flatnonzero(np.char.startswith(self.posterior["names"], "scale:"))
        wanted = [self.fit.design.factors.index(str(name).split(":")[1]) for name in self.posterior["names"][rows]]
        table = self.fit.scales
        return self._distances(rows, *(column[wanted] for column in (table.mean, table.sd, table.low, table.median, table.high)))

    def _distances(self, rows: NDArray[Any], mean: Float, sd: Float, low: Float, median: Float, high: Float) -> Distances:
        truth = {key: self.posterior[key][rows] for key in ("mean", "sd", "q05", "q50", "q95", "width90")}
        unit = truth["sd"]
        return Distances(
            mean=(mean - truth["mean"]) / unit,
            sd_ratio=sd / unit,
            low=(low - truth["q05"]) / unit,
            median=(median - truth["q50"]) / unit,
            high=(high - truth["q95"]) / unit,
            width_ratio=(high - low) / truth["width90"],
        )

    def _draws(self, name: str) -> Float:
        kind, *rest = name.split(":")
        fit = self.fit
        if kind == "fixed":
            return fit.latent[:, fit.design.fixed.index(rest[0])]
        if kind == "scale":
            return fit.scale_draws[:, fit.design.factors.index(rest[0])]
        if kind == "effect":
            return fit.latent[:, int(fit.design.starts[fit.design.factors.index(rest[0])]) + int(rest[1])]
        return fit.rate_draws("cultivar", Rate.REFERENCE if kind == "rate_at_reference" else Rate.LONG_RUN)[:, int(rest[0])]


def held(name: str, *, points: int = 512, seed: int = 1) -> Holding:
    """Fit a stored data set under the priors of its chains."""
    cells, posterior = read(name)
    slopes = set(cells.priors.slope_sd.values())
    if len(slopes) > 1:
        raise ValueError(f"{name}: the engine has one prior for all slopes, not {sorted(slopes)}")
    priors = TakePriors(
        intercept_mean=cells.priors.intercept_mean,
        intercept_sd=cells.priors.intercept_sd,
        slope_sd=slopes.pop() if slopes else 0.5,
        scale=cells.priors.scale,
        passing=tuple(name for name in cells.factors if name != "cultivar"),
    )
    taken = TakeCells(cells.grafts, cells.takes, cells.factors, cells.covariates)
    return Holding(fit_take(taken, priors=priors, points=points, rng=seed), posterior)
