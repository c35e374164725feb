"""What take rates really are: a binomial-logit model with crossed effects and shocks that many grafts share.

Cells c: y_c ~ Bin(n_c, logistic(eta_c)); eta = intercept + slopes times covariates + one effect of the cell's level in each factor,
normal with a standard deviation that is learned too. The posterior is reached by nested Laplace approximations with weighted points
over the standard deviations (after Rue, Martino & Chopin 2009, J. R. Stat. Soc. B 71, 319-392), corrected for skewness.

Three rates are told apart. At reference conditions: every other factor at its middle; for comparing. Long-run: with the methods, trees and
hands that the level's own grafts had, averaged over the seasons, days, dome fillings and lots that may come. Next season's: the same with
new shocks, shared by all grafts under them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property

import numpy as np

from scionary.errors import BadValue
from scionary.language import say
from scionary.take.cells import Codes, TakeCells
from scionary.take.design import Design
from scionary.take.effect_table import EffectTable
from scionary.take.intervals import check_share
from scionary.take.laplace import Conditional
from scionary.take.pooling import RateRange, RateTable
from scionary.take.priors import TakePriors
from scionary.take.scale_points import Progress, ScalePoints, spread_points
from scionary.units import Float

DRAWS = 4000
_NODES = 15
_CHUNK = 2_000_000  # numbers worked on at once
_AT_ONCE = 64  # combinations of levels whose rates are worked out at once


class Rate(Enum):
    """Which rate is meant; never mixed up."""

    REFERENCE = "at reference conditions"
    LONG_RUN = "long-run"
    NEXT_SEASON = "next season's"


@dataclass(frozen=True)
class TakeFit:
    """Posterior of the take model.

    Attributes
    ----------
    cells : TakeCells
        The record.
    design : Design
        How latent numbers stand behind the cells.
    points : ScalePoints
        Weighted points over the scales.
    latent : ndarray, shape (draws, latent)
        Draws of the latent numbers: fixed effects, then each factor's levels, in log odds.
    scale_draws : ndarray, shape (draws, factors)
        Standard deviation of each factor's levels, of the same draws.
    assumptions : tuple of str
        What was supposed, one sentence each.
    """

    cells: TakeCells
    design: Design
    points: ScalePoints
    latent: Float
    scale_draws: Float
    assumptions: tuple[str, ...] = field(default=())

    @property
    def effective_size(self) -> float:
        """Effective number of the weighted points."""
        return self.points.effective_size

    @cached_property
    def fixed(self) -> EffectTable:
        """Intercept and slopes; a slope is for one standard deviation of its covariate."""
        return EffectTable.of(self.design.fixed, self.latent[:, : len(self.design.fixed)])

    @cached_property
    def scales(self) -> EffectTable:
        """Standard deviations between levels, by factor."""
        return EffectTable.weighted(self.design.factors, *self.points.dense)

    def effects(self, factor: str) -> EffectTable:
        """Give each level's distance from the middle of its factor.

        Parameters
        ----------
        factor : str
            A factor of the record.

        Returns
        -------
        EffectTable
            One row a named level, in log odds.
        """
        return EffectTable.of(self.cells.level_names(factor), self._levels(factor))

    def rates(self, factor: str, kind: Rate, *, confidence: float = 0.9) -> RateTable:
        """Give the rate of each level of a factor.

        Parameters
        ----------
        factor : str
            A factor of the record.
        kind : Rate
            Which rate is meant.
        confidence : float
            Probability inside the ranges, more than 0 and less than 1.

        Returns
        -------
        RateTable
            One row a named level, and what a new level would have.

        Raises
        ------
        BadValue
            When there is no such factor, or confidence is no share.
        """
        tails = [(1 - check_share("confidence", confidence)) / 2, (1 + confidence) / 2]
        draws = np.column_stack([self.rate_draws(factor, kind), self._new_level(factor, kind)])
        low, high = np.quantile(draws, tails, axis=0)
        mean, sd = draws.mean(axis=0), draws.std(axis=0)
        grafts, takes = (self._by_level(factor, numbers) for numbers in (self.cells.grafts, self.cells.takes))
        return RateTable(
            level=np.arange(len(grafts)),
            grafts=grafts,
            takes=takes,
            mean=mean[:-1],
            sd=sd[:-1],
            low=low[:-1],
            high=high[:-1],
            confidence=confidence,
            new_level=RateRange(*(float(column[-1]) for column in (mean, sd, low, high))),
            assumptions=self.assumptions,
        )

    def rate_draws(self, factor: str, kind: Rate) -> Float:
        """Give draws of the rate of each level of a factor.

        Parameters
        ----------
        factor : str
            A factor of the record.
        kind : Rate
            Which rate is meant. In `NEXT_SEASON`, levels share a draw's shocks.

        Returns
        -------
        ndarray, shape (draws, levels)
            Probabilities.
        """
        if factor not in self.design.factors:
            raise BadValue("factor", factor, ", ".join(self.design.factors) or "none: this record has no factors")
        company = 0.0 if kind is Rate.REFERENCE else self._company(factor)
        return self._rate(factor, kind, self._levels(factor) + company)

    def overall(self, kind: Rate, *, confidence: float = 0.9) -> RateRange:
        """Give the rate of all grafts together, with the cultivars, methods, trees and hands that the record has.

        Parameters
        ----------
        kind : Rate
            Which rate is meant. In `NEXT_SEASON` all grafts share one new level of each factor that passes.
        confidence : float
            Probability inside the range, more than 0 and less than 1.

        Returns
        -------
        RateRange
            Of the mean rate over the record's grafts; without grafts, of one new level of each factor that stays.

        Raises
        ------
        BadValue
            When confidence is no share.
        """
        tails = [(1 - check_share("confidence", confidence)) / 2, (1 + confidence) / 2]
        total = np.zeros(len(self.latent))
        staying, weights = self._make_up()
        if not len(weights):
            total = self._rate("", kind, self._new_make_up()[:, None])[:, 0]
        for start in range(0, len(weights), _AT_ONCE):
            some = slice(start, start + _AT_ONCE)
            effect = self.latent[:, staying[some]].sum(axis=2)
            total += self._rate("", kind, effect) @ weights[some]
        low, high = np.quantile(total, tails)
        return RateRange(float(total.mean()), float(total.std()), float(low), float(high))

    def predict(self, cells: TakeCells, *, draws: int, rng: int | np.random.Generator, vary: bool = False) -> Float:
        """Draw the take probabilities of grafts to come.

        Parameters
        ----------
        cells : TakeCells
            Cells to predict; counts are not looked at. A level that the record does not have, by name, is new: it gets a shock of its
            own, the same for all its cells. A factor that these cells lack, or a code of -1, is one new level for all.
        draws : int
            Number of draws, 1 or more.
        rng : int or Generator
            Seed or generator.
        vary : bool
            Covariates that these cells lack stand at the record's mean; with `vary` each cell draws its own, as far apart as the
            record's grafts lie.

        Returns
        -------
        ndarray, shape (draws, cells)
            Probabilities; the new shocks are shared inside a draw.

        Raises
        ------
        BadValue
            When draws is not 1 or more.
        """
        if draws < 1:
            raise BadValue("draws", draws, "1 or more")
        generator = np.random.default_rng(rng)
        size = len(self.latent)
        chosen = np.concatenate([generator.permutation(size) for _ in range(-(-draws // size))])[:draws]
        latent, scales = self.latent[chosen], self.scale_draws[chosen]
        eta = np.repeat(latent[:, :1], len(cells), axis=1)
        for i, name in enumerate(self.design.fixed[1:], start=1):
            column = cells.covariates.get(name)
            if column is not None:
                eta += latent[:, i : i + 1] * column
            elif vary:
                eta += latent[:, i : i + 1] * generator.normal(size=eta.shape)
        for k, name in enumerate(self.design.factors):
            eta += self._shocks(k, name, cells, latent, scales[:, k], generator)
        return _logistic(eta)

    def _shocks(self, k: int, name: str, cells: TakeCells, latent: Float, scale: Float, generator: np.random.Generator) -> Float:
        """Effect of one factor in each cell to come, shape (draws, cells)."""
        known = {level: i for i, level in enumerate(self.cells.level_names(name))}
        wanted = cells.level_names(name) if name in cells.factors else ()
        codes = cells.factors.get(name, np.full(len(cells), -1))
        fresh = generator.normal(size=(len(latent), len(wanted) + 1)) * scale[:, None]
        start = int(self.design.starts[k])
        for code, level in enumerate(wanted):
            if level in known:
                fresh[:, code] = latent[:, start + known[level]]
        return np.asarray(fresh[:, codes])  # -1 is the last column: one new level

    def _levels(self, factor: str) -> Float:
        k = self.design.factors.index(factor)
        start = int(self.design.starts[k])
        return self.latent[:, start : start + len(self.cells.level_names(factor))]

    def _by_level(self, factor: str, numbers: Codes) -> Codes:
        codes, levels = self.cells.factors[factor], len(self.cells.level_names(factor))
        there = codes >= 0
        return np.bincount(codes[there], weights=numbers[there], minlength=levels).astype(np.int64)

    def _new_level(self, factor: str, kind: Rate) -> Float:
        k = self.design.factors.index(factor)
        normal = np.random.default_rng(k + 1).permutation(_normal_scores(len(self.latent)))
        effect = (self.scale_draws[:, k] * normal)[:, None]
        company = 0.0 if kind is Rate.REFERENCE else self._company(factor, new=True)
        return self._rate(factor, kind, effect + company)

    def _rate(self, factor: str, kind: Rate, effect: Float) -> Float:
        """Rates, shape (draws, levels), for levels that lie `effect` from the middle of the record."""
        eta = self.latent[:, :1] + effect
        passing = [k for k, name in enumerate(self.design.factors) if name != factor and name in self.design.priors.passing]
        if kind is Rate.REFERENCE or not passing:
            return _logistic(eta)
        if kind is Rate.LONG_RUN:
            return average_over_shocks(eta, np.sqrt(np.sum(self.scale_draws[:, passing] ** 2, axis=1)))
        luck = np.zeros(len(eta))
        for k in passing:
            luck += self.scale_draws[:, k] * np.random.default_rng(100 + k).permutation(_normal_scores(len(eta)))
        return _logistic(eta + luck[:, None])

    def _make_up(self) -> tuple[Codes, Float]:
        """What the record is made of: columns of the staying factors' levels, a row a combination, and each row's share of the grafts."""
        there = self.cells.grafts > 0
        stays = [i for i, name in enumerate(self.design.factors, start=len(self.design.fixed)) if name not in self.design.priors.passing]
        rows, place = np.unique(self.design.columns[there][:, stays], axis=0, return_inverse=True)
        grafts = np.bincount(place.ravel(), weights=self.cells.grafts[there], minlength=len(rows))
        return rows, grafts / max(grafts.sum(), 1.0)

    def _new_make_up(self) -> Float:
        """One new level of each factor that stays, shape (draws,)."""
        total = np.zeros(len(self.latent))
        for k, name in enumerate(self.design.factors):
            if name not in self.design.priors.passing:
                total += self.scale_draws[:, k] * np.random.default_rng(300 + k).permutation(_normal_scores(len(total)))
        return total

    def _company(self, factor: str, *, new: bool = False) -> Float:
        """Effects of what stays with a level's grafts (method, tree, hand ...), shape (draws, levels).

        A level without grafts is taken to be shared out as the whole record is; what belongs to one level alone (a mother tree to its
        cultivar) comes new with it.
        """
        codes, grafts = self.cells.factors[factor], self.cells.grafts
        levels = 1 if new else len(self.cells.level_names(factor))
        there = (codes >= 0) & (grafts > 0)
        bare = np.ones(1, dtype=bool) if new else np.bincount(codes[there], minlength=levels) == 0
        total = np.zeros((len(self.latent), levels))
        for k, name in enumerate(self.design.factors):
            if name == factor or name in self.design.priors.passing:
                continue
            columns = self.design.columns[there, len(self.design.fixed) + k]
            table = np.zeros((levels, self.design.latent))
            if not new:
                np.add.at(table, (codes[there], columns), grafts[there])
            if np.any(bare) and _belongs(columns, codes[there]):
                luck = np.random.default_rng(200 + k).permutation(_normal_scores(len(self.latent)))
                total[:, bare] += (self.scale_draws[:, k] * luck)[:, None]
            else:
                table[bare] = np.bincount(columns, weights=grafts[there], minlength=self.design.latent)
            total += self.latent @ (table / np.maximum(table.sum(axis=1, keepdims=True), 1.0)).T
        return total


def fit_take(
    cells: TakeCells,
    *,
    priors: TakePriors | None = None,
    points: int = 512,
    draws: int = DRAWS,
    rng: int | np.random.Generator,
    progress: Progress | None = None,
) -> TakeFit:
    """Fit the take model.

    Parameters
    ----------
    cells : TakeCells
        The record, as `aggregate_records` gives it. No cells at all are allowed: the answer is then what was supposed.
    priors : TakePriors, optional
        What is supposed before any record.
    points : int
        Points over the scales, 16 or more; more make the tails of the scales surer.
    draws : int
        Number of draws kept, 100 or more.
    rng : int or Generator
        Seed or generator; the same gives the same fit.
    progress : callable, optional
        Called with a share of the work, 0 to 1, and a word; may raise to stop the fit.

    Returns
    -------
    TakeFit
        Posterior as draws.

    Raises
    ------
    BadValue
        When an argument is out of its range.
    """
    import scipy.linalg  # noqa: F401  its BLAS must be there before the threads are limited
    from threadpoolctl import threadpool_limits

    if points < 16:
        raise BadValue("points", points, "16 or more")
    if draws < 100:
        raise BadValue("draws", draws, "100 or more")
    used = priors or TakePriors()
    generator = np.random.default_rng(rng)
    design = Design.of(cells, used)
    with threadpool_limits(limits=1, user_api="blas"):
        spread = spread_points(design, points, generator, progress)
        latent, scales = _draw_all(design, spread, draws, generator)
    return TakeFit(cells, design, spread, latent, scales, (*used.words(design.factors), *_covariate_words(cells)))


def average_over_shocks(eta: Float, sd: Float) -> Float:
    """Average the logistic over a normal shock, by Gauss-Hermite quadrature with 15 nodes.

    Parameters
    ----------
    eta : ndarray, shape (draws, levels)
        Log odds.
    sd : ndarray, shape (draws,)
        Standard deviation of the shock.

    Returns
    -------
    ndarray, shape (draws, levels)
        Mean probabilities.
    """
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    total = np.zeros_like(eta)
    for node, weight in zip(nodes, weights / weights.sum(), strict=True):
        total += weight * _logistic(eta + node * sd[:, None])
    return total


def _belongs(inner: Codes, outer: Codes) -> bool:
    """Whether each level of the inner factor is met under one level of the outer alone, and some outer level holds several."""
    pairs = np.unique(np.stack([inner, outer], axis=1), axis=0)
    inner_levels = len(np.unique(inner))
    return len(pairs) == inner_levels and inner_levels > len(np.unique(outer))


def _draw_all(design: Design, spread: ScalePoints, draws: int, generator: np.random.Generator) -> tuple[Float, Float]:
    """Draws from the mixture over points, each point as often as it weighs.

    Draws come in pairs on both sides of the mode, and each latent number's normal scores are spread evenly: means and spreads are steadier
    than those of independent draws.
    """
    picks = np.searchsorted(np.cumsum(spread.weights), (generator.random() + np.arange(draws)) / draws)
    point, times = np.unique(np.minimum(picks, len(spread.weights) - 1), return_counts=True)
    half = generator.permuted(np.tile(_normal_scores(-(-draws // 2)), (design.latent, 1)), axis=1)
    latent, at = np.empty((draws, design.latent)), 0
    for i, count in zip(point, times, strict=True):
        found = Conditional.at(design, spread.scales[i], start=spread.modes[i], tolerance=1e-6)
        for size in _chunks(int(count), max(1, _CHUNK // max(len(design.grafts), 1))):
            which = np.arange(at, at + size)
            latent[at : at + size] = found.draw(half[:, which // 2] * np.where(which % 2, -1.0, 1.0), spread.variances[i]).T
            at += size
    order = generator.permutation(draws)
    return latent[order], np.repeat(spread.scales[point], times, axis=0)[order]


def _chunks(total: int, size: int) -> list[int]:
    return [min(size, total - start) for start in range(0, total, size)]


def _covariate_words(cells: TakeCells) -> list[str]:
    lines = []
    for name, scale in cells.scales.items():
        if not scale.measured:
            lines.append(say("{name} was never measured, so it says nothing here.", name=name))
        elif scale.missing:
            lines.append(
                say(
                    "{name} is missing for {missing} of {all} grafts; they are taken as average in it.",
                    name=name,
                    missing=scale.missing,
                    all=scale.measured + scale.missing,
                )
            )
    return lines


def _normal_scores(count: int) -> Float:
    from scipy.special import ndtri

    return np.asarray(ndtri((np.arange(count) + 0.5) / count))


def _logistic(eta: Float) -> Float:
    from scipy.special import expit

    return np.asarray(expit(eta))
