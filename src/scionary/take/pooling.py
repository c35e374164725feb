"""Take rates of the levels of one factor (cultivars, say) that borrow strength from one another.

Each level has its own take probability, drawn from a beta distribution that all levels share; its mean and its tightness are
unknown too and are averaged over. A level with few grafts is pulled towards the others, one with many stands on its own record,
one with none gets the wide range that a new level would have.

What this model leaves out: records are pooled over all seasons, as if every graft were independent given its level. A coming
season, a dome or a bench day shifts many grafts at once, so the numbers of one single season will differ more than these ranges say.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import say
from scionary.take.intervals import check_counts, check_share
from scionary.units import Float

_COARSE, _FINE = (61, 41), (31, 25)
_NEGLIGIBLE = 1e-7  # of the highest weight of the coarse grid


@dataclass(frozen=True)
class RatePrior:
    """What is supposed of take rates before any record is seen (project default, unsourced).

    Attributes
    ----------
    mean_takes, mean_failures : float
        The mean rate of all levels has the prior Beta(mean_takes, mean_failures); 1 and 1 mean: anything is as likely.
    tightness_median : float
        Median of k, the tightness of Beta(m k, (1 - m) k): the levels' rates differ as if each had k grafts of its own behind it.
    tightness_spread : float
        Standard deviation of ln k, which is normal.
    mean_source : str
        Where the prior of the mean is from, in words.
    """

    mean_takes: float = 1.0
    mean_failures: float = 1.0
    tightness_median: float = 8.0
    tightness_spread: float = 1.0
    mean_source: str = "project default, unsourced"

    def __post_init__(self) -> None:
        """Refuse what is no prior."""
        for item in fields(self):
            value = getattr(self, item.name)
            if item.name != "mean_source" and not (np.isfinite(value) and value > 0):
                raise BadValue(item.name, value, "a number above 0")

    def words(self) -> tuple[str, ...]:
        """Say the assumptions, one sentence each."""
        factor = float(np.exp(1.645 * self.tightness_spread))
        low, high = self.tightness_median / factor, self.tightness_median * factor
        return (
            say(
                "The mean rate before any record: Beta({takes:g}, {failures:g}) ({source}).",
                takes=self.mean_takes,
                failures=self.mean_failures,
                source=say(self.mean_source),
            ),
            say(
                "How alike levels are: as if each had {middle:g} grafts of its own behind it, {low:.2g} to {high:.2g} "
                "in nine of ten cases (project default, unsourced).",
                middle=self.tightness_median,
                low=low,
                high=high,
            ),
            say("Records are pooled over seasons; what a single coming season does to many grafts at once is not in these ranges."),
        )


@dataclass(frozen=True)
class RateRange:
    """One rate with its uncertainty: posterior mean and standard deviation, low and high end of the range, all 0 to 1."""

    mean: float
    sd: float
    low: float
    high: float


@dataclass(frozen=True)
class RateTable:
    """Take rates by level, as arrays of equal length.

    Attributes
    ----------
    level : ndarray of int
        Positions of the levels as they were given, 0, 1, ...
    grafts, takes : ndarray of int
        The record.
    mean, sd : ndarray of float
        Posterior mean and standard deviation of each level's take probability.
    low, high : ndarray of float
        Ends of the central credible range.
    confidence : float
        Probability inside the range.
    new_level : RateRange
        What a level of which nothing is known yet would have.
    assumptions : tuple of str
        What was supposed, one sentence each.
    """

    level: np.ndarray[Any, np.dtype[np.int64]]
    grafts: np.ndarray[Any, np.dtype[np.int64]]
    takes: np.ndarray[Any, np.dtype[np.int64]]
    mean: Float
    sd: Float
    low: Float
    high: Float
    confidence: float
    new_level: RateRange
    assumptions: tuple[str, ...] = field(default=())

    def to_dict(self) -> dict[str, list[Any]]:
        """Give the columns as lists."""
        names = ("level", "grafts", "takes", "mean", "sd", "low", "high")
        return {name: getattr(self, name).tolist() for name in names}


def pooled_rates(grafts: Any, takes: Any, *, confidence: float = 0.9, prior: RatePrior | None = None) -> RateTable:
    """Estimate the take rate of each level of one factor, each pulled towards the others as far as its record is thin.

    Parameters
    ----------
    grafts : array_like, shape (levels,)
        Grafts with a known outcome; 0 for a level without record. No levels at all are allowed.
    takes : array_like, shape (levels,)
        Takes among them.
    confidence : float
        Probability inside each range.
    prior : RatePrior, optional
        What is supposed before any record.

    Returns
    -------
    RateTable
        Rates pooled over seasons: next season alone may differ more (see the module's first lines).

    Raises
    ------
    BadValue
        When a count is missing, negative or no whole number, or takes exceed grafts.

    Notes
    -----
    Beta-binomial model of Gelman et al., Bayesian Data Analysis, 3rd ed., section 5.3, with the hyperprior of `RatePrior` instead of
    the improper one there, integrated on a grid of mean and tightness.
    """
    total, successes = _record(grafts, takes)
    share = check_share("confidence", confidence)
    used = prior or RatePrior()
    grid = _Grid.fitted(total, successes, used)
    # one more level without record: what a new one would have
    pairs, back = np.unique(np.column_stack([np.append(total, 0), np.append(successes, 0)]), axis=0, return_inverse=True)
    alpha, beta = grid.shapes(pairs[:, 0], pairs[:, 1])
    mean, sd = _moments(alpha, beta, grid.weight)
    tails = ((1.0 - share) / 2.0, (1.0 + share) / 2.0)
    low, high = (_mixture_quantile(alpha, beta, grid.weight, tail) for tail in tails)
    mean, sd, low, high = (column[np.ravel(back)] for column in (mean, sd, low, high))
    return RateTable(
        level=np.arange(total.size),
        grafts=total.astype(np.int64),
        takes=successes.astype(np.int64),
        mean=mean[:-1],
        sd=sd[:-1],
        low=low[:-1],
        high=high[:-1],
        confidence=share,
        new_level=RateRange(float(mean[-1]), float(sd[-1]), float(low[-1]), float(high[-1])),
        assumptions=used.words(),
    )


def rate_draws(grafts: Any, takes: Any, *, draws: int, rng: int | np.random.Generator, prior: RatePrior | None = None) -> Float:
    """Draw the take probabilities of all levels together from the posterior of `pooled_rates`.

    Parameters
    ----------
    grafts, takes : array_like, shape (levels,)
        The record, as in `pooled_rates`; give a level with 0 grafts to draw for a new one.
    draws : int
        Number of draws, 1 or more.
    rng : int or Generator
        Seed or generator.
    prior : RatePrior, optional
        What is supposed before any record.

    Returns
    -------
    ndarray of shape (draws, levels)
        Probabilities. Within one draw, the levels share mean and tightness. A shock that a coming season gives to all grafts at once
        is not among them, so sums over a whole season spread more in truth than sums of these.

    Raises
    ------
    BadValue
        When an argument is out of its range.
    """
    total, successes = _record(grafts, takes)
    if draws < 1:
        raise BadValue("draws", draws, "1 or more")
    generator = np.random.default_rng(rng)
    grid = _Grid.fitted(total, successes, prior or RatePrior())
    alpha, beta = grid.shapes(total, successes)
    node = generator.choice(grid.weight.size, size=draws, p=grid.weight)
    return generator.beta(alpha[:, node].T, beta[:, node].T)


def _record(grafts: Any, takes: Any) -> tuple[Float, Float]:
    successes, total = check_counts("takes", takes, "grafts", grafts)
    if np.any(np.isnan(successes)) or np.any(np.isnan(total)):
        raise BadValue("grafts and takes", "a missing number", "whole numbers; leave out grafts whose outcome is not known")
    if total.ndim != 1:
        raise BadValue("grafts", f"an array of {total.ndim} dimensions", "one number a level")
    return total, successes


@dataclass(frozen=True)
class _Grid:
    """Nodes (mean m, tightness k) with posterior weights that sum to one."""

    mean: Float
    tightness: Float
    weight: Float

    @classmethod
    def fitted(cls, grafts: Float, takes: Float, prior: RatePrior) -> _Grid:
        """Weigh a coarse grid over all that is possible, then finer ones over what is left of it."""
        wide = 4.5 * prior.tightness_spread
        centre = float(np.log(prior.tightness_median))
        box = [(-9.0, 9.0), (centre - wide, centre + wide)]
        for size in (_COARSE, _FINE):
            *nodes, log_weight = cls._weighed(box, size, grafts, takes, prior)
            kept = log_weight > log_weight.max() + np.log(_NEGLIGIBLE)
            steps = [(high - low) / (count - 1) for (low, high), count in zip(box, size, strict=True)]
            box = [(float(axis[kept].min()) - step, float(axis[kept].max()) + step) for axis, step in zip(nodes, steps, strict=True)]
        logit, log_tightness, log_weight = cls._weighed(box, _FINE, grafts, takes, prior)
        weight = np.exp(log_weight - log_weight.max())
        kept = weight > _NEGLIGIBLE
        return cls(1.0 / (1.0 + np.exp(-logit[kept])), np.exp(log_tightness[kept]), weight[kept] / weight[kept].sum())

    @staticmethod
    def _weighed(
        box: list[tuple[float, float]], size: tuple[int, int], grafts: Float, takes: Float, prior: RatePrior
    ) -> tuple[Float, Float, Float]:
        """Log posterior on an even grid of logit m and ln k (both flattened)."""
        from scipy.special import betaln, log_expit

        axes = np.meshgrid(*(np.linspace(*ends, count) for ends, count in zip(box, size, strict=True)), indexing="ij")
        logit, log_tightness = (axis.ravel() for axis in axes)
        # the change from m to logit m adds one to each power of Beta's density
        log_weight = prior.mean_takes * log_expit(logit) + prior.mean_failures * log_expit(-logit)
        log_weight -= 0.5 * ((log_tightness - np.log(prior.tightness_median)) / prior.tightness_spread) ** 2
        tightness = np.exp(log_tightness)
        alpha, beta = np.exp(log_expit(logit)) * tightness, np.exp(log_expit(-logit)) * tightness
        pairs, times = np.unique(np.column_stack([grafts, takes]), axis=0, return_counts=True)
        for (total, successes), count in zip(pairs, times, strict=True):
            log_weight += count * (betaln(alpha + successes, beta + total - successes) - betaln(alpha, beta))
        return logit, log_tightness, log_weight

    def shapes(self, grafts: Float, takes: Float) -> tuple[Float, Float]:
        """Posterior beta shapes of every level (rows) at every node (columns)."""
        alpha = self.mean * self.tightness + takes[:, None]
        beta = (1.0 - self.mean) * self.tightness + (grafts - takes)[:, None]
        return alpha, beta


def _moments(alpha: Float, beta: Float, weight: Float) -> tuple[Float, Float]:
    total = alpha + beta
    means = alpha / total
    mean = means @ weight
    variance = (means * (1.0 - means) / (total + 1.0) + (means - mean[:, None]) ** 2) @ weight
    return mean, np.sqrt(variance)


def _mixture_quantile(alpha: Float, beta: Float, weight: Float, share: float) -> Float:
    """Quantile of each row's mixture of betas, by bisection to 1e-6."""
    from scipy.special import betainc

    low, high = np.zeros(len(alpha)), np.ones(len(alpha))
    for _ in range(20):
        middle = (low + high) / 2.0
        below = betainc(alpha, beta, middle[:, None]) @ weight < share
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return (low + high) / 2.0
