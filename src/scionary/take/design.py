"""The linear part of the take model: which latent numbers stand behind each cell's log odds.

The latent numbers are the fixed effects (intercept, slopes) and one effect for each level of each factor. Internally each is a
standard normal v times its prior's standard deviation, so that a factor whose levels do not differ makes no trouble.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.take.cells import Codes, TakeCells
from scionary.take.priors import TakePriors
from scionary.units import Float

_MOST_LATENT = 4000  # the dense factorisation of more would not end while a person waits


@dataclass(frozen=True)
class Design:
    """Cells with the columns and values of their latent numbers; every cell has one level of each factor.

    Attributes
    ----------
    grafts, takes : ndarray of float, shape (cells,)
        Numbers in each cell.
    columns : ndarray of int, shape (cells, fixed + factors)
        Which latent numbers make up a cell's log odds.
    values : ndarray of float, same shape
        What each is multiplied by: 1, or the covariate.
    fixed : tuple of str
        Names of the fixed effects, `intercept` first.
    factors : tuple of str
        Names of the factors.
    starts : ndarray of int, shape (factors + 1,)
        Where each factor's levels begin among the latent numbers; the last is their total.
    priors : TakePriors
        Prior scales and what passes.
    """

    grafts: Float
    takes: Float
    columns: Codes
    values: Float
    fixed: tuple[str, ...]
    factors: tuple[str, ...]
    starts: Codes
    priors: TakePriors

    @classmethod
    def of(cls, cells: TakeCells, priors: TakePriors) -> Design:
        """Lay the latent numbers out.

        Parameters
        ----------
        cells : TakeCells
            The record; cells without grafts may be among them.
        priors : TakePriors
            Prior scales.

        Returns
        -------
        Design
            With a level of its own, after the named ones, for what was not recorded.

        Raises
        ------
        BadValue
            When there are more levels than can be handled.
        """
        fixed = ("intercept", *cells.covariates)
        columns = [np.full(len(cells), i, dtype=np.int64) for i in range(len(fixed))]
        values = [np.ones(len(cells)), *(np.asarray(column, dtype=np.float64) for column in cells.covariates.values())]
        starts = [len(fixed)]
        for name, codes in cells.factors.items():
            levels = len(cells.level_names(name))
            columns.append(starts[-1] + np.where(codes < 0, levels, codes))
            values.append(np.ones(len(cells)))
            starts.append(starts[-1] + levels + int(bool(np.any(codes < 0))))
        if starts[-1] > _MOST_LATENT:
            raise BadValue("factors", f"{starts[-1] - len(fixed)} levels in all", f"at most {_MOST_LATENT - len(fixed)}")
        return cls(
            grafts=cells.grafts.astype(np.float64),
            takes=cells.takes.astype(np.float64),
            columns=np.stack(columns, axis=1),
            values=np.stack(values, axis=1),
            fixed=fixed,
            factors=tuple(cells.factors),
            starts=np.array(starts),
            priors=priors,
        )

    @property
    def latent(self) -> int:
        """Number of latent numbers."""
        return int(self.starts[-1])

    @cached_property
    def factor_of(self) -> Codes:
        """Factor of each latent number, -1 for the fixed effects."""
        return np.repeat(np.arange(-1, len(self.factors)), np.diff(self.starts, prepend=0))

    @cached_property
    def prior_mean(self) -> Float:
        """Prior means of the latent numbers: 0 but for the intercept."""
        mean = np.zeros(self.latent)
        mean[0] = self.priors.intercept_mean
        return mean

    @cached_property
    def half_normal(self) -> Float:
        """Scale of the half-normal prior of each factor's standard deviation."""
        return np.array([self.priors.scale_of(name) for name in self.factors])

    @cached_property
    def matrix(self) -> Any:
        """Sparse matrix A, cells by latent numbers: log odds = A x."""
        from scipy.sparse import csr_array

        rows = np.repeat(np.arange(len(self.columns)), self.columns.shape[1])
        return csr_array((self.values.ravel(), (rows, self.columns.ravel())), shape=(len(self.columns), self.latent))

    @cached_property
    def transposed(self) -> Any:
        """Transpose of `matrix`, by rows."""
        return self.matrix.T.tocsr()

    @cached_property
    def pairs(self) -> tuple[Any, Codes, Codes, Any]:
        """Which pairs of latent numbers meet in a cell.

        With B the sparse matrix (pairs by cells) of products of their values, B w holds the entries of A' W A on and below the
        diagonal, and (2 B)' taken with a covariance's entries there, the diagonal once, holds the variances of the log odds.
        """
        from scipy.sparse import csr_array

        width = self.columns.shape[1]
        left, right = np.tril_indices(width)
        first, second = self.columns[:, left], self.columns[:, right]
        key = np.maximum(first, second) * self.latent + np.minimum(first, second)
        different, place = np.unique(key, return_inverse=True)
        cell = np.broadcast_to(np.arange(len(key))[:, None], key.shape)
        products = self.values[:, left] * self.values[:, right]
        matrix = csr_array((products.ravel(), (place.ravel(), cell.ravel())), shape=(len(different), len(key)))
        rows, columns = different // self.latent, different % self.latent
        doubled = csr_array(np.where(rows == columns, 1.0, 2.0)[:, None] * matrix).T.tocsr()
        return matrix, rows, columns, doubled

    def prior_sd(self, scales: Float) -> Float:
        """Give the prior standard deviation of each latent number.

        Parameters
        ----------
        scales : ndarray, shape (factors,)
            Standard deviation of each factor's levels.

        Returns
        -------
        ndarray, shape (latent,)
            For the fixed effects as the priors have it.
        """
        fixed = np.full(len(self.fixed), self.priors.slope_sd)
        fixed[0] = self.priors.intercept_sd
        return np.concatenate([fixed, np.repeat(scales, np.diff(self.starts))])
