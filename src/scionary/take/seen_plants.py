"""What was seen of many plants, gathered into groups of alike ones, and how likely it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from scionary.take.signs import NOT_SEEN, Index, SignEvidence
from scionary.units import Float

_FARTHEST = 40.0  # log odds


@dataclass(frozen=True)
class Heard:
    """Likelihoods of each group's signs, scaled so that the larger is 1, and the log of what was scaled away, over all plants."""

    if_taken: Float
    if_lost: Float
    top: Float


class Look(NamedTuple):
    """Log likelihood of everything seen, and the chance of each group before and after it was seen."""

    height: Float
    before: Float
    after: Float


@dataclass(frozen=True)
class SeenPlants:
    """Plants gathered into groups that are alike in probability, in what was seen and in what is known.

    Attributes
    ----------
    log_odds : ndarray, shape (draws, cells)
        Draws for each different column of probabilities.
    cell : ndarray of int, shape (groups,)
        Column of each group.
    kind : ndarray of int, shape (signs, groups)
        What was seen of each group by each sign.
    end : ndarray, shape (groups,)
        1 took, 0 failed, NaN not known.
    times : ndarray, shape (groups,)
        Plants in each group.
    group : ndarray of int, shape (plants,)
        Group of each plant.
    evidence : tuple of SignEvidence
        The signs that say something.
    """

    log_odds: Float
    cell: Index
    kind: Index
    end: Float
    times: Float
    group: Index
    evidence: tuple[SignEvidence, ...]

    @classmethod
    def gathered(cls, probabilities: Float, evidence: Sequence[SignEvidence], ends: Float) -> SeenPlants:
        """Gather plants into groups; signs that nobody scored are left out.

        Parameters
        ----------
        probabilities : ndarray, shape (draws, plants)
            Take probabilities, more than 0 and less than 1.
        evidence : sequence of SignEvidence
            What was seen.
        ends : ndarray, shape (plants,)
            1 took, 0 failed, NaN not known.

        Returns
        -------
        SeenPlants
            The groups.
        """
        telling = tuple(item for item in evidence if np.any(item.kind != NOT_SEEN))
        columns: dict[bytes, int] = {}
        across = np.ascontiguousarray(probabilities.T)
        cell = np.array([columns.setdefault(column.tobytes(), len(columns)) for column in across], dtype=np.int64)
        first = np.unique(cell, return_index=True)[1]
        rows = np.column_stack([cell, np.where(np.isnan(ends), -1, ends).astype(np.int64), *(item.kind for item in telling)])
        groups, back, times = np.unique(rows, axis=0, return_inverse=True, return_counts=True)
        chosen = probabilities[:, first]
        return cls(
            log_odds=np.log(chosen / (1.0 - chosen)),
            cell=groups[:, 0],
            kind=groups[:, 2:].T,
            end=np.where(groups[:, 1] < 0, np.nan, groups[:, 1]),
            times=times.astype(np.float64),
            group=np.ravel(back).astype(np.int64),
            evidence=telling,
        )

    @property
    def anything(self) -> bool:
        """Whether anything was seen at all."""
        return bool(self.evidence) or not bool(np.all(np.isnan(self.end)))

    def said(self, rows: Index) -> tuple[Float, Float]:
        """Log likelihoods of a take and of a failure that the signs give each group; `rows` has a column a sign.

        Parameters
        ----------
        rows : ndarray of int, shape (some, signs)
            Draws of each sign's accuracy.

        Returns
        -------
        taken, lost : ndarray, shape (some, groups)
            The log likelihoods; 0 where nothing was seen.
        """
        taken, lost = np.zeros((len(rows), self.cell.size)), np.zeros((len(rows), self.cell.size))
        for item, kind, row in zip(self.evidence, self.kind, rows.T, strict=True):
            there = np.flatnonzero(kind != NOT_SEEN)
            for whole, table in ((taken, item.if_taken), (lost, item.if_lost)):
                whole[:, there] += table[row][:, kind[there]]
        return taken, lost

    def heard(self, taken: Float, lost: Float) -> Heard:
        """The same as likelihoods of each group, with what is known of its end.

        Parameters
        ----------
        taken, lost : ndarray, shape (..., groups)
            Log likelihoods of the signs.

        Returns
        -------
        Heard
            Likelihoods, scaled.
        """
        top = np.where(self.end == 1, taken, np.where(self.end == 0, lost, np.maximum(taken, lost)))
        if_taken = np.where(self.end == 0, 0.0, np.exp(np.minimum(taken - top, 0.0)))
        if_lost = np.where(self.end == 1, 0.0, np.exp(np.minimum(lost - top, 0.0)))
        return Heard(if_taken, if_lost, top @ self.times)

    def look(self, odds: Float, heard: Heard) -> Look:
        """Log likelihood of everything seen, the sum over plants of log(p L1 + (1 - p) L0), and what it is made of.

        Parameters
        ----------
        odds : ndarray, shape (some, groups)
            Log odds of the take.
        heard : Heard
            Likelihoods of the signs.

        Returns
        -------
        Look
            Log likelihoods and chances.
        """
        ratio = np.exp(np.clip(odds, -_FARTHEST, _FARTHEST))
        both = 1.0 + ratio
        if_taken = ratio * heard.if_taken
        mixed = heard.if_lost + if_taken
        height = np.log(mixed / both) @ self.times + heard.top
        return Look(height, ratio / both, if_taken / mixed)

    def rates(self, odds: Float, taken: Float, lost: Float) -> Float:
        """Chance that a plant in each group took, given what was seen of it.

        Parameters
        ----------
        odds : ndarray, shape (..., groups)
            Log odds of the take before the signs.
        taken, lost : ndarray, shape (..., groups)
            Log likelihoods of the signs.

        Returns
        -------
        ndarray of shape (..., groups)
            Chances, 0 to 1.
        """
        from scipy.special import expit

        return np.where(np.isnan(self.end), expit(odds + taken - lost), self.end)
