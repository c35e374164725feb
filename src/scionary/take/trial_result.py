"""What a trial came to: counts, comparisons, and the sentence that says it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

from scionary.language import say


class Verdict(StrEnum):
    """What a comparison came to."""

    FIRST_BETTER = "first better"
    SECOND_BETTER = "second better"
    NOT_TOLD_APART = "not told apart"
    CANNOT_BE_TOLD = "cannot be told"


@dataclass(frozen=True)
class ArmResult:
    """One arm: known outcomes, takes among them, outcomes not known, the plain share and its Wilson range."""

    name: str
    known: int
    takes: int
    unknown: int
    share: float
    low: float
    high: float


@dataclass(frozen=True)
class ArmComparison:
    """Two arms of a trial, side by side.

    Attributes
    ----------
    first, second : str
        Names of the arms.
    difference, low, high : float
        Second take probability minus first at the trial's mean rate: median and range, with the wide prior.
    chance_second_better : float
        Chance that the second arm's odds of a take are the higher ones, with the narrow prior.
    odds_ratio : float
        Second to first: Mantel and Haenszel's; for whole trays, the middle of the range.
    p_value : float
        Of the test that the verdict rests on, corrected for the number of comparisons (Holm); NaN when there is none.
    p_value_by_tray : float
        With each tray's difference as one observation, uncorrected; NaN when there is none.
    tray_spread : float
        Median of the standard deviation between trays (of the log odds ratio, or of whole trays' log odds); NaN where not in the model.
    verdict : Verdict
        What it came to.
    """

    first: str
    second: str
    difference: float
    low: float
    high: float
    chance_second_better: float
    odds_ratio: float
    p_value: float
    p_value_by_tray: float
    tray_spread: float
    verdict: Verdict


@dataclass(frozen=True)
class TrialAnalysis:
    """What a trial found.

    Attributes
    ----------
    arms : tuple of ArmResult
        Plain counts by arm.
    comparisons : tuple of ArmComparison
        Each pair of arms.
    compared : str
        What was compared: "grafts inside trays", "differences between trays" or "whole trays".
    confidence : float
        Probability inside the ranges.
    words : str
        The finding in a sentence.
    warnings : tuple of str
        What weakens it.
    assumptions : tuple of str
        What was supposed, one sentence each.
    """

    arms: tuple[ArmResult, ...]
    comparisons: tuple[ArmComparison, ...]
    compared: str
    confidence: float
    words: str
    warnings: tuple[str, ...]
    assumptions: tuple[str, ...]

    def to_dict(self) -> dict[str, list[dict[str, Any]]]:
        """Give arms and comparisons as rows."""
        return {"arms": [asdict(arm) for arm in self.arms], "comparisons": [asdict(pair) for pair in self.comparisons]}


def finding_words(arms: tuple[ArmResult, ...], comparisons: tuple[ArmComparison, ...], confidence: float) -> str:
    """Say what was found, in words that a grower uses.

    Parameters
    ----------
    arms : tuple of ArmResult
        Counts by arm.
    comparisons : tuple of ArmComparison
        Each pair of arms.
    confidence : float
        Probability inside the ranges.

    Returns
    -------
    str
        A sentence for each difference found; one sentence when there is none.
    """
    counts = {arm.name: say("{takes} of {known} took with {arm}", takes=arm.takes, known=arm.known, arm=arm.name) for arm in arms}
    clear = [pair for pair in comparisons if pair.verdict in (Verdict.FIRST_BETTER, Verdict.SECOND_BETTER)]
    if clear:
        return " ".join(_claim(pair, counts, confidence) for pair in clear)
    pair = max(comparisons, key=lambda one: abs(one.chance_second_better - 0.5))
    seen = ", ".join(counts.values())
    if all(one.verdict is Verdict.CANNOT_BE_TOLD for one in comparisons):
        return say("Nothing can be told from this trial: {seen}, but there is nothing to compare them by.", seen=seen)
    return say(
        "The trial does not tell them apart: {seen}; in 100 grafts {second} may truly give anything from "
        "{low} to {high} than {first}, so they need not be equal either.",
        seen=seen,
        second=pair.second,
        low=_more(pair.low),
        high=_more(pair.high),
        first=pair.first,
    )


def _claim(pair: ArmComparison, counts: dict[str, str], confidence: float) -> str:
    turned = pair.verdict is Verdict.FIRST_BETTER
    better, worse = (pair.first, pair.second) if turned else (pair.second, pair.first)
    low, middle, high = (-pair.high, -pair.difference, -pair.low) if turned else (pair.low, pair.difference, pair.high)
    return say(
        "{better} takes better than {worse}: {first} and {second}; in 100 grafts that is about {middle} "
        "({low} to {high} in {cases} of 100 such cases).",
        better=better,
        worse=worse,
        first=counts[better],
        second=counts[worse],
        middle=_more(middle),
        low=_more(low),
        high=_more(high),
        cases=round(100 * confidence),
    )


def _more(share: float) -> str:
    count = round(100 * share)
    return say("{number} fewer", number=-count) if count < 0 else say("{number} more", number=count)
