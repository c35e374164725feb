"""What matters most: how much of the differences between grafts' chances each factor and each measurement makes.

The engine is `take.variance_shares`. A factor of which the records know one level only, or hardly two, shows what was supposed of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np

from scionary.answers.rates import usual_stage
from scionary.answers.remembered import remembered
from scionary.answers.take_facts import COVARIATES, FACTORS
from scionary.answers.take_model import FEWEST_MEASURED, STAGES, TakeModel, take_model
from scionary.answers.words import TELLS_APART, listed, percent, percent_range
from scionary.language import mark, say
from scionary.take import VarianceShares, variance_shares

RESULT_VERSION = 6
_STANDS_OUT = 0.15  # the least share that the weightiest has, nine times in ten, before it is named; project default, unsourced
_FEWEST = 20  # grafts with a known outcome before shares are shown at all; project default, unsourced
_DIRECTION = mark(
    "More takes with {more}, with a chance of {chance}; that is its direction only: how much it weighs beside the rest cannot be told yet."
)
GEOMETRY = ("ratio", "cut_mm", "lean_mm")
_CLAIMS_OF_NULLS = 0.05  # share of books in which nothing matters that may say otherwise; project default, unsourced
_MORE = {
    "ratio": (mark("thicker scions"), mark("thinner scions")),
    "cut_mm": (mark("longer cuts"), mark("shorter cuts")),
    "lean_mm": (mark("scions leaned further"), mark("scions leaned less")),
    "stored_days": (mark("wood stored longer"), mark("wood stored less long")),
    "vpd_kpa": (mark("drier air"), mark("moister air")),
    "temperature_c": (mark("warmer air"), mark("cooler air")),
}


@dataclass(frozen=True)
class Weight:
    """One factor's or measurement's share, 0 to 1, of what makes grafts differ; `note` says what else is to be known of it."""

    name: str
    words: str
    mean: float
    low: float
    high: float
    note: str = ""

    @property
    def said(self) -> str:
        """As a sentence has it: the stock lot; how dry the air was."""
        return say("the {factor}", factor=self.words) if self.name in FACTORS else self.words

    @property
    def share_words(self) -> str:
        return f"{percent(self.mean)}, {percent_range(self.low, self.high)}"


@dataclass(frozen=True)
class ImportanceAnswer:
    """All of them, the weightiest first."""

    stage: str
    weights: list[Weight]
    measured: list[str]
    geometry: str = ""
    assumptions: list[str] = field(default_factory=list)

    @property
    def sentence(self) -> str:
        """The cultivar matters most: 45 %, 20 to 70 % of what makes grafts differ."""
        if not self.weights:
            return say("What matters most can be asked once {fewest} grafts have a known outcome at this stage.", fewest=_FEWEST)
        first = self.weights[0]
        if first.low < _STANDS_OUT:
            few = listed([weight.said for weight in self.weights[:3]])
            return say("What matters most cannot be told yet: the shares overlap; so far {few} have the largest.", few=few)
        share = say(
            "{mean} of what makes grafts differ, {percent_range}",
            mean=percent(first.mean),
            percent_range=percent_range(first.low, first.high),
        )
        return say("What matters most is {said}: {share}.", said=first.said, share=share)

    @property
    def stage_words(self) -> str:
        return STAGES[self.stage]

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "sentence": self.sentence}


def importance(stage: str | None = None) -> ImportanceAnswer:
    """Shares of each factor and measurement at a stage."""
    stage = stage or usual_stage()
    model = take_model(stage)
    asked = {"content": model.content, "stage": stage}
    return remembered("importance", RESULT_VERSION, asked, lambda: _importance(model))


def _importance(model: TakeModel) -> ImportanceAnswer:
    if model.fit.cells.grafts.sum() < _FEWEST:
        return ImportanceAnswer(model.stage, [], [], geometry_words(model))
    shares = variance_shares(model.fit)
    weights = [_weight(model, shares, at) for at in range(len(shares.factor))]
    assumed = [
        say("Shares of the variance in log odds. The luck of the single graft, which nothing written down explains, is not among them."),
        say("What goes with more takes need not be their reason: something else may have gone along with it."),
        say("With few levels or grafts a share is mostly what was supposed of it, so its range is wide."),
    ]
    measured = _measured(model, ranked=weights[0].low >= _STANDS_OUT)
    return ImportanceAnswer(model.stage, weights, measured, geometry_words(model), assumed)


def _weight(model: TakeModel, shares: VarianceShares, at: int) -> Weight:
    name = shares.factor[at]
    mean, low, high = (float(column[at]) for column in (shares.mean, shares.low, shares.high))
    return Weight(name, COVARIATES.get(name) or FACTORS[name], mean, low, high, _note(model, name))


def _note(model: TakeModel, name: str) -> str:
    """That a factor has one level only, or that others fall alike with it."""
    cells = model.fit.cells
    if name not in cells.factors:
        scale = cells.scales[name]
        return say("measured on {measured} of {all} grafts", measured=scale.measured, all=scale.measured + scale.missing)
    alike = [FACTORS[other] for other, (base, _) in model.alias.items() if base == name]
    return "; ".join(
        [model.learned_words(name), *([say("or the {alike}: grafts fall alike by these", alike=listed(alike))] if alike else [])]
    )


def geometry_words(model: TakeModel) -> str:
    """Whether thickness, cut and lean go with losses in this book, or cannot be told to."""
    fixed = model.fit.design.fixed[1:]
    seen = [name for name in GEOMETRY if name in fixed]
    if not seen:
        return say(
            "Whether the geometry of unions explains losses cannot be told: both thicknesses, the cut's length or the lean stand with "
            "fewer than {fewest} grafts, or are all alike.",
            fewest=FEWEST_MEASURED,
        )
    higher = {name: float(np.mean(model.fit.latent[:, fixed.index(name) + 1] > 0)) for name in seen}
    told = {name: share for name, share in higher.items() if max(share, 1.0 - share) >= _bar_of_geometry(fixed)}
    few = _too_few(seen)
    if not told:
        looked = listed([COVARIATES[name] for name in seen])
        words = mark("Whether the geometry of unions explains losses cannot be told yet; looked at: {looked}.{few}")
        return say(words, looked=looked, few=few)
    most = 1 - 1 / len(model.fit.latent)
    better = [
        say(
            "{more}, with a chance of {chance}",
            more=say(_MORE[name][0 if share >= 0.5 else 1]),
            chance=percent(min(max(share, 1 - share), most)),
        )
        for name, share in told.items()
    ]
    words = mark("The geometry of unions goes with losses in this book: more takes with {better}.{few}")
    return say(words, better="; ".join(better), few=few)


def _bar_of_geometry(fixed: Sequence[str]) -> float:
    """Chance from which one of its measurements is named: with nothing behind any, either way, about one book in twenty names one."""
    return 1.0 - _CLAIMS_OF_NULLS / 2.0 / max(sum(name in fixed for name in GEOMETRY), 1)


def _too_few(seen: Sequence[str]) -> str:
    """Which of its measurements could not be looked at, after a space; empty where all could."""
    missing = [COVARIATES[name] for name in GEOMETRY if name not in seen]
    if not missing:
        return ""
    words = mark("Not looked at, with fewer than {fewest} grafts or all alike: {missing}.")
    return " " + say(words, fewest=FEWEST_MEASURED, missing=listed(missing))


def _measured(model: TakeModel, *, ranked: bool) -> list[str]:
    """Which way each measurement goes with takes, where that can be told; with no ranking, that this is no rank either."""
    found = []
    for at, name in enumerate(model.fit.design.fixed[1:], start=1):
        higher = float(np.mean(model.fit.latent[:, at] > 0))
        chance = min(max(higher, 1 - higher), 1 - 1 / len(model.fit.latent))
        more = _MORE[name][0 if higher >= 0.5 else 1]
        if chance >= (_bar_of_geometry(model.fit.design.fixed) if name in GEOMETRY else TELLS_APART):
            found.append(
                say(
                    mark("More takes with {more}, with a chance of {chance}.") if ranked else _DIRECTION,
                    more=say(more),
                    chance=percent(chance),
                )
            )
        else:
            one, other = (say(words) for words in _MORE[name])
            found.append(say("Whether {one} or {other} take better cannot be told yet.", one=one, other=other))
    return found
