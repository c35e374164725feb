"""What a trial can hope for: the usual rate, and the chance to tell it from another with so many grafts or domes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

import numpy as np

from scionary.answers.rates import coming_draws, counts
from scionary.answers.take_model import SEED, cells_for, take_model
from scionary.take import TrialLayout, arms_needed, chance_to_tell_apart, chance_to_tell_trays_apart, trays_needed

POWER, SIGNIFICANCE = 0.8, 0.05
_LEAST_RATE, _MOST_RATE = 0.02, 0.98


@dataclass(frozen=True)
class Hope:
    """What is needed an arm (grafts, or filled domes; None where no sensible number does), and the chance with what is there."""

    needed: int | None
    chance: float
    rate: float
    against: float


def usual_rate(stage: str, cultivars: Sequence[UUID]) -> float:
    """The middle of what the records say of a coming season, cultivars weighed by what was counted of them."""
    rows, _ = counts(stage, "cultivar")
    counted = {UUID(row.key): row.grafts for row in rows if row.key and row.grafts}
    chosen = list(cultivars) or list(counted)
    if not chosen:
        fit = take_model(stage).fit
        middle = float(np.median(fit.predict(cells_for(fit, [{}]), draws=len(fit.latent), rng=SEED)))
    else:
        draws, _ = coming_draws(stage, chosen)
        weights = np.array([max(counted.get(pk, 1), 1) for pk in chosen], dtype=float)
        middle = float(np.median(draws @ (weights / weights.sum())))
    return min(max(middle, _LEAST_RATE), _MOST_RATE)


def hope_of(layout: TrialLayout, rate: float, difference: float, *, block_sd: float, comparisons: int) -> Hope:
    """What this layout can tell from the usual rate: the harder of so much better and so much worse."""
    weigh = _of_domes if layout.whole_tray else _of_grafts
    others = others_than(rate, difference)
    return min((weigh(layout, rate, other, block_sd, SIGNIFICANCE / comparisons) for other in others), key=lambda each: each.chance)


def others_than(rate: float, difference: float) -> list[float]:
    """Rates so much lower and higher, as far as they can be."""
    return [other for other in (rate - difference, rate + difference) if _LEAST_RATE <= other <= _MOST_RATE]


def _of_grafts(layout: TrialLayout, rate: float, other: float, block_sd: float, significance: float) -> Hope:
    grafts = max(1, int(layout.counts.sum(axis=0).min()))
    needed = arms_needed(rate, other, power=POWER, significance=significance, block_sd=block_sd)
    return Hope(needed, chance_to_tell_apart(rate, other, grafts, significance=significance, block_sd=block_sd), rate, other)


def _of_domes(layout: TrialLayout, rate: float, other: float, block_sd: float, significance: float) -> Hope:
    domes, size = int((layout.counts > 0).sum(axis=0).min()), max(1, int(np.median(np.bincount(layout.tray))))
    needed = trays_needed(rate, other, size, power=POWER, significance=significance, tray_sd=block_sd)
    chance = chance_to_tell_trays_apart(rate, other, domes, size, significance=significance, tray_sd=block_sd)
    return Hope(needed, chance, rate, other)
