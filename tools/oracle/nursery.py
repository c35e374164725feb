"""Four simulated nurseries: unbalanced, partly confounded, some cultivars with one to three grafts."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

Codes = NDArray[np.int64]
Values = NDArray[np.float64]

TRUE_SCALES = {
    "cultivar": 0.8,
    "mother_tree": 0.35,
    "lot": 0.4,
    "method": 0.3,
    "season": 0.4,
    "day": 0.45,
    "dome": 0.35,
    "grafter": 0.25,
}
TRUE_INTERCEPT = 0.5
TRUE_SLOPES = {"storage": -0.3, "thickness": 0.25}


@dataclass(frozen=True)
class Priors:
    """Prior of every parameter; the defaults are the project's own, unsourced."""

    scale: dict[str, float]
    slope_sd: dict[str, float]
    intercept_mean: float = 0.4
    intercept_sd: float = 1.0

    @classmethod
    def default(cls, factors: tuple[str, ...], covariates: tuple[str, ...]) -> Priors:
        """0.8 for cultivars, 0.5 for every other factor and every slope."""
        return cls({name: 0.8 if name == "cultivar" else 0.5 for name in factors}, dict.fromkeys(covariates, 0.5))


@dataclass(frozen=True)
class Cells:
    """Grafts and takes by cell, with the priors under which they are to be read."""

    name: str
    grafts: Codes
    takes: Codes
    factors: dict[str, Codes]
    covariates: dict[str, Values]
    priors: Priors
    metadata: dict[str, Any] = field(default_factory=dict)

    def levels(self, factor: str) -> int:
        """How many levels a factor has."""
        return int(self.factors[factor].max()) + 1


@dataclass(frozen=True)
class Nursery:
    """What a simulated nursery is made of: at most how many levels of each factor, and what was written down."""

    name: str
    seed: int
    grafts: int
    levels: dict[str, int]
    mean_batch: float
    covariates: tuple[str, ...] = ()


NURSERIES = (
    Nursery("grafts_60", 60, 60, {"cultivar": 11, "lot": 2, "day": 4}, 2.5),
    Nursery("grafts_200", 200, 203, {"cultivar": 15, "mother_tree": 20, "season": 2, "day": 7}, 3.5, ("storage",)),
    Nursery(
        "grafts_600",
        600,
        600,
        {"cultivar": 22, "mother_tree": 28, "lot": 4, "method": 3, "day": 10, "dome": 4},
        4.0,
        ("storage", "thickness"),
    ),
    Nursery(
        "grafts_2000",
        2000,
        2000,
        {"cultivar": 30, "mother_tree": 40, "lot": 6, "method": 3, "season": 3, "day": 16, "dome": 6, "grafter": 4},
        4.0,
        ("storage",),
    ),
)


def simulate(nursery: Nursery) -> Cells:
    """The cells of a nursery, from its seed alone."""
    rng = np.random.default_rng(nursery.seed)
    sizes = batch_sizes(nursery, rng)
    everything = batches(nursery, len(sizes), rng)
    factors = {name: recoded(everything[name]) for name in nursery.levels}
    covariates = {name: standardised(everything[name], sizes) for name in nursery.covariates}
    factors, covariates, grafts = aggregated(factors, covariates, sizes)
    effects = {name: rng.normal(0.0, TRUE_SCALES[name], int(codes.max()) + 1) for name, codes in factors.items()}
    eta = TRUE_INTERCEPT + sum(TRUE_SLOPES[name] * values for name, values in covariates.items())
    eta = eta + sum(effects[name][codes] for name, codes in factors.items())
    takes = rng.binomial(grafts, 1.0 / (1.0 + np.exp(-eta))).astype(np.int64)
    truth = {
        "intercept": TRUE_INTERCEPT,
        "slopes": {name: TRUE_SLOPES[name] for name in nursery.covariates},
        "scales": {name: TRUE_SCALES[name] for name in factors},
        "effects": {name: np.round(values, 4).tolist() for name, values in effects.items()},
    }
    priors = Priors.default(tuple(factors), tuple(covariates))
    return Cells(nursery.name, grafts, takes, factors, covariates, priors, {"seed_of_cells": nursery.seed, "truth": truth})


def batch_sizes(nursery: Nursery, rng: np.random.Generator) -> Codes:
    """Sizes of batches, at least one graft each, that sum to the nursery's grafts."""
    sizes: list[int] = []
    while sum(sizes) < nursery.grafts:
        sizes.append(int(rng.geometric(1.0 / nursery.mean_batch)))
    sizes[-1] -= sum(sizes) - nursery.grafts
    return np.array(sizes, dtype=np.int64)


def batches(nursery: Nursery, count: int, rng: np.random.Generator) -> dict[str, NDArray[Any]]:
    """Where, when, how and from what each batch was grafted; the batches stand in the order in which they were made."""
    levels = dict.fromkeys(TRUE_SCALES, 1) | nursery.levels
    day = np.arange(count) * levels["day"] // count
    season = day * levels["season"] // levels["day"]
    cultivar, mother_tree = wood(levels["cultivar"], levels["mother_tree"], count, rng)
    lots_a_season = max(levels["lot"] // levels["season"], 1)
    usual_lot = day * levels["season"] * lots_a_season // levels["day"] % lots_a_season
    lot = season * lots_a_season + np.where(rng.random(count) < 0.7, usual_lot, rng.integers(0, lots_a_season, count))
    first_dome = (day * 2 + rng.binomial(1, 0.5, count)) % levels["dome"]
    grafter = np.minimum(rng.geometric(0.55, levels["day"])[day] - 1, levels["grafter"] - 1)
    usual_method = np.minimum(rng.geometric(0.6, levels["cultivar"])[cultivar] - 1, levels["method"] - 1)
    return {
        "cultivar": cultivar,
        "mother_tree": mother_tree,
        "day": day,
        "season": season,
        "lot": np.minimum(lot, levels["lot"] - 1),
        "dome": np.where(rng.random(count) < 0.8, first_dome, rng.integers(0, levels["dome"], count)),
        "grafter": np.where(rng.random(count) < 0.7, grafter, rng.integers(0, levels["grafter"], count)),
        "method": np.where(rng.random(count) < 0.8, usual_method, rng.integers(0, levels["method"], count)),
        "storage": rng.integers(0, 4, levels["day"])[day] + rng.integers(0, 3, count),
        "thickness": np.clip(np.round(rng.normal(0, 1, levels["cultivar"])[cultivar] + rng.normal(0, 1, count)), -2, 2),
    }


def wood(cultivars: int, mothers: int, count: int, rng: np.random.Generator) -> tuple[Codes, Codes]:
    """Cultivar and mother tree of each batch: each cultivar once, the rest by favour; most cultivars have a single mother tree."""
    favour = 1.0 / np.arange(1, cultivars + 1)
    rest = rng.choice(cultivars, size=max(count - cultivars, 0), p=favour / favour.sum())
    cultivar = rng.permutation(np.concatenate([np.arange(cultivars), rest])[:count])
    spare = max(mothers - cultivars, 0)
    second = rng.random(count) < 0.35
    return cultivar, np.where(second & (cultivar < spare), cultivars + cultivar, cultivar)


def recoded(codes: NDArray[Any]) -> Codes:
    """The same levels, numbered from 0 without gaps."""
    return np.unique(codes, return_inverse=True)[1].astype(np.int64)


def standardised(values: NDArray[Any], weights: Codes) -> Values:
    """Mean 0 and sd 1 over grafts."""
    mean = np.average(values, weights=weights)
    return (values - mean) / np.sqrt(np.average((values - mean) ** 2, weights=weights))


def aggregated(factors: dict[str, Codes], covariates: dict[str, Values], sizes: Codes) -> tuple[dict[str, Codes], dict[str, Values], Codes]:
    """One cell for all batches that are alike."""
    table = np.column_stack([*factors.values(), *covariates.values()])
    _, first, cell = np.unique(table, axis=0, return_index=True, return_inverse=True)
    grafts = np.bincount(cell.ravel(), weights=sizes).astype(np.int64)
    return {name: codes[first] for name, codes in factors.items()}, {name: values[first] for name, values in covariates.items()}, grafts
