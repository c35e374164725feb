"""The chance that each plant took, and how many of a season did, after what was seen of them.

Plants of one season share shocks: a bad dome, a warm winter. So a sign seen on one plant says a little about all others under the same
shock, and the season's total is far less sure than a sum of independent plants would be. Draws of take probabilities, with the shocks
shared inside a draw, are therefore weighed *together* by the signs of all plants.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Any, Protocol

import numpy as np

from scionary.errors import BadValue
from scionary.language import say
from scionary.take.cells import TakeCells
from scionary.take.intervals import check_share
from scionary.take.seen_plants import SeenPlants
from scionary.take.shared_shocks import weigh_or_sample
from scionary.take.signs import Index, SignAccuracy, SignEvidence, zero_one
from scionary.units import Float, check_range

_SURE = 1e-9  # no chance drawn from a model is nearer to 0 or 1


class Way(Enum):
    """How the draws were brought together with the signs."""

    PRIOR = "nothing was seen: the draws as they came"
    WEIGHED = "draws weighed by the signs"
    SAMPLED = "sampled around the draws, taken as normal in log odds"


class TakeModel(Protocol):
    """What `update_with_signs` needs of a fit: `TakeFit` is one."""

    def predict(self, cells: TakeCells, *, draws: int, rng: int | np.random.Generator) -> Float:
        """Draw take probabilities, shape (draws, cells), with new shocks shared inside a draw.

        Parameters
        ----------
        cells : TakeCells
            What to predict.
        draws : int
            Number of draws.
        rng : int or Generator
            Seed or generator.

        Returns
        -------
        ndarray of shape (draws, cells)
            Probabilities, 0 to 1.
        """
        ...


@dataclass(frozen=True)
class PlantChances:
    """What to think of each plant, and of all together.

    Attributes
    ----------
    chance : ndarray, shape (plants,)
        Chance that the plant took.
    low, high : ndarray, shape (plants,)
        Range of that chance: what shocks and the signs' accuracy leave open.
    before : ndarray, shape (plants,)
        The chance before anything was seen.
    total_draws : ndarray of int, shape (draws,)
        Equally likely numbers of plants that took.
    total : float
        Their mean.
    total_low, total_middle, total_high : int
        Range and middle of the number of plants that took.
    confidence : float
        Probability inside each range.
    effective : float
        Effective number of draws behind the total; below about 100 the ranges are rough.
    way : Way
        How the draws were brought together with the signs.
    assumptions : tuple of str
        What was supposed, one sentence each.
    """

    chance: Float
    low: Float
    high: Float
    before: Float
    total_draws: Index
    total: float
    total_low: int
    total_middle: int
    total_high: int
    confidence: float
    effective: float
    way: Way
    assumptions: tuple[str, ...] = field(default=())

    def to_dict(self) -> dict[str, list[float]]:
        """Give the columns, one row a plant, as lists."""
        return {name: getattr(self, name).tolist() for name in ("chance", "low", "high", "before")}


def update_with_signs(
    fit: TakeModel,
    plants: TakeCells,
    signs: Mapping[str, Any],
    accuracy: Mapping[str, SignAccuracy],
    *,
    cell: Any = None,
    evidence: Sequence[SignEvidence] = (),
    known: Any = None,
    counted: Any = None,
    draws: int = 4000,
    confidence: float = 0.9,
    rng: int | np.random.Generator,
) -> PlantChances:
    """Give each plant's chance and the season's total from the take model and the signs seen.

    Parameters
    ----------
    fit : TakeModel
        A fit whose `predict` shares new shocks inside a draw.
    plants : TakeCells
        What `fit` predicts from, one row a plant unless `cell` says otherwise; its counts are not looked at.
    signs : mapping of str to array_like, shape (plants,)
        Each sign's scores: 1 seen, 0 not, NaN not scored.
    accuracy : mapping of str to SignAccuracy
        How well each of these signs tells takes from failures.
    cell : array_like of int, shape (plants,), optional
        The row of `plants` that each plant belongs to.
    evidence : sequence of SignEvidence
        Further evidence about the same plants, such as looks at buds.
    known : array_like, shape (plants,), optional
        1 known to have taken, 0 known lost, NaN not known. These move the shared shocks as well, so they must not be in the fit's record.
    counted : array_like of bool, shape (plants,), optional
        Plants that count in the total; the others only move the shared shocks. All of them where it is left out.
    draws : int
        Number of draws asked of the fit, 2 or more.
    confidence : float
        Probability inside each range.
    rng : int or Generator
        Seed or generator.

    Returns
    -------
    PlantChances
        Chances by plant, and the total.

    Raises
    ------
    BadValue
        When an argument is out of its range, or a sign has no accuracy.
    """
    generator = np.random.default_rng(rng)
    missing = [name for name in signs if name not in accuracy]
    if missing:
        raise BadValue("signs", missing[0], f"signs whose accuracy is given: {', '.join(accuracy) or 'none'}")
    probabilities = fit.predict(plants, draws=draws, rng=generator)
    if cell is not None:
        probabilities = probabilities[:, _rows(cell, len(plants))]
    seen = [accuracy[name].evidence(scores) for name, scores in signs.items()]
    return chances_with_signs(probabilities, [*seen, *evidence], known=known, counted=counted, confidence=confidence, rng=generator)


def chances_with_signs(
    probability_draws: Any,
    evidence: Sequence[SignEvidence] = (),
    *,
    known: Any = None,
    counted: Any = None,
    confidence: float = 0.9,
    rng: int | np.random.Generator,
) -> PlantChances:
    """Give each plant's chance and the total from draws of take probabilities and what was seen.

    Parameters
    ----------
    probability_draws : array_like, shape (draws, plants)
        Equally likely sets of take probabilities before anything was seen; shocks shared by plants are shared inside a row.
    evidence : sequence of SignEvidence
        What was seen; different signs are taken as independent of each other, given the end of the plant.
    known : array_like, shape (plants,), optional
        1 known to have taken, 0 known lost, NaN not known.
    counted : array_like of bool, shape (plants,), optional
        Plants that count in the total; the others only move the shared shocks. All of them where it is left out.
    confidence : float
        Probability inside each range.
    rng : int or Generator
        Seed or generator.

    Returns
    -------
    PlantChances
        Chances by plant, and the total.

    Raises
    ------
    BadValue
        When an argument is out of its range or shapes do not fit.

    Notes
    -----
    Each set of probabilities p and of accuracies counts by the product over plants of p L1 + (1 - p) L0, with L1 and L0 the likelihoods of
    what was seen of a take and of a failure. Where that leaves too few draws in force, log odds are taken as normal with the draws'
    mean and covariance, skew or heavy tails or not, and sampled with the accuracies by importance around their mode (`shock_sampler`).
    """
    share, generator = check_share("confidence", confidence), np.random.default_rng(rng)
    probabilities = _probabilities(probability_draws)
    plants = probabilities.shape[1]
    ends = np.full(plants, np.nan) if known is None else zero_one("known", known)
    chosen = np.ones(plants, dtype=bool) if counted is None else np.asarray(counted, dtype=bool)
    for name, size in [("known", ends.size), ("counted", chosen.size), *(("evidence", item.kind.size) for item in evidence)]:
        if size != plants:
            raise BadValue(name, f"{size} plants", f"as many as probability_draws has ({plants})")
    seen = SeenPlants.gathered(probabilities, evidence, ends)
    rates, effective, sampled = weigh_or_sample(seen, generator)
    way = Way.PRIOR if not seen.anything else Way.SAMPLED if sampled else Way.WEIGHED
    times = np.bincount(seen.group[chosen], minlength=seen.times.size)
    return _summary(seen, times, rates, probabilities.mean(axis=0), share, effective, way, generator, _words(evidence, way))


def _summary(
    seen: SeenPlants,
    times: Index,
    rates: Float,
    before: Float,
    share: float,
    effective: float,
    way: Way,
    generator: np.random.Generator,
    words: tuple[str, ...],
) -> PlantChances:
    tails = [(1.0 - share) / 2.0, (1.0 + share) / 2.0]
    low, high = np.quantile(rates, tails, axis=0)
    totals = generator.binomial(times, rates).sum(axis=1).astype(np.int64)
    ends = np.quantile(totals, [tails[0], 0.5, tails[1]], method="inverted_cdf")
    return PlantChances(
        chance=rates.mean(axis=0)[seen.group],
        low=low[seen.group],
        high=high[seen.group],
        before=before,
        total_draws=totals,
        total=float((rates.mean(axis=0) * times).sum()),
        total_low=int(ends[0]),
        total_middle=int(ends[1]),
        total_high=int(ends[2]),
        confidence=share,
        effective=effective,
        way=way,
        assumptions=words,
    )


def _words(evidence: Sequence[SignEvidence], way: Way) -> tuple[str, ...]:
    told = dict.fromkeys(sentence for item in evidence for sentence in item.assumptions)
    several = (
        (say("Different signs on one plant are taken as independent of each other, given whether it took."),) if len(evidence) > 1 else ()
    )
    return (*told, *several, say("Shocks shared by plants moved with the signs of all of them ({way}).", way=way.value))


def _probabilities(value: Any) -> Float:
    draws = check_range("probability_draws", value, 0.0, 1.0)
    if draws.ndim != 2 or len(draws) < 2 or np.isnan(draws).any():
        raise BadValue(
            "probability_draws", f"an array of shape {draws.shape}", "shape (draws, plants) with two draws or more, none missing"
        )
    return np.clip(draws, _SURE, 1.0 - _SURE)


def _rows(cell: Any, size: int) -> Index:
    rows = np.asarray(cell)
    if rows.ndim != 1 or rows.dtype.kind not in "iu" or np.any((rows < 0) | (rows >= size)):
        raise BadValue("cell", cell, f"whole numbers from 0 to {size - 1}, one a plant")
    return rows.astype(np.int64)
