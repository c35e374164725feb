"""What an early sign is worth: a leaf stalk that drops, a bud that moves, callus that is seen.

A sign is the take seen through a dim glass: some takes do not show it, some failures do. Growers follow up the plants that show it and
throw the others away, so what can be learned straight from plants with a known end is bent: hardly any "no" has one. What survives the
throwing away is the chance of a take *given* the sign, and how often the sign is seen at all; sensitivity and specificity are computed
from those three.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.language import mark, say
from scionary.take.intervals import check_share
from scionary.take.pooling import RateRange
from scionary.units import Float, as_floats, refuse_where

Index = npt.NDArray[np.int64]
NOT_SEEN = -1
_NEVER = 1e-12  # no sign is surer than this


@dataclass(frozen=True)
class SignPrior:
    """What is supposed of a sign before any plant is seen (project default, unsourced).

    Each of the three is a beta distribution, given as two numbers that count like plants seen.

    Attributes
    ----------
    take_if_yes : tuple of float
        Takes and failures among plants that show the sign.
    take_if_no : tuple of float
        Takes and failures among plants that do not.
    yes_share : tuple of float
        Plants that show the sign, and plants that do not.
    about : str
        The sign in words.
    source : str
        Where the numbers are from, in words.
    """

    take_if_yes: tuple[float, float] = (1.5, 0.5)
    take_if_no: tuple[float, float] = (0.5, 1.5)
    yes_share: tuple[float, float] = (1.0, 1.0)
    about: str = "an early sign"
    source: str = "project default, unsourced"

    def __post_init__(self) -> None:
        """Refuse what is no beta distribution."""
        for name in ("take_if_yes", "take_if_no", "yes_share"):
            pair = getattr(self, name)
            if len(pair) != 2 or not all(np.isfinite(number) and number > 0 for number in pair):
                raise BadValue(name, pair, "two numbers above 0")

    def words(self) -> tuple[str, ...]:
        """Say the assumptions, one sentence each."""
        yes, no, share = (pair[0] / sum(pair) for pair in (self.take_if_yes, self.take_if_no, self.yes_share))
        weights = [sum(pair) for pair in (self.take_if_yes, self.take_if_no, self.yes_share)]
        return (
            say(
                "Before any plant is seen, {about}: {yes:.0%} of plants that show it take, {no:.0%} of those that do not, and "
                "{share:.0%} show it; these count like {first:.2g}, {second:.2g} and {third:.2g} plants seen ({source}).",
                about=say(self.about),
                yes=yes,
                no=no,
                share=share,
                first=weights[0],
                second=weights[1],
                third=weights[2],
                source=say(self.source),
            ),
            say("Which plants were followed up to their end depended on the sign alone, on nothing else that bears on the take."),
        )


SIGN_PRIORS: Mapping[str, SignPrior] = MappingProxyType(
    {
        "stalk_drops": SignPrior(
            (1.5, 0.5),
            (0.5, 1.5),
            (1.5, 0.5),
            mark("a leaf stalk that drops at a touch (it says that the scion is alive, not that it is united)"),
        ),
        "bud_moving": SignPrior(
            (1.6, 0.4), (0.9, 1.1), (0.9, 1.1), mark("a bud that moves (scions also leaf on their reserves and collapse)")
        ),
        "callus_seen": SignPrior((1.7, 0.3), (0.7, 1.3), (1.0, 1.0), mark("callus seen at the union")),
    }
)


@dataclass(frozen=True)
class SignEvidence:
    """What signs say of plants: log likelihoods, as draws, because a sign's accuracy is not known for sure.

    Attributes
    ----------
    kind : ndarray of int, shape (plants,)
        Which column speaks of the plant; -1 where nothing was seen.
    if_taken, if_lost : ndarray, shape (draws, kinds)
        Log probability of what was seen, were the plant a take, and were it a failure. Row d of both belongs to one draw of accuracy.
    assumptions : tuple of str
        What was supposed, one sentence each.
    """

    kind: Index
    if_taken: Float
    if_lost: Float
    assumptions: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        """Refuse arrays that do not fit each other."""
        if self.kind.ndim != 1 or self.if_taken.ndim != 2 or self.if_taken.shape != self.if_lost.shape or not len(self.if_taken):
            raise BadValue("evidence", (self.kind.shape, self.if_taken.shape, self.if_lost.shape), "shapes (plants,), (draws, kinds) twice")
        if self.kind.size and not NOT_SEEN <= self.kind.min() <= self.kind.max() < self.if_taken.shape[1]:
            raise BadValue("evidence kind", int(self.kind.max()), f"-1 to {self.if_taken.shape[1] - 1}")
        if np.isnan(self.if_taken).any() or np.isnan(self.if_lost).any():
            raise BadValue("evidence", "a missing log likelihood", "numbers; leave plants without a sign at kind -1")


@dataclass(frozen=True)
class SignAccuracy:
    """How well a sign tells takes from failures.

    Attributes
    ----------
    sensitivity, specificity : RateRange
        Share of takes that show the sign; share of failures that do not. The mean is expected shares divided by one another, which
        is the chance that a further take (failure) shows (does not show) it.
    take_if_yes, take_if_no : RateRange
        Chance of a take given the sign, among plants such as those seen here.
    yes_share : RateRange
        Share of plants that show the sign.
    sensitivity_draws, specificity_draws : ndarray, shape (draws,)
        Draws that belong together: pass both on.
    counts : dict of str to int
        Plants by sign and end: ``yes_taken``, ``yes_lost``, ``yes_unknown``, ``no_taken``, ``no_lost``, ``no_unknown``.
    confidence : float
        Probability inside each range.
    assumptions : tuple of str
        What was supposed, one sentence each.
    """

    sensitivity: RateRange
    specificity: RateRange
    take_if_yes: RateRange
    take_if_no: RateRange
    yes_share: RateRange
    sensitivity_draws: Float
    specificity_draws: Float
    counts: dict[str, int]
    confidence: float
    assumptions: tuple[str, ...]

    def evidence(self, signs: Any) -> SignEvidence:
        """Turn the sign, scored on plants, into evidence about them.

        Parameters
        ----------
        signs : array_like, shape (plants,)
            1 sign seen, 0 not, NaN not scored.

        Returns
        -------
        SignEvidence
            Column 0 is "no", column 1 "yes".

        Raises
        ------
        BadValue
            When a sign is something else.
        """
        scored = zero_one("signs", signs)
        seen, unseen = (np.clip(draws, _NEVER, 1.0 - _NEVER) for draws in (self.sensitivity_draws, 1.0 - self.specificity_draws))
        return SignEvidence(
            kind=np.where(np.isnan(scored), NOT_SEEN, np.nan_to_num(scored)).astype(np.int64),
            if_taken=np.log(np.column_stack([1.0 - seen, seen])),
            if_lost=np.log(np.column_stack([1.0 - unseen, unseen])),
            assumptions=self.assumptions,
        )


def score_signs(
    signs: Any,
    truths: Any,
    prior: SignPrior | None = None,
    *,
    confidence: float = 0.9,
    draws: int = 4000,
    rng: int | np.random.Generator = 0,
) -> SignAccuracy:
    """Estimate sensitivity and specificity of an early sign when most plants without it were thrown away unseen.

    Parameters
    ----------
    signs : array_like, shape (plants,)
        1 sign seen, 0 not seen, NaN not scored (such a plant says nothing here).
    truths : array_like, shape (plants,)
        1 took, 0 failed, NaN not followed up.
    prior : SignPrior, optional
        What is supposed before any plant is seen; `SIGN_PRIORS` has one for each known sign.
    confidence : float
        Probability inside each range.
    draws : int
        Number of draws, 1 or more.
    rng : int or Generator
        Seed or generator.

    Returns
    -------
    SignAccuracy
        Estimates, ranges and draws.

    Raises
    ------
    BadValue
        When an argument is out of its range or the arrays differ in length.

    Notes
    -----
    With q the share of "yes", u and v the chance of a take given yes and no: Se = u q / (u q + v (1 - q)) and
    Sp = (1 - v)(1 - q) / ((1 - v)(1 - q) + (1 - u) q). Unverified plants then leave no bias as long as verification depends on the
    sign alone: Begg & Greenes (1983), Biometrics 39, 207-215. The three have independent beta posteriors.
    """
    used, share, generator = prior or SignPrior(), check_share("confidence", confidence), np.random.default_rng(rng)
    if draws < 1:
        raise BadValue("draws", draws, "1 or more")
    counts = _counts(signs, truths)
    yes, no = sum(counts[f"yes_{end}"] for end in _ENDS), sum(counts[f"no_{end}"] for end in _ENDS)
    shapes = tuple(
        (before[0] + first, before[1] + second)
        for before, first, second in (
            (used.take_if_yes, counts["yes_taken"], counts["yes_lost"]),
            (used.take_if_no, counts["no_taken"], counts["no_lost"]),
            (used.yes_share, yes, no),
        )
    )
    columns = [np.clip(generator.beta(*shape, size=draws), _NEVER, 1.0 - _NEVER) for shape in shapes]
    means = [first / (first + second) for first, second in shapes]
    sensitivity, specificity = _inverted(*columns)
    best = _inverted(*(np.asarray(mean) for mean in means))
    ranges = [_range(float(mean), column, share) for mean, column in zip(means, columns, strict=True)]
    return SignAccuracy(
        sensitivity=_range(float(best[0]), sensitivity, share),
        specificity=_range(float(best[1]), specificity, share),
        take_if_yes=ranges[0],
        take_if_no=ranges[1],
        yes_share=ranges[2],
        sensitivity_draws=sensitivity,
        specificity_draws=specificity,
        counts=counts,
        confidence=share,
        assumptions=used.words() + _unfollowed(counts),
    )


def zero_one(name: str, values: Any) -> Float:
    """Check that values are 1, 0 or NaN, one a plant.

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    values : array_like, shape (plants,)
        What was given.

    Returns
    -------
    ndarray of float64
        The values.

    Raises
    ------
    BadValue
        Naming the first that is something else.
    """
    numbers = as_floats(name, values)
    if numbers.ndim != 1:
        raise BadValue(name, f"an array of {numbers.ndim} dimensions", "one number a plant")
    refuse_where(~np.isnan(numbers) & (numbers != 0.0) & (numbers != 1.0), name, numbers, "1, 0 or NaN")
    return numbers


_ENDS = ("taken", "lost", "unknown")


def _counts(signs: Any, truths: Any) -> dict[str, int]:
    seen, ends = zero_one("signs", signs), zero_one("truths", truths)
    if seen.shape != ends.shape:
        raise BadValue("truths", f"{ends.size} numbers", f"as many as signs ({seen.size})")
    return {
        f"{word}_{end}": int(np.sum((seen == sign) & reached))
        for word, sign in (("yes", 1.0), ("no", 0.0))
        for end, reached in zip(_ENDS, (ends == 1.0, ends == 0.0, np.isnan(ends)), strict=True)
    }


def _inverted(if_yes: Float, if_no: Float, yes: Float) -> tuple[Float, Float]:
    """Sensitivity and specificity from the chances of a take given the sign, and the sign's share."""
    taken, lost = if_yes * yes + if_no * (1.0 - yes), (1.0 - if_yes) * yes + (1.0 - if_no) * (1.0 - yes)
    return if_yes * yes / taken, (1.0 - if_no) * (1.0 - yes) / lost


def _range(mean: float, draws: Float, confidence: float) -> RateRange:
    low, high = np.quantile(draws, [(1.0 - confidence) / 2.0, (1.0 + confidence) / 2.0])
    return RateRange(mean, float(draws.std()), float(low), float(high))


_UNFOLLOWED = (
    ("yes", mark("No plant with the sign was followed up to its end: what became of them is the assumption above and nothing else.")),
    ("no", mark("No plant without the sign was followed up to its end: what became of them is the assumption above and nothing else.")),
)


def _unfollowed(counts: dict[str, int]) -> tuple[str, ...]:
    """Say where the prior stands alone."""
    return tuple(say(text) for word, text in _UNFOLLOWED if counts[f"{word}_taken"] + counts[f"{word}_lost"] == 0)
