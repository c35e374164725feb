"""What to look at next: the field whose answer is expected to leave the fewest plants in doubt."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scionary.names.codes import FIELD, LENGTH
from scionary.names.field_chances import FindingAssumptions, clear_shares, looks_fit, trait_chances, usual_shares
from scionary.names.plant_index import HEIGHT_STEP, Column, Float, PlantIndex
from scionary.names.ranking import ASSUMED, CHOICES, Evidence, Posterior, posterior_of, seen_traits

DAYS, HEIGHTS = 30, 4
"""Days are asked to the month, heights to a fifth."""
TRAIT = "trait: "
"""Stands before a trait's name in `Question.field`."""


@dataclass(frozen=True)
class Question:
    """A field to look at.

    Attributes
    ----------
    field : str
        As in `Evidence`; a trait as ``trait: leaf colour``.
    bits : float
        By how much the answer is expected to lower the entropy of the chances.
    """

    field: str
    bits: float


def next_question(evidence: Evidence, plants: PlantIndex, assumptions: FindingAssumptions = ASSUMED) -> Question | None:
    """Give the question that is expected to tell most.

    Parameters
    ----------
    evidence : Evidence
        What is known already; of its fields none is asked again.
    plants : PlantIndex
        From `index_plants`.
    assumptions : FindingAssumptions
        As for `rank_plants`.

    Returns
    -------
    Question or None
        None when nothing is left to ask that could tell anything.
    """
    asked = questions(evidence, plants, assumptions)
    return asked[0] if asked and asked[0].bits > 0.0 else None


def questions(evidence: Evidence, plants: PlantIndex, assumptions: FindingAssumptions = ASSUMED) -> list[Question]:
    """Give every open question with what it is expected to tell.

    Parameters
    ----------
    evidence, plants, assumptions
        As for `next_question`.

    Returns
    -------
    list of Question
        The most telling first. The expected fall of entropy is the mutual information between plant and answer (Lindley 1956, Annals of
        Mathematical Statistics 27:986), over all plants and "none of these"; answers as `scionary.names.field_chances` has them. For
        the code it is that of its best single character; for a trait, a look that contradicts a cultivar makes it likelier that it misleads
        about the next trait too.
    """
    chances = posterior_of(evidence, plants, assumptions)
    found = [
        Question(name, _choice_bits(plants.columns[name], _by_value(plants.columns[name], chances), getattr(assumptions, name)))
        for name in CHOICES
        if getattr(evidence, name) is None
    ]
    if evidence.grafted_about is None:
        found.append(Question("grafted_about", _day_bits(plants.columns["grafted_on"], chances, assumptions)))
    if evidence.height_mm is None:
        found.append(Question("height_mm", _height_bits(plants.columns["height_mm"], chances, assumptions)))
    by_cultivar = _by_value(plants.columns["cultivar"], chances)
    if not evidence.name:
        found.append(Question("name", _choice_bits(plants.columns["cultivar"], by_cultivar, assumptions.own_label)))
    if evidence.code is None:
        found.append(Question("code", _code_bits(plants, chances, assumptions)))
    found += _trait_questions(evidence, plants, by_cultivar, assumptions)
    return sorted(found, key=lambda question: (-question.bits, question.field))


def _trait_questions(evidence: Evidence, plants: PlantIndex, by_cultivar: Float, assumptions: FindingAssumptions) -> list[Question]:
    """The traits that were not seen yet; an answer is the cultivar's own as far as the look does not mislead, else the average."""
    cultivars, seen = plants.columns["cultivar"], seen_traits(evidence.traits, plants)
    clear, fit = clear_shares(plants, seen, assumptions)[:, None], looks_fit(plants, seen, assumptions)
    shares, found = cultivars.shares * fit.table[:-1] / fit.none, []  # of a plant without a cultivar, or outside the book
    for name, table in plants.traits.items():
        if name not in evidence.traits:
            known = trait_chances(cultivars, table)
            channel = clear * known + (1.0 - clear) * (cultivars.shares @ known)
            found.append(Question(f"{TRAIT}{name}", _channel_bits(by_cultivar, channel, shares)))
    return found


def _by_value(column: Column, chances: Posterior) -> Float:
    """Chance of each value of a field, the last for plants without it and for "none of these"."""
    sums = np.bincount(column.codes, weights=chances.relative, minlength=len(column.values) + 1) * chances.scale
    sums[-1] += chances.none
    return np.asarray(sums)


def _entropy(chances: Float) -> float:
    positive = chances[chances > 0.0]
    return float(-(positive * np.log2(positive)).sum())


def _channel_bits(by_value: Float, channel: Float, shares: Float) -> float:
    """Mutual information of plant and answer, from the answers' chances given each value; without a value they are the average."""
    if not len(shares) or not channel.size:
        return 0.0
    rows = np.vstack([channel, shares @ channel])
    rows = rows / rows.sum(axis=1, keepdims=True)
    given = -(rows * np.log2(np.where(rows > 0.0, rows, 1.0))).sum(axis=1)
    return max(_entropy(by_value @ rows) - float(by_value @ given), 0.0)


def _choice_bits(column: Column, by_value: Float, agree: float) -> float:
    """The same for `choice_fit`, without its table of every value against every answer."""
    usual = usual_shares(column)
    own, usual_own = by_value[:-1], usual[:-1]
    if not len(own):
        return 0.0
    other = (1.0 - agree) / (1.0 - usual_own)
    # answers given a value: `agree` for itself, `other * usual` for each other one, the new one included
    outside = float(column.shares @ other)
    average = np.append(column.shares * (agree - other * usual_own) + outside * usual_own, outside * usual[-1])
    answers = np.append(own * (agree - other * usual_own), 0.0) + float(own @ other) * usual + by_value[-1] * average
    spread = -usual * np.log2(usual)
    rest = spread.sum() - spread[:-1]
    given = -agree * np.log2(agree) + other * rest - (1.0 - agree) * np.log2(other)
    return max(_entropy(answers) - float(own @ given) - float(by_value[-1]) * _entropy(average), 0.0)


def _day_bits(column: Column, chances: Posterior, assumptions: FindingAssumptions) -> float:
    """A day remembered to within a month, in steps of a month."""
    by_value, shares = _coarse(_by_value(column, chances), column.shares, DAYS)
    if not len(shares):
        return 0.0
    steps = np.arange(-2, len(shares) + 2)
    scaled = (steps[None, :] - np.arange(len(shares))[:, None]).astype(np.float64)
    near = 1.0 / (1.0 + scaled**2 / 3.0) ** 2
    near = near / near.sum(axis=1, keepdims=True)
    return _channel_bits(by_value, (1.0 - assumptions.date_tail) * near + assumptions.date_tail / len(steps), shares)


def _height_bits(column: Column, chances: Posterior, assumptions: FindingAssumptions) -> float:
    by_value, shares = _coarse(_by_value(column, chances), column.shares, HEIGHTS)
    if not len(shares):
        return 0.0
    away = (np.arange(-4, len(shares) + 4)[None, :] - np.arange(len(shares))[:, None]) * HEIGHTS * HEIGHT_STEP
    narrow, wide = (np.exp(-0.5 * (away / spread) ** 2) for spread in (assumptions.height_spread, assumptions.height_tail_spread))
    narrow, wide = (part / part.sum(axis=1, keepdims=True) for part in (narrow, wide))
    return _channel_bits(by_value, (1.0 - assumptions.height_tail) * narrow + assumptions.height_tail * wide, shares)


def _coarse(by_value: Float, shares: Float, step: int) -> tuple[Float, Float]:
    """Add up neighbouring values."""
    starts = np.arange(0, len(shares), step)
    if not len(starts):
        return by_value, shares
    return np.append(np.add.reduceat(by_value[:-1], starts), by_value[-1]), np.asarray(np.add.reduceat(shares, starts))


def _code_bits(plants: PlantIndex, chances: Posterior, assumptions: FindingAssumptions) -> float:
    """One character of a code, the most telling."""
    even = np.full((FIELD, FIELD), (1.0 - assumptions.code_character) / (FIELD - 1))
    np.fill_diagonal(even, assumptions.code_character)
    channel = assumptions.own_label * even + (1.0 - assumptions.own_label) / FIELD
    best = 0.0
    for place in range(LENGTH):
        symbols = np.minimum(plants.symbols[place], FIELD)
        sums = np.asarray(np.bincount(symbols, weights=chances.relative, minlength=FIELD + 1) * chances.scale, dtype=np.float64)
        sums[-1] += chances.none
        best = max(best, _channel_bits(sums, channel, np.full(FIELD, 1.0 / FIELD)))
    return best
