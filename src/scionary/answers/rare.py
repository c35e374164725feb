"""A few pieces of wood and a name worth keeping: the chance that the clone survives, by how its grafts are staged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.answers.luck import luck_of
from scionary.answers.rates import counts, usual_stage
from scionary.answers.remembered import remembered
from scionary.answers.take_model import SEED, STAGES, TakeModel, take_model
from scionary.answers.words import percent, percent_range, plural
from scionary.book.models import Cultivar, Dome
from scionary.errors import Refused
from scionary.language import say
from scionary.take import StagingChance, rank_stagings, ready_stagings, survival_chance

RESULT_VERSION = 1
STAGED = ("season", "day", "dome", "method")
FEW = 5  # wished plants up to which a wish is offered this page; project default, unsourced
MOST_SCIONS, MOST_PARTS = 60, 6
_HARDLY = 0.02  # a difference in the chance below this is not worth more work; project default, unsourced


@dataclass(frozen=True)
class RareAsk:
    """So many scions of a name, and over how many days, domes and methods they could be spread; None: as the book has them."""

    scions: int
    cultivar: Cultivar | None = None
    name: str = ""
    days: int = 2
    domes: int | None = None
    methods: int = 1
    stage: str = ""


@dataclass(frozen=True)
class RareAnswer:
    """The stagings, the surest first, with what a single graft's chance is and what was assumed."""

    name: str
    scions: int
    stage: str
    stagings: list[StagingChance]
    single: tuple[float, float, float]
    counted: str
    days: int
    domes: int
    methods: int
    one_more: float
    assumptions: list[str] = field(default_factory=list)

    @property
    def best(self) -> StagingChance:
        return self.stagings[0]

    @property
    def at_once(self) -> StagingChance:
        return next(one for one in self.stagings if len(one.staging.batches) == 1)

    @property
    def stage_words(self) -> str:
        return STAGES[self.stage]

    @property
    def sentence(self) -> str:
        """What the best staging promises, and whether it is worth the work."""
        grafts = plural(self.scions, "graft", "grafts")
        best, plain = self.best, self.at_once
        if self.scions == 1:
            return say("One graft of {cultivar}: it takes in {cases} of 100 such cases.", cultivar=self.name, cases=_of_100(plain.chance))
        if best.chance - plain.chance < _HARDLY:
            return say(
                "{grafts} of {cultivar}, everything at once: at least one takes in {cases} of 100 such cases. "
                "Splitting them up hardly helps.",
                grafts=grafts,
                cultivar=self.name,
                cases=_of_100(plain.chance),
            )
        return say(
            "{grafts} of {cultivar}, {staging}: at least one takes in {cases} of 100 such cases; everything at once: in {plainly}.",
            grafts=grafts,
            cultivar=self.name,
            staging=best.staging.name,
            cases=_of_100(best.chance),
            plainly=_of_100(plain.chance),
        )

    @property
    def why(self) -> str:
        low, mid, high = self.single
        return say(
            "A single graft is {stage} with a chance of {mid}, {range}; counted: {counted}. One "
            "graft more, everything at once: {cases} of 100.",
            stage=self.stage_words,
            mid=percent(mid),
            range=percent_range(low, high),
            counted=self.counted,
            cases=_of_100(self.one_more),
        )

    @property
    def guard(self) -> str:
        """What the numbers do not know."""
        if self.scions == 1:
            return ""
        return say(
            "A mishap that takes a whole dome (a cover blown off, an afternoon in the sun) counts here only as "
            "far as your records hold such. Two domes guard against it whatever the numbers say."
        )

    def to_dict(self) -> dict[str, Any]:
        return {
            "name": self.name,
            "scions": self.scions,
            "stage": self.stage,
            "sentence": self.sentence,
            "why": self.why,
            "one_more": self.one_more,
            "guard": self.guard,
            "single": {"low": self.single[0], "mid": self.single[1], "high": self.single[2]},
            "stagings": [
                {
                    "staging": one.staging.name,
                    "batches": [vars(batch) for batch in one.staging.batches],
                    "chance": one.chance,
                    "error": one.error,
                    "expected_takes": one.expected_takes,
                    "words": one.words,
                    "costs": list(one.staging.costs),
                }
                for one in self.stagings
            ],
            "assumptions": self.assumptions,
        }


def rare(ask: RareAsk) -> RareAnswer:
    """The ways to stage the grafts of a rare name, compared on the same draws of luck."""
    domes = ask.domes if ask.domes is not None else min(max(Dome.objects.filter(retired=False).count(), 1), 3)
    _check(ask, domes)
    stage = ask.stage or usual_stage()
    model = take_model(stage)
    key = str(ask.cultivar.pk) if ask.cultivar else ""
    asked = {"content": model.content, "cultivar": key, "parts": [ask.scions, ask.days, domes, ask.methods]}

    def compute() -> tuple[list[StagingChance], tuple[float, float, float], float]:
        draws = _log_odds(model, key)
        luck: Mapping[str, Any] = {factor: luck_of(model, factor).draws for factor in STAGED}
        stagings = ready_stagings(ask.scions, days=ask.days, domes=domes, methods=ask.methods)
        more = survival_chance(ready_stagings(ask.scions + 1)[0], draws, luck, rng=SEED)
        return list(rank_stagings(stagings, draws, luck, rng=SEED)), _single(draws, luck), more.chance

    stagings, single, one_more = remembered("rare", RESULT_VERSION, asked, compute)
    return RareAnswer(
        name=ask.cultivar.spoken if ask.cultivar else ask.name or say("a name that is new to the book"),
        scions=ask.scions,
        stage=stage,
        stagings=stagings,
        single=single,
        counted=_counted(stage, key),
        days=ask.days,
        domes=domes,
        methods=ask.methods,
        one_more=one_more,
        assumptions=_assumptions(model, key),
    )


def _check(ask: RareAsk, domes: int) -> None:
    if not 1 <= ask.scions <= MOST_SCIONS:
        raise Refused(
            f"{ask.scions} scions.", where="scions", remedy=say("Give a number from 1 to {most_scions}.", most_scions=MOST_SCIONS)
        )
    for name, count in (("days", ask.days), ("domes", domes), ("methods", ask.methods)):
        if not 1 <= count <= MOST_PARTS:
            raise Refused(f"{count} {say(name)}.", where=name, remedy=say("Give a number from 1 to {most_parts}.", most_parts=MOST_PARTS))
    if ask.stage and ask.stage not in STAGES:
        raise Refused(
            say("{stage!r} is no stage.", stage=ask.stage), where="stage", remedy=say("One of: {stages}.", stages=", ".join(STAGES))
        )


def _log_odds(model: TakeModel, key: str) -> npt.NDArray[np.float64]:
    """Draws of the cultivar's log odds in a middling season, day, dome and method, with the luck of a stock lot that all grafts share."""
    from scionary.take import Rate

    fit = model.fit
    place = model.place("cultivar", key) if key else None
    rng = np.random.default_rng(SEED)
    if place is not None:
        chance = np.clip(fit.rate_draws(place[0], Rate.REFERENCE)[:, place[1]], 1e-9, 1.0 - 1e-9)
        draws = np.log(chance / (1.0 - chance))
    else:
        draws = fit.latent[:, 0] + luck_of(model, "cultivar").draws * rng.normal(size=len(fit.latent))
    if "lot" in fit.design.factors:
        draws = draws + luck_of(model, "lot").draws * rng.normal(size=len(draws))
    return np.asarray(draws)


def _single(draws: npt.NDArray[np.float64], luck: Mapping[str, Any]) -> tuple[float, float, float]:
    """One graft's chance in a coming season, with what its season, day, dome and method may bring: low, mean and high."""
    rng = np.random.default_rng(SEED + 1)
    total = draws + np.sqrt(sum(each**2 for each in luck.values())) * rng.normal(size=len(draws))
    chance = 1.0 / (1.0 + np.exp(-total))
    low, high = np.quantile(chance, [0.05, 0.95])
    return float(low), float(chance.mean()), float(high)


def _counted(stage: str, key: str) -> str:
    rows, _ = counts(stage, "cultivar")
    found = next((row for row in rows if key and row.key == key), None)
    return say("{takes} of {grafts}", takes=found.takes, grafts=found.grafts) if found and found.grafts else say("none of it yet")


def _assumptions(model: TakeModel, key: str) -> list[str]:
    said = [luck_of(model, factor).words for factor in STAGED]
    if not key or model.place("cultivar", key) is None:
        said.insert(0, say("Of this cultivar nothing is counted at this stage: it is taken for one more like the others."))
    said.append(
        say("All grafts are of one season and of wood that is as good on the last day as on the first; a second day's wood must keep.")
    )
    said.append(say("A second method is one that is in the hand already. Grafts of one batch differ by nothing but chance."))
    said.append(
        say(
            "A single graft's chance may differ from the coming season's in Findings and in the plan: those take "
            "the cultivar's own mother trees and the method of most grafts, and the plan spreads them over "
            "several fillings; here method, day and dome are left open."
        )
    )
    said.append(say("At least one is {stage}: what is lost later is not counted here.", stage=STAGES[model.stage]))
    return said


def _of_100(chance: float) -> str:
    return f"{100 * chance:.0f}" if 0.005 <= chance < 0.995 else say("more than 99") if chance > 0.5 else say("fewer than 1")
