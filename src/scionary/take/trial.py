"""What a trial found. The analysis follows the layout: grafts inside trays, or tray against tray."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import say, several
from scionary.take.effect import (
    PRIOR_SD,
    SIZE_PRIOR_SD,
    SPREAD_PRIOR_SD,
    TRAY_PRIOR_SD,
    Effect,
    common_effect,
    share_difference,
    varying_effect,
    whole_tray_effect,
)
from scionary.take.intervals import check_share, wilson_interval
from scionary.take.layout import TrialLayout
from scionary.take.stratified import mantel_haenszel_odds_ratio, stratified_test, tray_test, whole_tray_test
from scionary.take.trial_result import ArmComparison, ArmResult, TrialAnalysis, Verdict, finding_words
from scionary.units import Float, as_floats, check_range, refuse_where


def analyse_trial(
    layout: TrialLayout,
    outcomes: Any,
    *,
    interaction: bool = False,
    significance: float = 0.05,
    confidence: float = 0.9,
    prior_sd: float = PRIOR_SD,
    size_prior_sd: float = SIZE_PRIOR_SD,
) -> TrialAnalysis:
    """Analyse a trial as it was laid out.

    Parameters
    ----------
    layout : TrialLayout
        The layout that the grafts were made by.
    outcomes : array_like, shape (grafts,)
        1 for a take, 0 for none, NaN for not known, in the order of the layout.
    interaction : bool
        True when the treatment may work differently from tray to tray (or dome to dome); it then needs more trays to be sure. Whole
        trays are compared as such in any case.
    significance : float
        Chance of a claim where there is no difference, all comparisons of the trial together.
    confidence : float
        Probability inside the ranges.
    prior_sd : float
        Standard deviation of the log odds ratio before any record, for the chance that an arm is the better one; more than 0.
    size_prior_sd : float
        The same for the size and its range, more than 0: wide, so that they follow what was counted.

    Returns
    -------
    TrialAnalysis
        For every pair of arms the size of the difference, the chance that it is one, and the verdict.

    Raises
    ------
    BadValue
        When outcomes are others than 0, 1 and NaN, or not one a graft, or another argument is out of its range.

    Notes
    -----
    Arms inside trays: the Cochran-Mantel-Haenszel test and the exact conditional distribution of a common odds ratio; with `interaction`
    Student's test of the trays' differences and an odds ratio that varies between trays. Whole trays: Student's test of the trays' rates
    and a random shift a tray. Outcomes not known are left out, as if they were a fair sample of the rest.
    """
    known = _outcomes(outcomes, layout)
    share, limit = check_share("confidence", confidence), check_share("significance", significance)
    priors = {"prior_sd": prior_sd, "size_prior_sd": size_prior_sd}
    for name, value in priors.items():
        refuse_where(not value > 0.0, name, check_range(name, value, 0.0, math.inf), "more than 0")
    grafts, takes = _tables(layout, known)
    pairs = list(combinations(range(len(layout.arms)), 2))
    compare = _compare_whole_trays if layout.whole_tray else _compare_inside
    found = [compare(grafts[:, pair], takes[:, pair], interaction, (prior_sd, size_prior_sd)) for pair in pairs]
    corrected = _holm([one.p_value for one in found])
    comparisons = tuple(
        _comparison(layout, pair, one, p_value, (grafts, takes), share, limit)
        for pair, one, p_value in zip(pairs, found, corrected, strict=True)
    )
    arms = _arms(layout, known)
    return TrialAnalysis(
        arms=arms,
        comparisons=comparisons,
        compared=_compared(layout, interaction),
        confidence=share,
        words=finding_words(arms, comparisons, share),
        warnings=(*layout.warnings, *_warnings(layout, arms, comparisons, interaction, limit)),
        assumptions=_assumptions(layout, interaction, limit, (prior_sd, size_prior_sd)),
    )


@dataclass(frozen=True)
class _Found:
    effect: Effect
    size: Effect
    odds_ratio: float
    p_value: float
    p_value_by_tray: float


def _compare_inside(grafts: Float, takes: Float, interaction: bool, priors: tuple[float, float]) -> _Found:
    by_tray = tray_test(grafts, takes)
    weigh = varying_effect if interaction else common_effect
    effect, size = (weigh(grafts, takes, prior_sd=sd) for sd in priors)
    p_value = by_tray if interaction else stratified_test(grafts, takes)
    return _Found(effect, size, mantel_haenszel_odds_ratio(grafts, takes), p_value, by_tray)


def _compare_whole_trays(grafts: Float, takes: Float, interaction: bool, priors: tuple[float, float]) -> _Found:
    first, second = ((grafts[seen, arm], takes[seen, arm]) for arm, seen in enumerate((grafts > 0).T))
    effect, size = (whole_tray_effect(first, second, prior_sd=sd) for sd in priors)
    p_value = whole_tray_test(first, second)
    return _Found(effect, size, float(np.exp(size.quantile(0.5))), p_value, p_value)


def _comparison(
    layout: TrialLayout,
    pair: tuple[int, int],
    found: _Found,
    p_value: float,
    counts: tuple[Float, Float],
    confidence: float,
    significance: float,
) -> ArmComparison:
    grafts, takes = (table[:, pair].sum(axis=0) for table in counts)
    middle = float(np.mean((takes + 0.5) / (grafts + 1.0)))
    tails = [(1.0 - confidence) / 2.0, 0.5, (1.0 + confidence) / 2.0]
    low, difference, high = (float(end) for end in share_difference(found.size.quantile(tails), middle))
    if math.isnan(p_value):
        verdict = Verdict.CANNOT_BE_TOLD
    elif p_value >= significance:
        verdict = Verdict.NOT_TOLD_APART
    else:
        verdict = Verdict.SECOND_BETTER if difference > 0.0 else Verdict.FIRST_BETTER
    return ArmComparison(
        first=layout.arms[pair[0]],
        second=layout.arms[pair[1]],
        difference=difference,
        low=low,
        high=high,
        chance_second_better=found.effect.chance_above(0.0),
        odds_ratio=found.odds_ratio,
        p_value=p_value,
        p_value_by_tray=found.p_value_by_tray,
        tray_spread=found.effect.spread,
        verdict=verdict,
    )


def _holm(p_values: list[float]) -> list[float]:
    """Holm's step-down correction; what is NaN is no comparison."""
    corrected, highest = list(p_values), 0.0
    real = sorted((p_value, place) for place, p_value in enumerate(p_values) if not math.isnan(p_value))
    for rank, (p_value, place) in enumerate(real):
        highest = max(highest, min(1.0, p_value * (len(real) - rank)))
        corrected[place] = highest
    return corrected


def _outcomes(outcomes: Any, layout: TrialLayout) -> Float:
    known = as_floats("outcomes", outcomes)
    if known.shape != layout.arm.shape:
        raise BadValue("outcomes", f"of shape {known.shape}", f"one a graft, {layout.arm.size} in all")
    refuse_where(~np.isnan(known) & (known != 0.0) & (known != 1.0), "outcomes", known, "1 (took), 0 (did not) or NaN (not known)")
    return known


def _tables(layout: TrialLayout, known: Float) -> tuple[Float, Float]:
    """Known outcomes and takes, by tray and arm."""
    grafts, takes = np.zeros(layout.counts.shape), np.zeros(layout.counts.shape)
    seen = ~np.isnan(known)
    np.add.at(grafts, (layout.tray[seen], layout.arm[seen]), 1.0)
    np.add.at(takes, (layout.tray[seen], layout.arm[seen]), known[seen])
    return grafts, takes


def _arms(layout: TrialLayout, known: Float) -> tuple[ArmResult, ...]:
    results = []
    for arm, name in enumerate(layout.arms):
        mine = known[layout.arm == arm]
        seen = mine[~np.isnan(mine)]
        takes = int(seen.sum())
        share = takes / seen.size if seen.size else math.nan
        results.append(ArmResult(name, int(seen.size), takes, int(mine.size - seen.size), share, *wilson_interval(takes, seen.size)))
    return tuple(results)


def _compared(layout: TrialLayout, interaction: bool) -> str:
    if layout.whole_tray:
        return "whole trays"
    return "differences between trays" if interaction else "grafts inside trays"


def _warnings(
    layout: TrialLayout, arms: tuple[ArmResult, ...], comparisons: tuple[ArmComparison, ...], interaction: bool, significance: float
) -> list[str]:
    said = []
    unknown = sum(arm.unknown for arm in arms)
    if unknown:
        said.append(
            several(
                unknown,
                "{count} outcome is not known ({by_arm}) and is left out; if it was lost because it failed, this misleads.",
                "{count} outcomes are not known ({by_arm}) and are left out; if they were lost because they failed, this misleads.",
                by_arm=", ".join(say("{number} with {arm}", number=arm.unknown, arm=arm.name) for arm in arms),
            )
        )
    if layout.whole_tray or interaction:
        return said
    for pair in comparisons:
        claimed = pair.verdict in (Verdict.FIRST_BETTER, Verdict.SECOND_BETTER)
        if claimed and not pair.p_value_by_tray < significance:
            said.append(
                say(
                    "The domes do not agree well enough on {first} against {second}: it holds if the treatment works alike in all "
                    "domes, and is not sure if it may work differently from dome to dome.",
                    first=pair.first,
                    second=pair.second,
                )
            )
    return said


def _assumptions(layout: TrialLayout, interaction: bool, significance: float, priors: tuple[float, float]) -> tuple[str, ...]:
    said = [
        say(
            "A difference is claimed when one so large would come by luck in fewer than {significance:.0%} of trials without any "
            "(common practice, no source).",
            significance=significance,
        ),
        say(
            "The chance that one is the better supposes that large differences are rare (log odds ratio normal around 0, standard "
            "deviation {sd:g}); the size and its range suppose next to nothing ({size_sd:g}), so that they follow what was counted "
            "(project defaults, unsourced).",
            sd=priors[0],
            size_sd=priors[1],
        ),
        say("The outcomes are looked at once, when all are in; looks on the way have a rule of their own."),
    ]
    if layout.whole_tray:
        said.append(
            say("Domes differ: by a half-normal amount of scale {scale:g} in log odds (project default, unsourced).", scale=TRAY_PRIOR_SD)
        )
    elif interaction:
        said.append(
            say(
                "What it does may differ from dome to dome (log odds ratio: by a half-normal amount of scale {scale:g}; project "
                "default, unsourced).",
                scale=SPREAD_PRIOR_SD,
            )
        )
    else:
        said.append(say("The treatment changes the odds of a take alike in every dome."))
    return tuple(said)
