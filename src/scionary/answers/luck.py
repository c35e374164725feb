"""How far seasons, days, domes and methods lie apart: what grafts share, as the book's own fit has it, or as is supposed without one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from scionary.answers.take_facts import FACTORS
from scionary.answers.take_model import SEED, TakeModel
from scionary.language import say

SUPPOSED_SD = 0.5  # scale of the half-normal that is supposed of a factor without records; project default, unsourced


@dataclass(frozen=True)
class Luck:
    """Draws of the standard deviation between levels, in log odds, one for each draw of the fit; and where they are from."""

    draws: npt.NDArray[np.float64]
    words: str

    @property
    def middle(self) -> float:
        return float(np.median(self.draws))


def luck_of(model: TakeModel, factor: str) -> Luck:
    """What grafts of one level of a factor share; two factors by which grafts fall alike share their variance evenly."""
    name, fit = FACTORS[factor], model.fit
    base = model.alias[factor][0] if factor in model.alias else factor
    if base not in fit.design.factors:
        supposed = np.abs(np.random.default_rng(SEED).normal(0.0, SUPPOSED_SD, len(fit.scale_draws)))
        words = say(
            "By {name} the book cannot tell grafts apart yet: supposed is a spread of about {supposed_sd:g} in log odds",
            name=name,
            supposed_sd=SUPPOSED_SD,
        )
        return Luck(supposed, say("{words} (project default, unsourced).", words=words))
    alike = 1 + sum(other == base for other, _ in model.alias.values())
    draws = fit.scale_draws[:, fit.design.factors.index(base)] / np.sqrt(alike)
    shared = say(" (shared evenly among what falls alike)") if alike > 1 else ""
    source = "" if model.known(factor) > 1 else say(" (project default, unsourced)")
    taught = f"{model.learned_words(factor)}{source}{shared}"
    return Luck(
        draws,
        say("By {name} grafts differ by about {median:.2f} in log odds; {taught}.", name=name, median=np.median(draws), taught=taught),
    )


def shared_luck(model: TakeModel, *factors: str) -> tuple[float, list[str]]:
    """The spread of what grafts share that are of one level in all of these, its middle; and where it is from."""
    parts = [luck_of(model, factor) for factor in factors]
    total = np.sqrt(sum(part.draws**2 for part in parts))
    return float(np.median(total)), [part.words for part in parts]
