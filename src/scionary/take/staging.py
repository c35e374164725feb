"""A few pieces of wood, and a name worth keeping: how to stage the grafts so that at least one takes.

Grafts of one bench day, one dome or one method share its luck. Split over several, they do not fail together. Splitting does not change
how many take on average; it makes it rarer that none does. How much it helps depends on how far days, domes and methods differ, which
the records say: the standard deviations of the mixed model go in here.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import both, say, several
from scionary.units import Float, check_range, refuse_where

FACTORS = ("season", "day", "dome", "method")
SAMPLES = 40_000


@dataclass(frozen=True)
class Batch:
    """Grafts that share a bench day, a dome and a method, each counted from 0."""

    grafts: int
    day: int = 0
    dome: int = 0
    method: int = 0


@dataclass(frozen=True)
class Staging:
    """A way to stage the grafts of one name: its name, its batches, and what it costs, in words."""

    name: str
    batches: tuple[Batch, ...]
    costs: tuple[str, ...] = ()

    @property
    def grafts(self) -> int:
        """Grafts in all."""
        return sum(batch.grafts for batch in self.batches)


@dataclass(frozen=True)
class StagingChance:
    """What a staging promises.

    Attributes
    ----------
    staging : Staging
        The staging.
    chance : float
        Chance that at least one graft takes.
    error : float
        Standard error of that chance from the number of draws.
    expected_takes : float
        Mean number of takes.
    """

    staging: Staging
    chance: float
    error: float
    expected_takes: float

    @property
    def words(self) -> str:
        """The chance in a sentence."""
        share = f"{100 * self.chance:.0f}" if self.chance < 0.995 else say("more than 99")
        name = self.staging.name[:1].upper() + self.staging.name[1:]
        return say(
            "{staging}: in {cases} of 100 such cases at least one of {grafts} takes.", staging=name, cases=share, grafts=self.staging.grafts
        )


def survival_chance(
    staging: Staging,
    log_odds_draws: Any,
    shock_sds: Mapping[str, Any],
    *,
    offsets: Mapping[str, Any] | None = None,
    rng: int | np.random.Generator,
) -> StagingChance:
    """Give the chance that at least one graft of a staging takes.

    Parameters
    ----------
    staging : Staging
        Batches of one or more grafts each.
    log_odds_draws : array_like, shape (draws,)
        Equally likely log odds of a take for this name in a middling season, day, dome and method; a number when they are known.
    shock_sds : mapping of str to array_like, shape (draws,) or a number
        Standard deviation, in log odds, of what all grafts of one season, day, dome or method share; keys out of `FACTORS`, those left
        out share nothing. Given as draws, they belong to the draws of the log odds one by one.
    offsets : mapping of str to array_like, shape (levels,) or (draws, levels), optional
        Known differences in log odds between days (stored wood, say), domes or methods, for level 0, 1, ...
    rng : int or Generator
        Seed or generator. The same seed gives the same luck to every staging.

    Returns
    -------
    StagingChance
        Chance, its simulation error, and the mean number of takes.

    Raises
    ------
    BadValue
        When a batch has no graft or no such level, or draws are missing, negative where they cannot be, or do not fit each other.

    Notes
    -----
    Mean over draws and shared shocks of 1 - Π (1 - p_b)^n_b over batches b of n_b grafts. Within a batch grafts are independent, given
    what they share. All grafts are of one season.
    """
    model = _Model.checked(log_odds_draws, shock_sds, offsets or {}, _levels([staging]), np.random.default_rng(rng))
    return model.chance_of(staging)


def rank_stagings(
    stagings: Sequence[Staging],
    log_odds_draws: Any,
    shock_sds: Mapping[str, Any],
    *,
    offsets: Mapping[str, Any] | None = None,
    rng: int | np.random.Generator,
) -> tuple[StagingChance, ...]:
    """Compare stagings by the chance that at least one graft takes, all on the same draws of luck.

    Parameters
    ----------
    stagings : sequence of Staging
        One or more, from `ready_stagings` or made by hand.
    log_odds_draws, shock_sds, offsets, rng
        As in `survival_chance`.

    Returns
    -------
    tuple of StagingChance
        The surest first; of equal ones the one with fewer batches.

    Raises
    ------
    BadValue
        As in `survival_chance`, and when there is no staging.
    """
    if not stagings:
        raise BadValue("stagings", stagings, "one or more")
    model = _Model.checked(log_odds_draws, shock_sds, offsets or {}, _levels(stagings), np.random.default_rng(rng))
    chances = [model.chance_of(staging) for staging in stagings]
    return tuple(sorted(chances, key=lambda one: (-round(one.chance, 9), len(one.staging.batches))))


def ready_stagings(grafts: int, *, days: int = 1, domes: int = 1, methods: int = 1) -> tuple[Staging, ...]:
    """List the ways to stage so many grafts over the days, domes and methods that there are.

    Parameters
    ----------
    grafts : int
        Grafts that the wood gives, 1 or more.
    days, domes, methods : int
        How many of each could be used, 1 or more.

    Returns
    -------
    tuple of Staging
        Everything at once first, then every choice of what to split over. Split parts go together, the first day into the first dome and
        so on: crossing them saves about as much for more work.

    Raises
    ------
    BadValue
        When a number is below 1 or no whole number.
    """
    total = _whole("grafts", grafts)
    parts = {"day": _whole("days", days), "dome": _whole("domes", domes), "method": _whole("methods", methods)}
    parts = {factor: min(count, total) for factor, count in parts.items() if min(count, total) > 1}
    stagings = [Staging(say("everything at once"), (Batch(total),), (say("One bad day, dome or cut takes all of it."),))]
    for size in range(1, len(parts) + 1):
        stagings += [_split(total, {factor: parts[factor] for factor in chosen}) for chosen in combinations(parts, size)]
    return tuple(stagings)


def _split(grafts: int, parts: dict[str, int]) -> Staging:
    batches = min(grafts, math.lcm(*parts.values()))
    rounds, left = divmod(grafts, batches)
    levels = ({factor: number % count for factor, count in parts.items()} for number in range(batches))
    made = tuple(Batch(rounds + (number < left), **level) for number, level in enumerate(levels))
    spoken = both(_part(factor, count) for factor, count in parts.items())
    return Staging(say("split over {parts}", parts=spoken), made, tuple(_cost(factor, count) for factor, count in parts.items()))


def _cost(factor: str, count: int) -> str:
    if factor == "day":
        return several(count, "{count} bench day", "{count} bench days; the wood must keep, cold and moist, until the last.")
    if factor == "dome":
        return several(count, "{count} dome", "{count} domes to look after for a few grafts each.")
    return several(count, "{count} method", "{count} methods; each must be in the hand already, a first try at a new one takes less often.")


def _part(factor: str, count: int) -> str:
    if factor == "day":
        return several(count, "{count} day", "{count} days")
    return several(count, "{count} dome", "{count} domes") if factor == "dome" else several(count, "{count} method", "{count} methods")


@dataclass(frozen=True)
class _Model:
    """Draws of the log odds, and of every level's shock: (samples,) and (samples, levels) a factor."""

    log_odds: Float
    shocks: dict[str, Float]
    draws: int

    @classmethod
    def checked(
        cls,
        log_odds_draws: Any,
        shock_sds: Mapping[str, Any],
        offsets: Mapping[str, Any],
        levels: dict[str, int],
        generator: np.random.Generator,
    ) -> _Model:
        """Check what came in and draw the shocks, for each draw as many times as make `SAMPLES`."""
        draws = _finite("log_odds_draws", np.ravel(check_range("log_odds_draws", log_odds_draws, -np.inf, np.inf)))
        if draws.size == 0:
            raise BadValue("log_odds_draws", log_odds_draws, "one or more numbers, none missing")
        for name, given in (("shock_sds", shock_sds), ("offsets", offsets)):
            if unknown := [key for key in given if key not in FACTORS]:
                raise BadValue(name, unknown[0], f"keys out of {', '.join(FACTORS)}")
        repeats = -(-SAMPLES // draws.size)
        shocks = {}
        # a stream a factor: how many days there are does not change the luck of the domes
        for factor, stream in zip(FACTORS, generator.spawn(len(FACTORS)), strict=True):
            sd = _finite("shock_sds", check_range("shock_sds", shock_sds.get(factor, 0.0), 0.0, np.inf))
            if sd.ndim and sd.shape != draws.shape:
                raise BadValue("shock_sds", f"{sd.size} numbers for {factor}", f"one number, or one for each of {draws.size} draws")
            luck = stream.standard_normal((levels[factor], repeats * draws.size)).T
            shocks[factor] = luck * np.tile(np.broadcast_to(sd, draws.shape), repeats)[:, None]
            if factor in offsets:
                shocks[factor] = shocks[factor] + _offset(factor, offsets[factor], levels[factor], draws.size, repeats)
        return cls(np.tile(draws, repeats), shocks, draws.size)

    def chance_of(self, staging: Staging) -> StagingChance:
        """Chance that something takes, its error, and the mean number of takes."""
        log_none, takes = np.zeros_like(self.log_odds), 0.0
        for batch in staging.batches:
            log_odds = self.log_odds + self.shocks["season"][:, 0]
            for factor in ("day", "dome", "method"):
                log_odds = log_odds + self.shocks[factor][:, getattr(batch, factor)]
            log_failure = -np.logaddexp(0.0, log_odds)
            log_none += batch.grafts * log_failure
            takes += batch.grafts * float(np.mean(-np.expm1(log_failure)))
        survived = -np.expm1(log_none)
        by_draw = survived.reshape(-1, self.draws).mean(axis=0) if self.draws > 1 else survived
        return StagingChance(staging, float(survived.mean()), float(by_draw.std() / math.sqrt(by_draw.size)), takes)


def _offset(factor: str, offset: Any, levels: int, draws: int, repeats: int) -> Float:
    values = _finite("offsets", check_range("offsets", offset, -np.inf, np.inf))
    if values.ndim not in (1, 2) or values.shape[-1] < levels or (values.ndim == 2 and len(values) != draws):
        allowed = f"{levels} or more numbers, or as many in each of {draws} rows"
        raise BadValue("offsets", f"an array of shape {values.shape} for {factor}", allowed)
    return np.tile(np.broadcast_to(values[..., :levels], (draws, levels)), (repeats, 1))


def _levels(stagings: Sequence[Staging]) -> dict[str, int]:
    """How many levels of each factor the stagings use."""
    levels = dict.fromkeys(FACTORS, 1)
    for staging in stagings:
        if not staging.batches:
            raise BadValue("batches", staging.batches, "one or more")
        for batch in staging.batches:
            _whole("grafts", batch.grafts)
            for factor in ("day", "dome", "method"):
                levels[factor] = max(levels[factor], _whole(factor, getattr(batch, factor), least=0) + 1)
    return levels


def _finite(name: str, numbers: Float) -> Float:
    refuse_where(~np.isfinite(numbers), name, numbers, "finite numbers, none missing")
    return numbers


def _whole(name: str, value: int, least: int = 1) -> int:
    try:
        number = operator.index(value)
    except TypeError as error:
        raise BadValue(name, value, f"a whole number, {least} or more") from error
    if number < least:
        raise BadValue(name, value, f"a whole number, {least} or more")
    return number
