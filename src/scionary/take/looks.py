"""Looking at a trial while it still runs: go on, claim, or stop.

Whoever looks often and stops at the first good moment finds differences that are none. The rule here is made for looks every so many
grafts an arm: a claim needs more than 99 % certainty, starting from a prior that makes large differences rare. When nothing is waited for
any more the test of `analyse_trial` decides, and the chance of a claim at the end is the chance that this test will claim.
"""

from __future__ import annotations

import math
import operator
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import say
from scionary.take.effect import PRIOR_SD, SIZE_PRIOR_SD, Effect, common_effect, share_difference
from scionary.take.intervals import check_counts, check_share
from scionary.take.stratified import stratified_excess, stratified_test
from scionary.units import Float, refuse_where

_DIFFERENCES, _LEVELS = 25, 5


class LookVerdict(StrEnum):
    """What to do after a look."""

    GO_ON = "go on"
    CLAIM = "claim"
    STOP = "stop: unlikely to be told apart"
    ENDED = "ended: not told apart"


@dataclass(frozen=True)
class LookRule:
    """When to claim and when to stop (project default, unsourced; what it does is simulated in `benchmarks/take_trials.py`).

    Attributes
    ----------
    every : int
        Grafts an arm between looks, and before the first; a trial that ends at so many is judged once, at its end.
    claim : float
        Chance that an arm is the better one, above which it is claimed; more than one half.
    futility : float
        Chance of a claim at the end, below which the trial stops.
    prior_sd : float
        Standard deviation of the log odds ratio before any record.
    significance : float
        Of the test that decides at the end, as in `analyse_trial`.
    """

    every: int = 20
    claim: float = 0.99
    futility: float = 0.05
    prior_sd: float = PRIOR_SD
    significance: float = 0.05


@dataclass(frozen=True)
class TrialLook:
    """One look at a trial that runs.

    Attributes
    ----------
    an_arm : int
        Known outcomes of the arm that has fewer.
    at_most : int
        Grafts an arm at which the trial ends.
    difference, low, high : float
        Second take probability minus first at the trial's mean rate: median and central 90 % range, with the wide prior of sizes.
    chance_second_better : float
        Chance that the second arm's odds of a take are the higher ones.
    chance_of_claim : float
        Chance that there will be a claim when the trial goes on to its end; 1 after a claim, 0 at the end without one.
    verdict : LookVerdict
        What to do.
    next_look : int or None
        Grafts an arm at the next look; None when there is none.
    words : str
        The same in a sentence.
    assumptions : tuple of str
        What was supposed, one sentence each.
    """

    an_arm: int
    at_most: int
    difference: float
    low: float
    high: float
    chance_second_better: float
    chance_of_claim: float
    verdict: LookVerdict
    next_look: int | None
    words: str
    assumptions: tuple[str, ...]


def look_at_trial(grafts: Any, takes: Any, *, at_most: int = 240, waiting: Any = None, rule: LookRule | None = None) -> TrialLook:
    """Look at a trial of two arms that still runs, and say what to do.

    Parameters
    ----------
    grafts : array_like, shape (2,) or (trays, 2)
        Grafts with a known outcome, by arm, or by tray and arm when the arms stand beside each other in trays.
    takes : array_like, same shape
        Takes among them.
    at_most : int
        Grafts an arm at which the trial ends; 1 or more.
    waiting : array_like, shape (2,), optional
        Grafts of each arm whose outcome is still to come; what is left up to `at_most` without it.
    rule : LookRule, optional
        When to claim and when to stop.

    Returns
    -------
    TrialLook
        Verdict, size and chances. Before the first look is due the verdict is to go on, whatever the counts; at the end it is that of the
        test of `analyse_trial`.

    Raises
    ------
    BadValue
        When a count cannot be, or an argument is out of its range.

    Notes
    -----
    The chance of a claim at the end is a predictive power (Spiegelhalter, Freedman & Blackburn (1986), Controlled Clinical Trials 7, 8-17;
    citation from memory): every number of takes that may still come is weighed by what is known, and the final test is put to each. What
    comes changes the test's excess and variance as it would in a single tray. Not for treatments given to whole trays.
    """
    known, took = _tables(grafts, takes)
    used = _checked(rule or LookRule())
    limit = _whole("at_most", at_most)
    totals, sums = known.sum(axis=0), took.sum(axis=0)
    rest = _rest(waiting, totals, limit)
    effect = common_effect(known, took, prior_sd=used.prior_sd)
    size = common_effect(known, took, prior_sd=SIZE_PRIOR_SD)
    an_arm, better = int(totals.min()), effect.chance_above(0.0)
    to_come = _chance_of_claim(effect, known, took, rest, used) if rest.sum() else float(stratified_test(known, took) < used.significance)
    verdict = _verdict(an_arm, better, to_come, limit, bool(rest.sum()), used)
    if verdict is LookVerdict.CLAIM:
        to_come = 1.0
    ends = share_difference(size.quantile([0.5, 0.05, 0.95]), float(np.mean((sums + 0.5) / (totals + 1.0))))
    next_look = min((an_arm // used.every + 1) * used.every, limit) if verdict is LookVerdict.GO_ON else None
    middle, low, high = (float(end) for end in ends)
    go_on = _next_words(an_arm, limit, next_look, to_come, used)
    words = _words(verdict, better, (middle, low, high), to_come, go_on, looked=min(an_arm, limit - 1) >= used.every)
    return TrialLook(an_arm, limit, middle, low, high, better, to_come, verdict, next_look, words, _assumptions(used, limit))


def _rest(waiting: Any, totals: Float, at_most: int) -> Float:
    """Grafts of each arm that are still to come."""
    if waiting is None:
        return np.maximum(at_most - totals, 0.0)
    rest = np.asarray(waiting, dtype=float)
    if rest.shape != (2,) or not np.all(np.isfinite(rest) & (rest >= 0.0) & (rest == np.floor(rest))):
        raise BadValue("waiting", waiting, "two whole numbers, 0 or more")
    return rest


def _verdict(an_arm: int, better: float, to_come: float, at_most: int, waiting: bool, rule: LookRule) -> LookVerdict:
    if not waiting:
        return LookVerdict.CLAIM if to_come else LookVerdict.ENDED
    if an_arm < rule.every or at_most <= rule.every:
        return LookVerdict.GO_ON
    if max(better, 1.0 - better) > rule.claim:
        return LookVerdict.CLAIM
    return LookVerdict.STOP if to_come < rule.futility else LookVerdict.GO_ON


def _chance_of_claim(effect: Effect, grafts: Float, takes: Float, rest: Float, rule: LookRule) -> float:
    """Chance that the test at the end will claim a difference, over all that may still come."""
    from scipy.special import ndtri

    first, second = (np.arange(int(count) + 1) for count in rest)
    totals, sums = grafts.sum(axis=0), takes.sum(axis=0)
    excess, variance = stratified_excess(grafts, takes)
    now = _pooled(totals, sums[0], sums[1])
    end = _pooled(totals + rest, sums[0] + first[:, None], sums[1] + second[None, :])
    excess_then, variance_then = excess + end[0] - now[0], np.maximum(variance + end[1] - now[1], 0.0)
    edge = float(ndtri(1.0 - rule.significance / 2.0))
    claims = (variance_then > 0.0) & (excess_then**2 > edge**2 * variance_then)
    weight, ahead = _ahead(effect, totals, sums, rest)
    chances = ((ahead[0] @ claims.astype(float)) * ahead[1]).sum(axis=1)
    return min(max(float(weight @ chances), 0.0), 1.0)


def _pooled(totals: Float, first: Any, second: Any) -> tuple[Any, Any]:
    """Excess of the second arm's takes and its variance, all in one tray."""
    size, took = float(totals.sum()), first + second
    if totals.min() == 0.0:
        return 0.0 * took, 0.0 * took
    return second - totals[1] * took / size, totals.prod() * took * (size - took) / (size**2 * (size - 1.0))


def _ahead(effect: Effect, totals: Float, sums: Float, rest: Float) -> tuple[Float, tuple[Float, Float]]:
    """Chances of every number of takes to come in each arm, by difference and level; and what these weigh."""
    from scipy.special import expit, gammaln, logit

    share = float((sums.sum() + 0.5) / (totals.sum() + 1.0))
    nodes, weights = np.polynomial.hermite_e.hermegauss(_LEVELS)
    levels = logit(share) + nodes / math.sqrt((totals.sum() + 1.0) * share * (1.0 - share))
    apart = effect.quantile((np.arange(_DIFFERENCES) + 0.5) / _DIFFERENCES)
    chances = []
    for half, count in zip((-0.5, 0.5), rest, strict=True):
        rate = np.clip(expit(np.add.outer(half * apart, levels)).ravel(), 1e-9, 1.0 - 1e-9)[:, None]
        seen = np.arange(int(count) + 1)
        ways = gammaln(count + 1.0) - gammaln(seen + 1.0) - gammaln(count - seen + 1.0)
        chances.append(np.exp(ways + seen * np.log(rate) + (count - seen) * np.log1p(-rate)))
    weight = np.outer(np.full(_DIFFERENCES, 1.0 / _DIFFERENCES), weights / weights.sum()).ravel()
    return weight, (chances[0], chances[1])


def _next_words(an_arm: int, at_most: int, next_look: int | None, to_come: float, rule: LookRule) -> str:
    """Why to go on, and until when."""
    chance = _percent(to_come)
    if at_most <= rule.every:
        return say("it is judged once, when all outcomes are known (chance of a claim then {chance}).", chance=chance)
    if an_arm < rule.every:
        return say("it is too early to judge; look when {every} of each are known.", every=rule.every)
    if next_look == at_most:
        return say("look again when all outcomes are known (chance of a claim at the end {chance}).", chance=chance)
    return say("look again when {number} of each are known (chance of a claim at the end {chance}).", number=next_look, chance=chance)


def _words(verdict: LookVerdict, better: float, ends: tuple[float, float, float], to_come: float, go_on: str, *, looked: bool) -> str:
    arm, chance = (say("the second arm"), better) if better >= 0.5 else (say("the first arm"), 1.0 - better)
    sure = say("{arm} takes better with a chance of {chance}", arm=arm, chance=_percent(chance))
    if verdict is LookVerdict.CLAIM:
        middle, low, high = ends if better >= 0.5 else (-ends[0], -ends[2], -ends[1])
        return say(
            "Claim it: {sure}; in 100 grafts that is about {middle:.0f} more ({low:.0f} to {high:.0f}).",
            sure=sure,
            middle=100 * middle,
            low=100 * low,
            high=100 * high,
        )
    if verdict is LookVerdict.STOP:
        chance_left = _percent(to_come)
        return say(
            "Stop: {sure}, and going on to the end would tell them apart with a chance of only {chance}.", sure=sure, chance=chance_left
        )
    if verdict is LookVerdict.ENDED:
        return say("The trial has ended without telling them apart: {sure}, which is not enough.", sure=sure)
    if looked:
        return say("Go on: {sure}, which is not enough yet; {go_on}", sure=sure, go_on=go_on)
    return say("Go on: {go_on}", go_on=go_on)


def _percent(chance: float) -> str:
    if chance > 0.999 or chance < 0.001:
        return say("more than 99.9 %") if chance > 0.5 else say("less than 0.1 %")
    return f"{100 * chance:.1f} %" if chance > 0.985 or chance < 0.015 else f"{100 * chance:.0f} %"


def _assumptions(rule: LookRule, at_most: int) -> tuple[str, ...]:
    if at_most <= rule.every:
        when = say(
            "The trial is looked at once, at the end: looks on the way begin at {every} known of each (project default, unsourced).",
            every=rule.every,
        )
    else:
        when = say(
            "Looks come every {every} known of each; a claim then needs a chance above {claim:.1%}, and the trial stops when a "
            "claim at its end has a chance below {futility:.0%} (project default, unsourced). At the end the usual "
            "test of a trial decides.",
            every=rule.every,
            claim=rule.claim,
            futility=rule.futility,
        )
    return (
        when,
        say(
            "What is still to come is foreseen as if large differences were rare (log odds ratio normal around 0, standard deviation "
            "{sd:g}; project default, unsourced).",
            sd=rule.prior_sd,
        ),
        say("What is compared fills up side by side, and it changes the odds of a take alike in every dome."),
    )


def _tables(grafts: Any, takes: Any) -> tuple[Float, Float]:
    took, known = check_counts("takes", takes, "grafts", grafts)
    if known.ndim not in (1, 2) or known.shape[-1] != 2 or np.shape(grafts) != np.shape(takes):
        raise BadValue("grafts", f"of shape {known.shape}", "one number for each of two arms, or rows of two, one row a tray")
    refuse_where(np.isnan(known) | np.isnan(took), "grafts and takes", known, "whole numbers; leave out grafts whose outcome is not known")
    return known.reshape(-1, 2), took.reshape(-1, 2)


def _checked(rule: LookRule) -> LookRule:
    _whole("every", rule.every)
    if not 0.5 < rule.claim < 1.0:
        raise BadValue("claim", rule.claim, "more than 0.5 and less than 1")
    check_share("futility", rule.futility)
    check_share("significance", rule.significance)
    if not 0.0 < rule.prior_sd < math.inf:
        raise BadValue("prior_sd", rule.prior_sd, "more than 0")
    return rule


def _whole(name: str, value: int) -> int:
    try:
        number = operator.index(value)
    except TypeError as error:
        raise BadValue(name, value, "a whole number, 1 or more") from error
    if number < 1:
        raise BadValue(name, value, "a whole number, 1 or more")
    return number
