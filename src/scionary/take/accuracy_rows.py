"""Proposals of what moves all plants together: the common level of log odds, and which draw of each sign's accuracy holds.

Both are written as marks that are standard normal before anything was seen. Where the posterior lies in them is learned from points
at which it was measured: a quadratic surface is fitted to its log, and a normal density read off.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scionary.take.seen_plants import SeenPlants
from scionary.take.signs import Index
from scionary.take.weights import normalised, tempered
from scionary.units import Float

_MARKS, _LEAST_SHARE = 3, 0.01  # at most so many marks a sign, each with at least so much of its variance
_SAFE = 0.1  # share of proposals that are drawn from the prior whatever was learned
_WIDER = 1.3  # proposals' variance over that of the fitted normal
_TRIED = 48  # rows among which one is chosen
_RIDGE = 1e-3
_JUMP = 2.0  # standard deviations of the points by which the fitted middle may lie off theirs: beyond, the surface is not known
_DRAWS = 15.0  # effective draws for each mark when moments are taken
_POINTS = 3.0  # effective points for each number of the surface


def marks_of(seen: SeenPlants) -> list[Float]:
    """Marks of each sign's rows of accuracy: principal components of the normal scores of what a row says.

    Parameters
    ----------
    seen : SeenPlants
        Plants in groups; kinds seen on many plants count more.

    Returns
    -------
    list of ndarray, shape (rows, marks)
        For each sign, mean 0 and standard deviation 1; without columns where all rows say the same.
    """
    from scipy.special import ndtri

    result = []
    for item, kind in zip(seen.evidence, seen.kind, strict=True):
        seen_on = np.bincount(kind[kind >= 0], seen.times[kind >= 0], minlength=item.if_taken.shape[1])
        said, count = np.hstack([item.if_taken, item.if_lost]), np.tile(seen_on, 2)
        varied = (np.ptp(said, axis=0) > 0) & (count > 0)
        rank = np.argsort(np.argsort(said[:, varied], axis=0), axis=0)
        part, size, _ = np.linalg.svd(ndtri((rank + 0.5) / len(said)) * np.sqrt(count[varied]), full_matrices=False)
        part = part[:, : int(np.sum(size[:_MARKS] ** 2 > _LEAST_SHARE * np.sum(size**2)))]
        result.append(part / np.where(part.std(axis=0) > 0, part.std(axis=0), 1.0))
    return result


def quadratic(marks: Float) -> Float:
    """One, the marks, and their squares and products, as columns.

    Parameters
    ----------
    marks : ndarray, shape (points, size)
        The marks.

    Returns
    -------
    ndarray of shape (points, columns)
        The columns.
    """
    first, second = np.triu_indices(marks.shape[1])
    return np.column_stack([np.ones(len(marks)), marks, marks[:, first] * marks[:, second]])


def regressed(columns: Float, weight: Float, values: Float) -> Float:
    """Weighted least squares, held a little towards 0.

    Parameters
    ----------
    columns : ndarray, shape (points, columns)
        What to regress on; the first column is 1.
    weight : ndarray, shape (points,)
        Weights that add up to 1.
    values : ndarray, shape (points,) or (points, some)
        What to regress.

    Returns
    -------
    ndarray of shape (columns,) or (columns, some)
        Coefficients.
    """
    heavy = columns * (weight * len(weight))[:, None]
    ridge = np.full(columns.shape[1], _RIDGE)
    ridge[0] = 0.0
    return np.asarray(np.linalg.solve(heavy.T @ columns + np.diag(ridge), heavy.T @ values))


@dataclass(frozen=True)
class Proposals:
    """Levels and rows to try; `log_ratio` is the log of how much oftener than by the prior each is proposed."""

    rows: Index
    marks: Float
    log_ratio: Float

    @property
    def level(self) -> Float:
        """The common level, the first mark."""
        return self.marks[:, 0]


@dataclass(frozen=True)
class Surroundings:
    """A normal density over the marks.

    Attributes
    ----------
    mean : ndarray, shape (size,)
        Its middle.
    covariance : ndarray, shape (size, size)
        Its covariance.
    """

    mean: Float
    covariance: Float

    @classmethod
    def prior(cls, marks: list[Float]) -> Surroundings:
        """What is known before anything was seen.

        Parameters
        ----------
        marks : list of ndarray
            Marks of each sign's rows.

        Returns
        -------
        Surroundings
            The standard normal density.
        """
        size = 1 + sum(each.shape[1] for each in marks)
        return cls(np.zeros(size), np.eye(size))

    @classmethod
    def fitted(cls, marks: Float, log_ratio: Float) -> Surroundings:
        """Fit a quadratic surface where the posterior is high.

        Parameters
        ----------
        marks : ndarray, shape (points, size)
            Where the posterior was measured.
        log_ratio : ndarray, shape (points,)
            Log of posterior over prior there.

        Returns
        -------
        Surroundings
            The normal density; nowhere wider than the prior.
        """
        columns, size = quadratic(marks), marks.shape[1]
        weight = tempered(log_ratio - 0.5 * np.sum(marks**2, axis=1), min(0.25 * len(marks), _POINTS * columns.shape[1]))
        fit = regressed(columns, weight, log_ratio)
        bend = np.zeros((size, size))
        bend[np.triu_indices(size)] = -fit[1 + size :]
        values, vectors = np.linalg.eigh(bend + bend.T)
        covariance = (vectors / (1.0 + np.maximum(values, 0.0))) @ vectors.T
        here = weight @ marks
        jump = covariance @ fit[1 : 1 + size] - here
        far = float(np.max(np.abs(jump) / np.sqrt(weight @ (marks - here) ** 2)))
        return cls(here + jump * min(1.0, _JUMP / far), covariance)

    @classmethod
    def moments(cls, marks: Float, log_weight: Float) -> Surroundings:
        """Take mean and covariance of weighted draws; where few are in force, of more of them, weighted more gently.

        Parameters
        ----------
        marks : ndarray, shape (draws, size)
            Marks of the draws.
        log_weight : ndarray, shape (draws,)
            Logarithms of their weights.

        Returns
        -------
        Surroundings
            The normal density.
        """
        weight = tempered(log_weight, min(0.25 * len(marks), _DRAWS * (1 + marks.shape[1])))
        mean = weight @ marks
        away = marks - mean
        return cls(mean, (away * weight[:, None]).T @ away + _RIDGE * np.eye(marks.shape[1]))

    def scaled(self, marks: Float) -> Float:
        """Marks as distances from the middle, in standard deviations.

        Parameters
        ----------
        marks : ndarray, shape (points, size)
            The marks.

        Returns
        -------
        ndarray of shape (points, size)
            The distances.
        """
        return (marks - self.mean) / np.sqrt(np.diag(self.covariance))

    def propose(self, marks: list[Float], size: int, generator: np.random.Generator) -> Proposals:
        """Draw levels, then rows, sign by sign, each given what was drawn before.

        Parameters
        ----------
        marks : list of ndarray
            Marks of each sign's rows.
        size : int
            How many proposals.
        generator : Generator
            Source of chance.

        Returns
        -------
        Proposals
            Levels, rows, and how much oftener than by the prior they are proposed.
        """
        wide = _WIDER * self.covariance
        sd = np.sqrt(wide[0, 0])
        level = np.where(generator.random(size) < _SAFE, 0.0, 1.0)
        level = level * self.mean[0] + np.where(level > 0, sd, 1.0) * generator.normal(size=size)
        away = 0.5 * (level**2 - ((level - self.mean[0]) / sd) ** 2)
        log_ratio = np.logaddexp(np.log(1.0 - _SAFE) - np.log(sd) + away, np.log(_SAFE))
        drawn, rows = level[:, None], np.zeros((size, len(marks)), dtype=np.int64)
        for sign, own in enumerate(marks):
            before, now = np.arange(drawn.shape[1]), drawn.shape[1] + np.arange(own.shape[1])
            link = np.linalg.solve(wide[np.ix_(before, before)], wide[np.ix_(before, now)])
            middle = self.mean[now] + (drawn - self.mean[before]) @ link
            given = wide[np.ix_(now, now)] - wide[np.ix_(now, before)] @ link
            rows[:, sign], more = _pick_rows(own, self.mean[now], wide[np.ix_(now, now)], middle, given, generator)
            log_ratio, drawn = log_ratio + more, np.hstack([drawn, own[rows[:, sign]]])
        return Proposals(rows, drawn, log_ratio)


def _pick_rows(
    own: Float, mean: Float, covariance: Float, middle: Float, given: Float, generator: np.random.Generator
) -> tuple[Index, Float]:
    """Try some rows by the normal density of this sign alone, and choose among them by the one given what was drawn before.

    With the mean of what was tried in the ratio, the weights that follow from it are right on average, however few were tried.
    """
    share = (1.0 - _SAFE) * normalised(_log_normal(own - mean, covariance) + 0.5 * np.sum(own**2, axis=1)) + _SAFE / len(own)
    tried = np.minimum(np.searchsorted(np.cumsum(share), generator.random((len(middle), _TRIED))), len(own) - 1)
    nearer = _log_normal(own[tried] - middle[:, None], given) - _log_normal(own[tried] - mean, covariance)
    nearer = np.logaddexp(np.log(1.0 - _SAFE) + nearer, np.log(_SAFE))
    chosen, each = np.argmax(nearer + generator.gumbel(size=tried.shape), axis=1), np.arange(len(middle))
    row = tried[each, chosen]
    return row, np.log(share[row] * len(own)) + nearer[each, chosen] - np.logaddexp.reduce(nearer, axis=1) + np.log(_TRIED)


def _log_normal(away: Float, covariance: Float) -> Float:
    """Log density, up to the powers of two pi."""
    if not len(covariance):
        return np.zeros(away.shape[:-1])
    root = np.linalg.cholesky(covariance)
    return np.asarray(-0.5 * np.sum((away @ np.linalg.inv(root).T) ** 2, axis=-1) - np.sum(np.log(np.diag(root))))
