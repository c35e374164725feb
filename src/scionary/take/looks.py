"""Looking at a trial while it still runs: go on, claim, or stop.

Whoever looks often and stops at the first good moment finds differences that are none. The rule here is made for looks every so many
grafts an arm: a claim needs more than 99 % certainty, starting from a prior that makes large differences rare.
"""

from __future__ import annotations

import math
import operator
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.take.effect import PRIOR_SD, Effect, common_effect, share_difference
from scionary.take.intervals import check_counts, check_share
from scionary.units import Float, refuse_where


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
        Grafts an arm between looks, and before the first.
    claim : float
        Chance that an arm is the better one, above which it is claimed; more than one half.
    futility : float
        Chance of a claim at the end, below which the trial stops.
    prior_sd : float
        Standard deviation of the log odds ratio before any record.
    """

    every: int = 20
    claim: float = 0.99
    futility: float = 0.05
    prior_sd: float = PRIOR_SD


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
        Second take probability minus first at the trial's mean rate: median and central 90 % range.
    chance_second_better : float
        Chance that the second arm's odds of a take are the higher ones.
    chance_of_claim : float
        Chance that there will be a claim when the trial goes on to its end; 1 after a claim, 0 at the end without one.
    verdict : LookVerdict
        What to do.
    next_look : int or None
        Grafts an arm at the next look; None when the trial is over.
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


def look_at_trial(grafts: Any, takes: Any, *, at_most: int = 240, rule: LookRule | None = None) -> TrialLook:
    """Look at a trial of two arms that still runs, and say what to do.

    Parameters
    ----------
    grafts : array_like, shape (2,) or (trays, 2)
        Grafts with a known outcome, by arm, or by tray and arm when the arms stand beside each other in trays.
    takes : array_like, same shape
        Takes among them.
    at_most : int
        Grafts an arm at which the trial ends; 1 or more.
    rule : LookRule, optional
        When to claim and when to stop.

    Returns
    -------
    TrialLook
        Verdict, size and chances. Before the first look is due the verdict is to go on, whatever the counts.

    Raises
    ------
    BadValue
        When a count cannot be, or an argument is out of its range.

    Notes
    -----
    The chance of a claim at the end is the predictive power of Spiegelhalter, Freedman & Blackburn (1986), Controlled Clinical Trials 7,
    8-17 (citation from memory): the posterior N(m, v) of the log odds ratio shrinks to variance w when the rest of the grafts is in, its
    mean will be N(m, v - w), and a claim is a mean beyond z √w. Not for treatments given to whole trays.
    """
    known, took = _tables(grafts, takes)
    used = _checked(rule or LookRule())
    limit = _whole("at_most", at_most)
    effect = common_effect(known, took, prior_sd=used.prior_sd)
    totals, sums = known.sum(axis=0), took.sum(axis=0)
    an_arm = int(totals.min())
    better = effect.chance_above(0.0)
    to_come = _chance_of_claim(effect, known, took, limit, used)
    verdict = _verdict(an_arm, better, to_come, limit, used)
    if verdict is LookVerdict.CLAIM:
        to_come = 1.0
    ends = share_difference(effect.quantile([0.5, 0.05, 0.95]), float(np.mean((sums + 0.5) / (totals + 1.0))))
    next_look = min((an_arm // used.every + 1) * used.every, limit) if verdict is LookVerdict.GO_ON else None
    middle, low, high = (float(end) for end in ends)
    words = _words(verdict, better, (middle, low, high), to_come, next_look)
    return TrialLook(an_arm, limit, middle, low, high, better, to_come, verdict, next_look, words, _assumptions(used))


def _verdict(an_arm: int, better: float, to_come: float, at_most: int, rule: LookRule) -> LookVerdict:
    if an_arm < min(rule.every, at_most):
        return LookVerdict.GO_ON
    if max(better, 1.0 - better) > rule.claim:
        return LookVerdict.CLAIM
    if an_arm >= at_most:
        return LookVerdict.ENDED
    return LookVerdict.STOP if to_come < rule.futility else LookVerdict.GO_ON


def _chance_of_claim(effect: Effect, grafts: Float, takes: Float, at_most: int, rule: LookRule) -> float:
    """Chance that the posterior at the end of the trial will be beyond the claim's threshold, on either side."""
    from scipy.special import ndtr, ndtri

    remaining = np.maximum(at_most - grafts.sum(axis=0), 0.0)
    if remaining.sum() == 0.0:
        return 0.0
    shares = (takes.sum(axis=0) + 0.5) / (grafts.sum(axis=0) + 1.0)
    information = remaining * shares * (1.0 - shares)
    # what comes in adds as much as a table of its own: 1 / (1 / I_1 + 1 / I_2), where an arm that is full adds to the other only
    before = grafts.sum(axis=0) * shares * (1.0 - shares)
    added = _harmonic(before + information) - _harmonic(before)
    now = effect.sd**2
    later = 1.0 / (1.0 / now + added)
    edge, scale = float(ndtri(rule.claim)) * math.sqrt(later), math.sqrt(max(now - later, 1e-12))
    return float(ndtr((effect.mean - edge) / scale) + ndtr((-effect.mean - edge) / scale))


def _harmonic(information: Float) -> float:
    return float(information.prod() / information.sum()) if information.sum() > 0.0 else 0.0


def _words(verdict: LookVerdict, better: float, ends: tuple[float, float, float], to_come: float, next_look: int | None) -> str:
    arm, chance = ("second", better) if better >= 0.5 else ("first", 1.0 - better)
    sure = f"the {arm} arm takes better with a chance of {_percent(chance)}"
    if verdict is LookVerdict.CLAIM:
        middle, low, high = ends if better >= 0.5 else (-ends[0], -ends[2], -ends[1])
        return f"Claim it: {sure}; in 100 grafts that is about {100 * middle:.0f} more ({100 * low:.0f} to {100 * high:.0f})."
    if verdict is LookVerdict.STOP:
        return f"Stop: {sure}, and going on to the end would tell the arms apart with a chance of only {_percent(to_come)}."
    if verdict is LookVerdict.ENDED:
        return f"The trial has ended without telling the arms apart: {sure}, which is not enough."
    return f"Go on: {sure}, which is not enough yet; look again at {next_look} an arm (chance of a claim at the end {_percent(to_come)})."


def _percent(chance: float) -> str:
    if chance > 0.999 or chance < 0.001:
        return "more than 99.9 %" if chance > 0.5 else "less than 0.1 %"
    return f"{100 * chance:.1f} %" if chance > 0.985 or chance < 0.015 else f"{100 * chance:.0f} %"


def _assumptions(rule: LookRule) -> tuple[str, ...]:
    return (
        f"Looks come every {rule.every} grafts an arm; a claim needs a chance above {rule.claim:.1%}, and the trial stops when a claim "
        f"at its end has a chance below {rule.futility:.0%} (project default, unsourced).",
        f"Before the trial, the log odds ratio of two arms is taken as normal around 0 with standard deviation {rule.prior_sd:g} "
        "(project default, unsourced).",
        "Arms fill up side by side, and the treatment changes the odds of a take alike in every tray.",
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
