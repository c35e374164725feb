"""Summaries of named numbers: mean, spread and range."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.units import Float


@dataclass(frozen=True)
class EffectTable:
    """Summaries of named numbers, arrays of equal length.

    Attributes
    ----------
    name : tuple of str
        What each is.
    mean, sd : ndarray
        Posterior mean and standard deviation, in log odds.
    low, median, high : ndarray
        5, 50 and 95 % points.
    """

    name: tuple[str, ...]
    mean: Float
    sd: Float
    low: Float
    median: Float
    high: Float

    @classmethod
    def of(cls, name: tuple[str, ...], draws: Float) -> EffectTable:
        """Summarise draws.

        Parameters
        ----------
        name : tuple of str
            What each number is.
        draws : ndarray, shape (draws, numbers)
            Equally likely values.

        Returns
        -------
        EffectTable
            One row a number.
        """
        low, median, high = np.quantile(draws, [0.05, 0.5, 0.95], axis=0) if draws.shape[1] else np.zeros((3, 0))
        return cls(name, draws.mean(axis=0), draws.std(axis=0), low, median, high)

    @classmethod
    def weighted(cls, name: tuple[str, ...], values: Float, weights: Float) -> EffectTable:
        """Summarise weighted points.

        Parameters
        ----------
        name : tuple of str
            What each number is.
        values : ndarray, shape (points, numbers)
            Values at the points.
        weights : ndarray, shape (points,)
            Sum to one.

        Returns
        -------
        EffectTable
            One row a number.
        """
        mean = weights @ values
        sd = np.sqrt(weights @ (values - mean) ** 2)
        ends = np.zeros((3, values.shape[1]))
        for i, column in enumerate(values.T):
            order = np.argsort(column)
            ends[:, i] = np.interp([0.05, 0.5, 0.95], np.cumsum(weights[order]) - weights[order] / 2.0, column[order])
        return cls(name, mean, sd, *ends)

    def to_dict(self) -> dict[str, list[Any]]:
        """Give plain lists, by column."""
        return {"name": list(self.name), **{key: getattr(self, key).tolist() for key in ("mean", "sd", "low", "median", "high")}}
