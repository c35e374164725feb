"""Is it really worse? Differences between levels with their chance, what matters most, and what cannot be told apart."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.take.cells import TakeCells
from scionary.take.mixed_model import Rate, TakeFit
from scionary.units import Float

_FEW = 2  # levels of the other factor that there must be before sharing one of them is worth a word


@dataclass(frozen=True)
class Difference:
    """How far the first level's rate lies above the second's, both at reference conditions.

    Attributes
    ----------
    factor, first, second : str
        What is compared.
    chance_higher : float
        Probability that the first is higher, never quite 0 or 1: so many draws cannot say always.
    points, points_low, points_high : float
        Difference of the rates, -1 to 1: mean, 5 and 95 % points.
    odds_ratio, odds_ratio_low, odds_ratio_high : float
        Ratio of the odds: median, 5 and 95 % points.
    """

    factor: str
    first: str
    second: str
    chance_higher: float
    points: float
    points_low: float
    points_high: float
    odds_ratio: float
    odds_ratio_low: float
    odds_ratio_high: float

    def to_dict(self) -> dict[str, Any]:
        """Give plain values by name."""
        return asdict(self)


@dataclass(frozen=True)
class VarianceShares:
    """How much of the differences between grafts' chances each factor makes, in log odds; arrays of one entry a factor.

    Attributes
    ----------
    factor : tuple of str
        Factors and covariates, the weightiest first.
    mean, low, high : ndarray
        Share of the variance that all of them make, 0 to 1: mean, 5 and 95 % points.
    sd_low, sd, sd_high : ndarray
        Standard deviation in log odds: 5 % point, mean, 95 % point.
    """

    factor: tuple[str, ...]
    mean: Float
    low: Float
    high: Float
    sd_low: Float
    sd: Float
    sd_high: Float

    def to_dict(self) -> dict[str, list[Any]]:
        """Give plain lists, by column."""
        columns = ("mean", "low", "high", "sd_low", "sd", "sd_high")
        return {"factor": list(self.factor), **{name: getattr(self, name).tolist() for name in columns}}


@dataclass(frozen=True)
class Confounded:
    """Every graft of one level of a factor has the same level of another, so their effects cannot be told apart by themselves.

    Attributes
    ----------
    factor, level : str
        Whose grafts they are.
    other, other_level : str
        What they share.
    grafts : int
        How many there are.
    whole : bool
        Whether the two factors split the grafts alike throughout.
    """

    factor: str
    level: str
    other: str
    other_level: str
    grafts: int
    whole: bool

    def to_dict(self) -> dict[str, Any]:
        """Give plain values by name."""
        return asdict(self)


def compare(fit: TakeFit, factor: str, first: str, second: str) -> Difference:
    """Compare two levels of a factor at reference conditions.

    Parameters
    ----------
    fit : TakeFit
        A fitted record.
    factor : str
        The factor.
    first, second : str
        Names of two of its levels.

    Returns
    -------
    Difference
        Chance and size.

    Raises
    ------
    BadValue
        When the record has no such factor or level.
    """
    names = fit.cells.level_names(factor)
    for argument, level in (("first", first), ("second", second)):
        if level not in names:
            raise BadValue(argument, level, f"a level of {factor}: " + ", ".join(names[:8]) + (" ..." if len(names) > 8 else ""))
    draws = fit.rate_draws(factor, Rate.REFERENCE)
    one, other = (draws[:, names.index(level)] for level in (first, second))
    points = one - other
    log_odds = _log_odds(one) - _log_odds(other)
    ratio = np.exp(np.quantile(log_odds, [0.5, 0.05, 0.95]))
    chance = float(np.mean(points > 0) + 0.5 * np.mean(points == 0))
    edge = 1.0 / len(points)
    low, high = np.quantile(points, [0.05, 0.95])
    return Difference(
        factor, first, second, min(max(chance, edge), 1.0 - edge), float(points.mean()), float(low), float(high), *(float(r) for r in ratio)
    )


def variance_shares(fit: TakeFit) -> VarianceShares:
    """Say how much each factor and covariate matters.

    Parameters
    ----------
    fit : TakeFit
        A fitted record.

    Returns
    -------
    VarianceShares
        A factor's variance is that between its levels; a covariate's is its slope squared (it is standardised). Chance itself, which
        no factor explains, is not among them.
    """
    names = (*fit.design.factors, *fit.design.fixed[1:])
    squares = np.hstack([fit.scale_draws, fit.latent[:, 1 : len(fit.design.fixed)]]) ** 2
    if not names:
        return VarianceShares((), *(np.zeros(0) for _ in range(6)))
    shares = squares / np.maximum(squares.sum(axis=1, keepdims=True), 1e-300)
    order = np.argsort(-shares.mean(axis=0), kind="stable")
    low, high = np.quantile(shares, [0.05, 0.95], axis=0)
    sd = np.sqrt(squares)
    sd_low, sd_high = np.quantile(sd, [0.05, 0.95], axis=0)
    columns = (shares.mean(axis=0), low, high, sd_low, sd.mean(axis=0), sd_high)
    return VarianceShares(tuple(names[i] for i in order), *(column[order] for column in columns))


def confounding(cells: TakeCells) -> list[Confounded]:
    """Say which levels' grafts all share one level of another factor.

    Parameters
    ----------
    cells : TakeCells
        The record.

    Returns
    -------
    list of Confounded
        The largest numbers of grafts first. A level that belongs to another by its nature (a day to its season, a mother tree to its
        cultivar) is listed too: whether that matters is for the reader to say.
    """
    found = []
    for factor in cells.factors:
        for other in cells.factors:
            if factor != other:
                found += _shared(cells, factor, other)
    return sorted(found, key=lambda each: (-each.grafts, each.factor, each.level, each.other))


def _shared(cells: TakeCells, factor: str, other: str) -> list[Confounded]:
    names, other_names = cells.level_names(factor), cells.level_names(other)
    table = np.zeros((len(names), len(other_names)), dtype=np.int64)
    mine, theirs = cells.factors[factor], cells.factors[other]
    there = (mine >= 0) & (theirs >= 0) & (cells.grafts > 0)
    np.add.at(table, (mine[there], theirs[there]), cells.grafts[there])
    if np.sum(table.sum(axis=0) > 0) < _FEW or np.sum(table.sum(axis=1) > 0) < _FEW:
        return []
    alone = np.sum(table > 0, axis=1) == 1
    whole = bool(np.all(np.sum(table > 0, axis=1) <= 1) and np.all(np.sum(table > 0, axis=0) <= 1))
    return [
        Confounded(factor, names[i], other, other_names[int(table[i].argmax())], int(table[i].sum()), whole) for i in np.flatnonzero(alone)
    ]


def _log_odds(share: Float) -> Float:
    inside = np.clip(share, 1e-15, 1.0 - 1e-15)
    return np.asarray(np.log(inside) - np.log1p(-inside))
