"""Draws of take probabilities brought together with what was seen of many plants at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scionary.take.signs import NOT_SEEN, Index, SignEvidence
from scionary.take.slices import effective_number, slice_step
from scionary.units import Float

_DRAWS = 2000  # handed back
_ENOUGH = 1000.0  # effective draws with which weighing is left at that
_FIRST = 50.0  # effective draws of the tempered weights that chains start from
_CHAINS, _WARM, _APART, _OTHERS = 100, 60, 5, 5
_CHUNK = 2_000_000  # numbers worked on at once
_FARTHEST = 40.0  # log odds


@dataclass(frozen=True)
class Heard:
    """Likelihoods of each group's signs, scaled so that the larger is 1, and the log of what was scaled away, over all plants."""

    if_taken: Float
    if_lost: Float
    top: Float

    def only(self, chains: Index) -> Heard:
        """The chosen chains.

        Parameters
        ----------
        chains : ndarray of int
            Their numbers.

        Returns
        -------
        Heard
            Their likelihoods.
        """
        return Heard(self.if_taken[chains], self.if_lost[chains], self.top[chains])


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
        cell = np.array([columns.setdefault(column.tobytes(), len(columns)) for column in probabilities.T], dtype=np.int64)
        first = np.unique(cell, return_index=True)[1]
        rows = np.column_stack([cell, np.where(np.isnan(ends), -1, ends).astype(np.int64), *(item.kind for item in telling)])
        groups, back, times = np.unique(rows, axis=0, return_inverse=True, return_counts=True)
        chosen = probabilities[:, first]
        return cls(
            log_odds=np.log(chosen) - np.log1p(-chosen),
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

    def said(self, sign: int, rows: Index) -> tuple[Float, Float]:
        """Log likelihoods of a take and of a failure that one sign gives each group, shape (rows' shape, groups).

        Parameters
        ----------
        sign : int
            Which sign.
        rows : ndarray of int
            Draws of its accuracy.

        Returns
        -------
        taken, lost : ndarray
            The log likelihoods; 0 where nothing was seen.
        """
        item, kind = self.evidence[sign], self.kind[sign]
        there = kind != NOT_SEEN
        return tuple(np.where(there, table[rows][..., np.where(there, kind, 0)], 0.0) for table in (item.if_taken, item.if_lost))  # type: ignore[return-value]

    def all_said(self, rows: Index) -> tuple[Float, Float]:
        """The same of all signs together; `rows` has a column a sign.

        Parameters
        ----------
        rows : ndarray of int, shape (some, signs)
            Draws of each sign's accuracy.

        Returns
        -------
        taken, lost : ndarray, shape (some, groups)
            The log likelihoods.
        """
        taken, lost = np.zeros((len(rows), self.cell.size)), np.zeros((len(rows), self.cell.size))
        for sign in range(len(self.evidence)):
            more_taken, more_lost = self.said(sign, rows[:, sign])
            taken, lost = taken + more_taken, lost + more_lost
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

    def height(self, odds: Float, heard: Heard) -> Float:
        """Log likelihood of everything seen, the sum over plants of log(p L1 + (1 - p) L0); log odds by group.

        Parameters
        ----------
        odds : ndarray, shape (..., groups)
            Log odds of the take.
        heard : Heard
            Likelihoods of the signs.

        Returns
        -------
        ndarray
            Log likelihoods, without the last dimension.
        """
        ratio = np.exp(np.clip(odds, -_FARTHEST, _FARTHEST))
        return np.asarray(np.log((heard.if_lost + ratio * heard.if_taken) / (1.0 + ratio)) @ self.times + heard.top)

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


def weigh_or_sample(seen: SeenPlants, generator: np.random.Generator) -> tuple[Float, float, bool]:
    """Bring draws and signs together.

    Parameters
    ----------
    seen : SeenPlants
        Plants in groups.
    generator : Generator
        Source of chance.

    Returns
    -------
    rates : ndarray, shape (draws, groups)
        Equally likely sets of chances, all signs heard.
    effective : float
        Effective number of draws.
    sampled : bool
        Whether chains were needed.
    """
    size = len(seen.log_odds)
    rows = np.column_stack([_spread_rows(len(item.if_taken), size, generator) for item in seen.evidence] or [np.zeros((size, 0), np.int64)])
    if not seen.anything:
        return seen.rates(seen.log_odds[:, seen.cell], *seen.all_said(rows)), float(size), False
    step = max(1, _CHUNK // max(1, seen.cell.size))
    heights = [_heights(seen, slice(start, start + step), rows) for start in range(0, size, step)]
    height = np.concatenate(heights)
    weight = _weights(height)
    effective = 1.0 / float(np.sum(weight**2))
    if effective >= min(_ENOUGH, 0.5 * size):
        spot = np.searchsorted(np.cumsum(weight), (np.arange(_DRAWS) + generator.random()) / _DRAWS)
        spot = np.minimum(spot, size - 1)
        return seen.rates(seen.log_odds[spot][:, seen.cell], *seen.all_said(rows[spot])), effective, False
    start = generator.choice(size, size=_CHAINS, p=_tempered(height))
    return *_Chains.started(seen, start, rows[start]).run(generator), True


@dataclass
class _Chains:
    """Chains over log odds (by slices) and over the rows of each sign's accuracy (by choice among some)."""

    seen: SeenPlants
    mean: Float
    factor: Float
    odds: Float
    rows: Index

    @classmethod
    def started(cls, seen: SeenPlants, start: Index, rows: Index) -> _Chains:
        mean = seen.log_odds.mean(axis=0)
        around = (seen.log_odds - mean) / np.sqrt(len(seen.log_odds) - 1)
        return cls(seen, mean, _short_factor(around), seen.log_odds[start], rows.copy())

    def run(self, generator: np.random.Generator) -> tuple[Float, float]:
        kept: list[Float] = []
        for step in range(_WARM + _DRAWS // _CHAINS * _APART):
            said = self._move_odds(generator)
            for sign in range(len(self.seen.evidence)):
                self._move_rows(sign, said, generator)
            if step >= _WARM and (step - _WARM) % _APART == 0:
                kept.append(self.seen.rates(self.odds[:, self.seen.cell], *self.seen.all_said(self.rows)))
        rates = np.array(kept)
        return rates.reshape(-1, self.seen.cell.size), effective_number(rates @ self.seen.times)

    def _move_odds(self, generator: np.random.Generator) -> tuple[Float, Float]:
        taken, lost = self.seen.all_said(self.rows)
        heard = self.seen.heard(taken, lost)

        def log_ratio(odds: Float, chain: Index) -> Float:
            return self.seen.height(odds[:, self.seen.cell], heard.only(chain))

        height = log_ratio(self.odds, np.arange(len(self.odds)))
        self.odds, _ = slice_step(self.odds, height, log_ratio, self.mean, self.factor, generator)
        return taken, lost

    def _move_rows(self, sign: int, said: tuple[Float, Float], generator: np.random.Generator) -> None:
        """Choose among the present row of a sign's accuracy and some others, by how likely all plants are with each."""
        seen, size = self.seen, len(self.seen.evidence[sign].if_taken)
        others = generator.integers(size, size=(len(self.rows), _OTHERS))
        tried = np.column_stack([self.rows[:, sign], others])
        here = seen.said(sign, self.rows[:, sign])
        there = seen.said(sign, tried)
        taken, lost = (rest[:, None] - now[:, None] + new for rest, now, new in zip(said, here, there, strict=True))
        height = seen.height(self.odds[:, None, seen.cell], seen.heard(taken, lost))
        chosen = np.argmax(height + generator.gumbel(size=height.shape), axis=1)
        pick = np.arange(len(self.rows))
        self.rows[:, sign] = tried[pick, chosen]
        for whole, new in zip(said, (taken, lost), strict=True):
            whole[:] = new[pick, chosen]


def _heights(seen: SeenPlants, part: slice, rows: Index) -> Float:
    return seen.height(seen.log_odds[part][:, seen.cell], seen.heard(*seen.all_said(rows[part])))


def _spread_rows(rows: int, size: int, generator: np.random.Generator) -> Index:
    """As many row numbers as there are draws, each row about as often, in any order."""
    return generator.permutation(np.resize(generator.permutation(rows), size)).astype(np.int64)


def _weights(height: Float) -> Float:
    weight = np.exp(height - height.max())
    return np.asarray(weight / weight.sum())


def _tempered(height: Float) -> Float:
    """Weights of the likelihood to a power at which enough draws stay in force."""
    power = 1.0
    while 1.0 / np.sum(_weights(power * height) ** 2) < min(_FIRST, 0.5 * height.size):
        power *= 0.7
    return _weights(power * height)


def _short_factor(around: Float) -> Float:
    """Factor of around' around with as few columns as it takes."""
    if around.shape[1] >= around.shape[0]:
        return around.T
    values, vectors = np.linalg.eigh(around.T @ around)
    kept = values > 1e-12 * max(values.max(initial=0.0), 1e-300)
    return np.asarray(vectors[:, kept] * np.sqrt(values[kept]))
