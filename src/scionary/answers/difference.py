"""Is it really worse? Two levels of a factor held against each other: the chance, the size, and what else it may be.

The engine is `take.compare`: both at reference conditions, as if all else were alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np

from scionary.answers.confounded import Level, confounded, same_outer
from scionary.answers.rates import Count, Rate, RatesAnswer, counts, rates, usual_stage
from scionary.answers.spelling import did_you_mean, folded
from scionary.answers.take_facts import COVARIATES, FACTORS, PLURALS
from scionary.answers.take_model import STAGES, TakeModel, take_model
from scionary.answers.words import TELLS_APART, listed, percent
from scionary.errors import Refused
from scionary.language import either, mark, say, several
from scionary.take import compare

_ENOUGH_GRAFTS = 8  # fewer than this on either side are not pointed at unasked; project default, unsourced
_FAR_APART = 0.15  # of what was counted, before it is worth saying why no difference is told; project default, unsourced
_UNLIKE = 0.5  # share of the grafts of two levels that lie on other levels of a factor; project default, unsourced
_LOWER = {
    "lot": mark("Stock lot {low} is lower than {high} with a chance of {chance}: {size}."),
    "season": mark("Season {low} is lower than {high} with a chance of {chance}: {size}."),
}
_WITHIN = {"tree": "cultivar", "day": "season", "dome": "season"}


@dataclass(frozen=True)
class DifferenceAnswer:
    """How far the first level lies above the second, all else alike.

    `chance_lower` is the chance that `first` is lower; `points` and their range are of the rates, first minus second, -1 to 1, nine
    times in ten; `odds_ratio` likewise.
    """

    stage: str
    factor: str
    first: Rate
    second: Rate
    chance_lower: float
    points: float
    points_low: float
    points_high: float
    odds_ratio: float
    odds_ratio_low: float
    odds_ratio_high: float
    confounded: list[str]
    notes: list[str] = field(default_factory=list)
    behind: str = ""
    laid_on: list[str] = field(default_factory=list)

    @property
    def why_not(self) -> str:
        """Why counts that lie far apart tell no difference: what else the two did not share, on which the model lays a part."""
        one, other = self.first, self.second
        if self.plain or not one.grafts or not other.grafts or abs(one.takes / one.grafts - other.takes / other.grafts) < _FAR_APART:
            return ""
        where = (
            say(" these two differ by {laid_on} too, and the model lays a part of it on that;", laid_on=listed(self.laid_on))
            if self.laid_on
            else ""
        )
        return say(
            "Counted: {first} against {second};{where} what few grafts share may be luck.",
            first=one.counted,
            second=other.counted,
            where=where,
        )

    @property
    def plain(self) -> bool:
        """Whether a difference can be told at all."""
        return max(self.chance_lower, 1 - self.chance_lower) >= TELLS_APART

    @property
    def sentence(self) -> str:
        """Stock lot 25-B is lower than 24-A with a chance of 93 %: by 17 points, 4 to 31."""
        lower, higher, chance, ends = self._told()
        low, high = (f"“{row.name}”" if "," in row.name else row.name for row in (lower, higher))
        said = say(
            _LOWER.get(self.factor, mark("{low} is lower than {high} with a chance of {chance}: {size}.")),
            low=low,
            high=high,
            chance=percent(chance),
            size=_size(*ends),
        )
        return said if self.plain else say("Nothing tells {low} and {high} apart yet. {said}", low=low, high=high, said=said)

    @property
    def stage_words(self) -> str:
        return STAGES[self.stage]

    @property
    def odds_words(self) -> str:
        return say(
            "{ratio:.2g}, {low:.2g} to {high:.2g}",
            ratio=self.odds_ratio,
            low=self.odds_ratio_low,
            high=self.odds_ratio_high,
        )

    @property
    def points_words(self) -> str:
        return say(
            "{points}, {low} to {high} points",
            points=_signed(self.points),
            low=_signed(self.points_low),
            high=_signed(self.points_high),
        )

    def _told(self) -> tuple[Rate, Rate, float, tuple[float, float, float]]:
        """The lower one first, and how far it lies below the other."""
        if self.chance_lower >= 0.5:
            return self.first, self.second, self.chance_lower, (-self.points, -self.points_high, -self.points_low)
        return self.second, self.first, 1 - self.chance_lower, (self.points, self.points_low, self.points_high)

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "sentence": self.sentence}


def comparable(stage: str, factor: str) -> list[Count]:
    """The levels of which something is known, by name; seasons and days the latest first."""
    rows, _ = counts(stage, factor)
    known = [row for row in rows if row.key and row.grafts]
    return sorted(known, key=lambda row: row.key, reverse=True) if factor in ("season", "day") else known


def usual_pair(stage: str, factor: str) -> tuple[str, str] | None:
    """The two that a person would ask about first: the last two seasons or days, else the lowest and the highest with enough grafts."""
    known = comparable(stage, factor)
    if factor not in ("season", "day"):
        rows = {row.key: row for row in rates(stage, factor, "reference").rows}
        enough = [row for row in known if row.grafts >= _ENOUGH_GRAFTS] or known
        known = sorted(enough, key=lambda row: rows[row.key].mean)
        known = [known[0], known[-1]] if len(known) > 1 else known
    return (known[0].key, known[1].key) if len(known) > 1 else None


def difference(first: str, second: str, *, stage: str | None = None, factor: str = "cultivar") -> DifferenceAnswer:
    """Compare two levels, named as a person says them or by their keys."""
    stage = stage or usual_stage()
    known = comparable(stage, factor)
    one, other = (_meant(text, known, factor, stage) for text in (first, second))
    if one.key == other.key:
        raise Refused(
            say("{one} cannot be compared with itself.", one=one.name),
            where=FACTORS[factor],
            remedy=say("Name two {factor}.", factor=PLURALS[factor]),
        )
    model = take_model(stage)
    places = [model.place(factor, row.key) for row in (one, other)]
    if places[0] is None or places[1] is None:
        remedy = say("Ask again in a moment.")
        raise Refused(
            say("{one} and {other} are not worked into the rates yet.", one=one.name, other=other.name),
            where=FACTORS[factor],
            remedy=remedy,
        )
    base = places[0][0]
    names = model.fit.cells.level_names(base)
    found = compare(model.fit, base, names[places[0][1]], names[places[1][1]])
    rows = {row.key: row for row in rates(stage, factor, "reference").rows}
    levels = [Level(factor, row.key, row.name) for row in (one, other)]
    apart = factor in _WITHIN and not same_outer(model, _WITHIN[factor], *levels)
    return DifferenceAnswer(
        stage,
        factor,
        rows[one.key],
        rows[other.key],
        1 - found.chance_higher,
        found.points,
        found.points_low,
        found.points_high,
        found.odds_ratio,
        found.odds_ratio_low,
        found.odds_ratio_high,
        confounded(model, *levels),
        _notes(factor, base, apart=apart),
        model.behind_words,
        _laid_on(model, base, places[0][1], places[1][1]),
    )


def _laid_on(model: TakeModel, base: str, first: int, second: int) -> list[str]:
    """The factors and measurements by which the grafts of two levels are mostly unlike."""
    cells = model.fit.cells
    sides = [np.where(cells.factors[base] == code, cells.grafts, 0) for code in (first, second)]
    found = []
    for factor in (each for each in cells.factors if each != base):
        codes = cells.factors[factor] + 1
        shares = [np.bincount(codes, weights=grafts, minlength=codes.max() + 1) / max(grafts.sum(), 1) for grafts in sides]
        if np.abs(shares[0] - shares[1]).sum() / 2 > _UNLIKE:
            found.append(FACTORS[factor])
    for name, column in cells.covariates.items():
        middles = [float(np.average(column, weights=grafts)) for grafts in sides if grafts.sum()]
        if len(middles) == 2 and abs(middles[0] - middles[1]) > _UNLIKE:  # in standard deviations
            found.append(COVARIATES[name])
    return found


def contrast(answer: RatesAnswer) -> DifferenceAnswer | None:
    """The plainest difference between two levels with enough grafts; None where there are no two."""
    if sum(row.grafts >= _ENOUGH_GRAFTS for row in answer.rows) < 2:
        return None
    pair = usual_pair(answer.stage, answer.factor)
    return difference(*pair, stage=answer.stage, factor=answer.factor) if pair else None


def _meant(text: str, known: Sequence[Count], factor: str, stage: str) -> Count:
    """The level that a person means; refused with what is nearly called so, or with what there is."""
    found = [row for row in known if row.key == text] or [row for row in known if folded(row.name) == folded(text) != ""]
    if len(found) == 1:
        return found[0]
    if found:
        raise Refused(
            say("{found} {factor} are called {name}.", found=len(found), factor=PLURALS[factor], name=found[0].name),
            where=FACTORS[factor],
            remedy=say("Give them names apart."),
        )
    names = [row.name for row in known]
    several = [name for name in names if folded(text) and folded(name).startswith(folded(text))]
    if len(several) > 1:
        raise Refused(
            say("{typed!r} fits several: {several}.", typed=text[:40], several=listed(several, most=12)),
            where=FACTORS[factor],
            remedy=say("Name one of them in full."),
        )
    near = did_you_mean(text, names)
    there = say("There are: {names}.", names=listed(names)) if names else say("Nothing is counted at this stage yet.")
    remedy = say("Did you mean {near}?", near=either(near)) if near else there
    raise Refused(
        say(
            "no {factor} with grafts known to be {stage} or not is called {typed!r}.",
            factor=FACTORS[factor],
            stage=STAGES[stage],
            typed=text[:40],
        ),
        remedy=remedy,
    )


def _notes(factor: str, base: str, *, apart: bool) -> list[str]:
    """What the comparison leaves out, and what stands for what."""
    found = [say("Both as if they had the same season, lot, method, tree, dome and day; what was measured is taken as alike too.")]
    if apart and base == factor:
        found.append(say("A difference between {plurals} themselves is not in it.", plurals=PLURALS[_WITHIN[factor]]))
    found.append(say("A difference in the records, not a trial: what went along with it may be the reason."))
    return found


def _size(points: float, low: float, high: float) -> str:
    """By 17 points, 4 to 31; by 8 points, from 6 higher to 21 lower."""
    middle, least, most = (round(100 * value) for value in (points, low, high))
    ends = (
        say("{least} to {most}", least=least, most=most)
        if least >= 0
        else say("from {higher} higher to {lower} lower", higher=-least, lower=most)
    )
    return several(middle, "by {count} point, {ends}", "by {count} points, {ends}", ends=ends)


def _signed(share: float) -> str:
    return f"{round(100 * share):+d}".replace("-", "\N{MINUS SIGN}")
