"""Which plant is it, whose label is gone or unreadable: all plants of the book, ranked by chance, and "none of these".

The model, in one line: chance of a plant = its prior times the chance of everything seen given that plant, divided by the same sum
over all plants and over "none of these" (Bayes). Fields count as independent of each other given the plant (Fellegi & Sunter 1969,
JASA 64:1183), but for the traits of a leaf, which one bad season spoils together. Chances of each field: `scionary.names.field_chances`.

Prior: "none of these" has `none_of_these`; the rest is divided among plants by their standing, a missing one above one that
was seen with its own label elsewhere.

A first look goes over all plants in single precision. Those that are less than a millionth as likely as the best are then laid
aside, not forgotten: their chance stays in the sum and is told as "others".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import say
from scionary.names.field_chances import (
    FindingAssumptions,
    Fit,
    choice_fit,
    code_fit,
    day_fit,
    height_fit,
    looks_fit,
    name_fit,
)
from scionary.names.plant_index import Float, PlantIndex, Standing, TraitTable, plain_letters
from scionary.names.reading import written_symbols

ASSUMED = FindingAssumptions()
LAID_ASIDE = 14.0
"""Natural logarithm, about a million: plants that much less likely than the best are not looked at again."""
SHOWN = 20
CHOICES = ("stands", "pot_kind", "grafter")


@dataclass(frozen=True)
class Evidence:
    """What is known of a nameless plant; what is left out says nothing.

    Attributes
    ----------
    code : str or None
        What can be read of the code, seven characters, ``?`` for what cannot.
    name : tuple of str
        What can be read of the cultivar's name: one part or more, ``?`` for a letter that cannot.
    stands, pot_kind, grafter : str or None
        Where it stands, in what, who grafted it; words as the book has them.
    grafted_about : date or None
        When it was grafted, as remembered.
    grafted_within_days : float
        How exact that is: two times in three it is not further off. At least 1.
    height_mm : float or None
        Height in mm.
    traits : mapping of str to str
        What the leaves look like, by trait.
    """

    code: str | None = None
    name: tuple[str, ...] = ()
    stands: str | None = None
    pot_kind: str | None = None
    grafter: str | None = None
    grafted_about: date | None = None
    grafted_within_days: float = 30.0
    height_mm: float | None = None
    traits: Mapping[str, str] = field(default_factory=dict)


class CandidateKind(StrEnum):
    """What a line of the ranked list stands for."""

    PLANT = "plant"
    NONE = "none of these"
    OTHERS = "others"


@dataclass(frozen=True)
class Candidate:
    """A line of the ranked list.

    Attributes
    ----------
    kind : CandidateKind
        PLANT; NONE: a plant that is not in the book; OTHERS: all plants that are not listed, together.
    plant : int or None
        Position in the index, for PLANT.
    probability : float
        The list adds up to 1.
    weights : mapping of str to float
        For PLANT: what each field says, in bits, for it (above 0) or against it, compared with a plant outside the book.
    """

    kind: CandidateKind
    plant: int | None
    probability: float
    weights: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Posterior:
    """Chances of all plants: of plant i ``scale * relative[i]``, of "none of these" ``none``; they add up to 1."""

    relative: np.ndarray[Any, np.dtype[np.float32]]
    scale: float
    none: float


def rank_plants(
    evidence: Evidence, plants: PlantIndex, *, at_most: int = SHOWN, assumptions: FindingAssumptions = ASSUMED
) -> list[Candidate]:
    """Rank the plants of the book by the chance that each is the nameless one.

    Parameters
    ----------
    evidence : Evidence
        What is known.
    plants : PlantIndex
        From `index_plants`.
    at_most : int
        How many plants to list, at least 1.
    assumptions : FindingAssumptions
        Project defaults, unsourced.

    Returns
    -------
    list of Candidate
        The likeliest first, "none of these" among them at its place, "others" last where there are any; chances add up to 1.

    Raises
    ------
    BadValue
        When the code is no code, a height or spread is out of range, or a trait or its value is none of the index.
    """
    if at_most < 1:
        raise BadValue("at_most", at_most, say("1 or more"))
    fits = field_fits(evidence, plants, assumptions)
    score = _scores(fits, plants, assumptions)
    posterior = _posterior(score, plants, assumptions)
    best = _best(score, at_most)
    exact = _exact(best, fits, plants, assumptions)
    order = np.lexsort((best, -exact))
    shift = float(exact.max()) if len(exact) else 0.0
    # the same factor for all, from the first look at the best plant, so that list and remainder keep their proportions
    top = float(posterior.relative[best[order[0]]]) * posterior.scale if len(best) else 0.0
    found = [
        Candidate(CandidateKind.PLANT, int(best[one]), float(top * np.exp(exact[one] - shift)), _weights(int(best[one]), fits))
        for one in order
    ]
    listed = sum(candidate.probability for candidate in found)
    found.append(Candidate(CandidateKind.NONE, None, posterior.none))
    found.sort(key=lambda candidate: -candidate.probability)
    if len(plants) > len(best):
        return [*found, Candidate(CandidateKind.OTHERS, None, max(1.0 - posterior.none - listed, 0.0))]
    total = listed + posterior.none
    return [Candidate(one.kind, one.plant, one.probability / total, one.weights) for one in found]


def posterior_of(evidence: Evidence, plants: PlantIndex, assumptions: FindingAssumptions = ASSUMED) -> Posterior:
    """Give the chances of all plants at once.

    Parameters
    ----------
    evidence, plants, assumptions
        As for `rank_plants`.

    Returns
    -------
    Posterior
        In single precision.
    """
    return _posterior(_scores(field_fits(evidence, plants, assumptions), plants, assumptions), plants, assumptions)


def field_fits(evidence: Evidence, plants: PlantIndex, assumptions: FindingAssumptions) -> dict[str, Fit]:
    """Give the fit of each field of which something is known.

    Parameters
    ----------
    evidence, plants, assumptions
        As for `rank_plants`.

    Returns
    -------
    dict of str to Fit
        By field: ``code``, ``name``, ``stands``, ``pot_kind``, ``grafter``, ``grafted_about``, ``height_mm``, ``looks``.
    """
    fits: dict[str, Fit] = {}
    if evidence.code is not None:
        symbols, _, problem = written_symbols(evidence.code)
        if problem:
            raise BadValue("code", evidence.code, problem)
        fits["code"] = code_fit(plants, symbols, assumptions)
    if any(plain_letters(part).strip("? ") for part in evidence.name):
        fits["name"] = name_fit(plants, evidence.name, assumptions)
    for name in CHOICES:
        if getattr(evidence, name) is not None:
            fits[name] = choice_fit(plants.columns[name], getattr(evidence, name), getattr(assumptions, name))
    if evidence.grafted_about is not None:
        if not evidence.grafted_within_days >= 1.0:
            raise BadValue("grafted_within_days", evidence.grafted_within_days, say("1 day or more"))
        day = evidence.grafted_about.toordinal()
        fits["grafted_about"] = day_fit(plants.columns["grafted_on"], day, evidence.grafted_within_days, assumptions)
    if evidence.height_mm is not None:
        if not 0.0 < evidence.height_mm < 1e6:
            raise BadValue("height_mm", evidence.height_mm, say("above 0 and below 1,000,000 mm"))
        fits["height_mm"] = height_fit(plants.columns["height_mm"], evidence.height_mm, assumptions)
    if evidence.traits:
        fits["looks"] = looks_fit(plants, seen_traits(evidence.traits, plants), assumptions)
    return fits


def seen_traits(traits: Mapping[str, str], plants: PlantIndex) -> list[tuple[TraitTable, int]]:
    """Give each trait that is seen with the position of its value.

    Parameters
    ----------
    traits : mapping of str to str
        As in `Evidence`.
    plants : PlantIndex
        From `index_plants`.

    Returns
    -------
    list of (TraitTable, int)
        In the order given.

    Raises
    ------
    BadValue
        When the index has no such trait or value.
    """
    seen = []
    for name, value in traits.items():
        if name not in plants.traits:
            raise BadValue("trait", name, say("one of {traits}", traits=", ".join(plants.traits) or say("none: the index has no traits")))
        table = plants.traits[name]
        if value not in table.values:
            raise BadValue(name, value, say("one of {values}", values=", ".join(table.values)))
        seen.append((table, table.values.index(value)))
    return seen


def standing_weights(assumptions: FindingAssumptions) -> Float:
    """Give how likely a plant of each `Standing` is to be the one, before anything is seen.

    Parameters
    ----------
    assumptions : FindingAssumptions
        The weights.

    Returns
    -------
    ndarray, shape (4,)
        By value of `Standing`; 1 for EXPECTED.
    """
    by_standing = {
        Standing.EXPECTED: 1.0,
        Standing.MISSING: assumptions.missing,
        Standing.ACCOUNTED: assumptions.accounted,
        Standing.GONE: assumptions.gone,
    }
    return np.array([by_standing[standing] for standing in Standing])


def _scores(fits: Mapping[str, Fit], plants: PlantIndex, assumptions: FindingAssumptions) -> np.ndarray[Any, np.dtype[np.float32]]:
    """Logarithm of each plant's standing weight times its chance over that of a plant outside the book; one look-up a field."""
    tables: list[tuple[Any, Float]] = [(plants.standing, np.log(standing_weights(assumptions)))]
    by_cultivar = np.zeros(len(plants.columns["cultivar"].values) + 1)
    for fit in fits.values():
        if fit.codes is plants.columns["cultivar"].codes:
            by_cultivar += np.log(fit.table / fit.none)
        else:
            tables.append((fit.codes, np.log(fit.table / fit.none)))
    if np.any(by_cultivar):
        tables.append((plants.columns["cultivar"].codes, by_cultivar))
    score = np.zeros(len(plants), dtype=np.float32)
    for codes, table in tables:
        score += np.take(table.astype(np.float32), codes)
    return score


def _posterior(score: np.ndarray[Any, np.dtype[np.float32]], plants: PlantIndex, assumptions: FindingAssumptions) -> Posterior:
    if not len(plants):
        return Posterior(score, 0.0, 1.0)
    highest = float(score.max())
    relative = np.exp(score - np.float32(highest))
    weights = float(np.bincount(plants.standing, minlength=len(Standing)) @ standing_weights(assumptions))
    # odds of the whole book against "none of these"
    per_plant = (1.0 - assumptions.none_of_these) / assumptions.none_of_these / weights
    book = float(relative.sum(dtype=np.float64))
    none = 1.0 / (1.0 + per_plant * np.exp(highest) * book)
    return Posterior(relative, (1.0 - none) / book, float(none))


def _best(score: np.ndarray[Any, np.dtype[np.float32]], at_most: int) -> np.ndarray[Any, np.dtype[np.intp]]:
    """The plants to look at again: the likeliest, and none that is a millionth as likely as the best."""
    if not len(score):
        return np.zeros(0, dtype=np.intp)
    near = np.flatnonzero(score >= score.max() - np.float32(LAID_ASIDE)) if len(score) > at_most else np.arange(len(score))
    if len(near) > at_most:
        near = near[np.argpartition(-score[near], at_most - 1)[:at_most]]
    return near


def _exact(best: Any, fits: Mapping[str, Fit], plants: PlantIndex, assumptions: FindingAssumptions) -> Float:
    """Scores of a few plants in double precision."""
    score = np.log(standing_weights(assumptions))[plants.standing[best]]
    for fit in fits.values():
        score = score + np.log(fit.table[fit.codes[best]] / fit.none)
    return np.asarray(score)


def _weights(plant: int, fits: Mapping[str, Fit]) -> dict[str, float]:
    return {name: float(np.log2(fit.table[fit.codes[plant]] / fit.none)) for name, fit in fits.items()}
