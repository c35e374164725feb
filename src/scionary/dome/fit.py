"""Fit a dome to its own logger: which sizes explain what it read, and what cannot be told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from scionary.dome.fitted import PRIOR_SD, DomeFit, Doubt, fitted
from scionary.dome.inside import CENSORED_PCT, InsideAir, Seen, by_the_hour
from scionary.dome.kernel import Sizes, saturated
from scionary.dome.marching import Path, march
from scionary.dome.noise import Noise, learn_noise, noise_of
from scionary.dome.outside import Grid, OutsideAir, at_moments, even_moments
from scionary.dome.salt import SaltTest
from scionary.dome.spec import DomeSpec, sizes_of
from scionary.dome.vents import opening_on_steps, with_short_steps
from scionary.errors import BadValue
from scionary.units import Float, check_range

STEP_S = 900.0
LEAKS_L_MIN = (0.01, 0.03, 0.1, 0.2, 0.4, 0.8, 1.5, 3.0, 6.0, 12.0)
TEMPERATURE_OFFSET_SD_K = 0.3  # project default, unsourced: what a logger may read wrong
HUMIDITY_OFFSET_SD_PCT = 1.5  # project default, unsourced
SETTLING_S = 12 * 3600.0  # the march has forgotten its start
LEAST_HOURS = 36
NUDGE = 0.02
ROUNDS = 7
LEARN_AT = (3, 5)  # rounds in which the noise is learned anew
LONGEST_STRIDE = 0.7
FARTHEST = 4.0  # logarithms or units from the start beyond which no search goes
LONE_WEIGHT = 0.05  # what an hour at the sensor's limit counts where no other hour tells how errors last
HELD_K = 0.03  # least noise of a temperature sensor, its last digit
HELD_PCT = 0.1
SQUEEZED_PCT = 98.0  # above, errors are squeezed against the sensor's limit and look small
SUN, BY_AIR, BY_HUMIDITY = 0, 4, 5  # where the sun and the offsets stand among what is fitted; the clocks of sun and air come last
CLOCK_UNIT_S = 1800.0  # what one means of the weather's clock
CLOCK_NUDGE_S = 300.0


class Log(NamedTuple):
    """All that a fit compares.

    Attributes
    ----------
    outside : OutsideAir
        Weather.
    grid : Grid
        That weather on the march's steps.
    opening : ndarray, shape (steps,)
        Open area [m²].
    air, humidity : Seen
        Hours of temperature and humidity.
    """

    outside: OutsideAir
    grid: Grid
    opening: Float
    air: Seen
    humidity: Seen


@dataclass(frozen=True, eq=False)
class Searched:
    """Where the search ended for each leak that was tried.

    Attributes
    ----------
    leaks_l_min : ndarray, shape (leaks,)
        Leaks tried.
    centre : ndarray, shape (leaks, 6 or 8)
        Logarithms of the four sizes over their start, offsets of temperature [K] and humidity [%]; where the weather's
        clock is in doubt, how late the moments of its sun stand, and those of its air and wind [half hours].
    spread : ndarray, shape (leaks, 6 or 8, 6 or 8)
        Covariance around each centre.
    fit : ndarray, shape (leaks,)
        Logarithm of the likelihood at each centre, with the priors of all that is fitted.
    air, humidity : Noise
        What the sensors' errors look like.
    left_k, left_pct : float
        Root mean square of what the best leaves.
    """

    leaks_l_min: Float
    centre: Float
    spread: Float
    fit: Float
    air: Noise
    humidity: Noise
    left_k: float
    left_pct: float


def fit_dome(
    dome: DomeSpec,
    outside: OutsideAir,
    inside: InsideAir,
    vents: Any,
    *,
    rng: Any,
    salt: SaltTest | None = None,
    clock_doubt_s: float = 0.0,
    sun_doubt_share: float = 0.0,
) -> DomeFit:
    """Fit a dome's sun, vents, heat store and evaporation to its log, with the logger's own errors.

    Humidity at or above 99.9 % says only "at least so much" (a censored likelihood). Errors are correlated: of the
    moment, of hours, of days; each hour counts by what it adds. A logger's offset is fitted beside, unless a salt test
    tells it. A closed dome's leak hides behind that offset, so it is given as an upper bound, and as a number only
    where the log tells it apart from none by far.

    Parameters
    ----------
    dome : DomeSpec
        Sizes as measured, and the start of those that are fitted. Its leak is not used.
    outside : OutsideAir
        Weather at the dome's place over the log.
    inside : InsideAir
        The logger's readings; at least 36 hours that the weather covers, after half a day.
    vents : float, array_like or Vents
        Open area [cm²] over the weather, as in `simulate_dome`.
    rng : int or numpy.random.Generator
        Seed of the draws.
    salt : SaltTest or None
        What a salt test told of the humidity sensor (`salt_test`).
    clock_doubt_s : float
        Standard deviation of how late the weather's moments may stand against the logger's, 0 to 7200 [s]: half an hour where
        nobody knows whether an hour's row means its beginning or its end, some minutes between any two clocks. 0 takes them
        as exact. Else it is fitted beside the rest, for the sun and for air and wind each, and what hides behind it widens the
        ranges.
    sun_doubt_share : float
        Standard deviation of how far the weather's sun may be from the dome's own, as a share of it, 0 to 1: no log can tell
        that from the share that the dome takes up. 0 takes the sun as exact.

    Returns
    -------
    DomeFit
        Estimates with 90 % ranges, the leak's upper bound, the sensor's offsets and noise, draws for forecasts.

    Raises
    ------
    BadValue
        When the log and the weather share too few hours, or an argument is out of range.
    """
    from threadpoolctl import threadpool_limits

    check_range("clock_doubt_s", clock_doubt_s, 0.0, 7200.0, "s")
    check_range("sun_doubt_share", sun_doubt_share, 0.0, 1.0)
    log = _gathered(dome, outside, inside, vents)
    clock_sd = clock_doubt_s / CLOCK_UNIT_S
    with threadpool_limits(limits=1, user_api="blas"):  # small matrices: threads only wait for one another
        found = _search(sizes_of(dome), log, salt, clock_sd)
    found.spread[:, SUN, SUN] += sun_doubt_share**2
    return fitted(dome, found, _doubt(log, outside), np.random.default_rng(rng), tested=salt is not None, clock_sd=clock_sd)


def _gathered(dome: DomeSpec, outside: OutsideAir, inside: InsideAir, vents: Any) -> Log:
    even = even_moments(outside, STEP_S)
    area = opening_on_steps(vents, outside, even)
    moments, opening, _ = with_short_steps(even, area)
    grid = at_moments(outside, moments)
    usable = _usable(inside.time_s, grid, even, area)
    air = by_the_hour(inside.time_s, inside.temperature_c, usable, moments)
    humidity = by_the_hour(inside.time_s, inside.relative_humidity_pct, usable, moments, censored_from=CENSORED_PCT)
    if air.hour_s.size < LEAST_HOURS:
        needed = f"{LEAST_HOURS} or more in which the log, the weather and the vents are all known, half a day after the weather begins"
        raise BadValue("inside", f"{air.hour_s.size} hours", needed)
    return Log(outside, grid, opening, air, humidity)


def _usable(time_s: Float, grid: Grid, even: Float, area: Float) -> npt.NDArray[np.bool_]:
    """Leave out the beginning, gaps in the weather with half a day after, and half hours in which a hand moved the vents."""
    at = np.clip(np.searchsorted(grid.time_s, time_s, side="right") - 1, 0, grid.time_s.size - 2)
    begun = np.where(grid.known, -np.inf, grid.time_s)
    begun[0] = grid.time_s[0]
    since = grid.time_s[at] - np.maximum.accumulate(begun)[at]
    step = np.clip(np.searchsorted(even, time_s, side="right") - 1, 0, area.size - 1)
    moved = np.append(False, np.diff(area) != 0.0)
    moved |= np.append(moved[1:], False)
    usable: npt.NDArray[np.bool_] = (since >= SETTLING_S) & ~moved[step]
    return usable


def _doubt(log: Log, outside: OutsideAir) -> Doubt:
    moved = float(np.ptp(log.opening))
    return Doubt(
        sunless=bool(np.nanmax(outside.solar_w_m2) < 30.0),
        never_opened=bool(log.opening.max() <= 0.0),
        vents_never_moved=moved == 0.0,
        hours=int(log.air.hour_s.size),
        censored_share=float(log.humidity.censored.mean()) if log.humidity.censored.size else float("nan"),
    )


def _search(start: Sizes, log: Log, salt: SaltTest | None, clock_sd: float) -> Searched:
    """Gauss-Newton for every leak side by side, learning the noise on the way."""
    leaks = np.array(LEAKS_L_MIN)
    humidity_sd = max(salt.doubt_pct / 2.0, HELD_PCT / 2.0) if salt else HUMIDITY_OFFSET_SD_PCT
    sds = np.array([*PRIOR_SD, TEMPERATURE_OFFSET_SD_K, humidity_sd, *([clock_sd, clock_sd] if clock_sd else [])])
    prior, count = np.diag(1.0 / sds**2), sds.size
    prior_mean = np.zeros(count)
    prior_mean[BY_HUMIDITY] = -salt.offset_pct if salt else 0.0
    plain = ~log.humidity.censored
    air = noise_of(log.air.hour_s, 0.3, 0.3, 0.3)
    humidity = noise_of(log.humidity.hour_s[plain], 0.8, 0.8, 0.8)
    centre = np.tile(prior_mean, (leaks.size, 1))
    spread, fit = np.zeros((leaks.size, count, count)), np.zeros(leaks.size)
    for turn in range(ROUNDS):
        best = int(np.argmax(fit))
        base, slopes = _predicted(start, log, leaks, centre, best)
        rest = _left(log, base[:, best], centre[best])
        if turn in LEARN_AT:
            by_air, by_humidity = _designs(log, slopes[:, :, best])
            air = learn_noise(log.air.hour_s, rest[0], np.delete(by_air, BY_HUMIDITY, axis=1), floor=HELD_K)
            free = log.humidity.value[plain] < SQUEEZED_PCT
            known_by = np.delete(by_humidity[plain][free], BY_AIR, axis=1)
            learned = learn_noise(log.humidity.hour_s[plain][free], rest[1][free], known_by, floor=HELD_PCT)
            humidity = noise_of(log.humidity.hour_s[plain], learned.moment_sd, learned.hours_sd, learned.days_sd)
        for i in range(leaks.size):
            pull, hessian, fit[i] = _pull(log, base[:, i], slopes[:, :, i], centre[i], air, humidity)
            off = centre[i] - prior_mean
            fit[i] -= 0.5 * float(off @ prior @ off)
            spread[i] = np.linalg.inv(hessian + prior)
            if turn < ROUNDS - 1:
                stride = np.clip(spread[i] @ (pull - prior @ off), -LONGEST_STRIDE, LONGEST_STRIDE)
                centre[i] = np.clip(centre[i] + stride, prior_mean - FARTHEST, prior_mean + FARTHEST)
    left_k, left_pct = (float(np.sqrt(np.mean(part**2))) if part.size else float("nan") for part in rest)
    return Searched(leaks, centre, spread, fit, air, humidity, left_k, left_pct)


def _predicted(start: Sizes, log: Log, leaks: Float, centre: Float, best: int) -> tuple[Float, Float]:
    """What the sensors would have read by the hour, temperatures first, and how that changes with each number but the offsets.

    The weather is moved by the clocks of the best leak; the others' clocks differ from them by little, and count by their slopes.
    """
    late = centre[:, BY_HUMIDITY + 1 :]
    logs = np.repeat(centre[:, None, :4], 5, axis=1)
    logs[:, np.arange(1, 5), np.arange(4)] += NUDGE
    rows = _read(start, log, np.repeat(leaks, 5), logs.reshape(-1, 4), late[best]).reshape(-1, leaks.size, 5)
    base, slopes = rows[:, :, 0], (rows[:, :, 1:] - rows[:, :, :1]) / NUDGE
    nudge = CLOCK_NUDGE_S / CLOCK_UNIT_S
    for nudged in nudge * np.eye(late.shape[1]):
        by_clock = (_read(start, log, leaks, centre[:, :4], late[best] + nudged) - rows[:, :, 0]) / nudge
        base = base + by_clock * ((late - late[best]) @ (nudged > 0.0))
        slopes = np.concatenate([slopes, by_clock[:, :, None]], axis=2)
    return base, np.moveaxis(slopes, 2, 1)


def _read(start: Sizes, log: Log, leaks: Float, logs: Float, late: Float) -> Float:
    """What the sensors would have read of domes side by side, shape (hours, domes), under weather so many half hours earlier."""
    times, ones = np.exp(logs), np.ones(leaks.size)
    columns = start._replace(
        inner=start.inner * ones,
        outer=start.outer * ones,
        heat_capacity=start.heat_capacity * times[:, 2],
        sun=start.sun * times[:, 0],
        pots=start.pots * times[:, 3],
        film=start.film * times[:, 3],
        film_area=start.film_area * ones,
        leak=leaks / 60_000.0,
        wind=start.wind * times[:, 1],
        stack=start.stack * times[:, 1],
        mat=start.mat * ones,
        thermostat=start.thermostat * ones,
    )
    grid = log.grid
    if late.size:
        by_sun, by_air = (at_moments(log.outside, grid.time_s + float(each) * CLOCK_UNIT_S) for each in late)
        grid = by_air._replace(time_s=grid.time_s, sun=by_sun.sun)
    made, _ = march(grid, log.opening, columns, np.full(ones.size, np.inf), Path.COMPILED)
    humid = 100.0 * made[2] / saturated(made[0])
    return np.concatenate([log.air.predicted(made[0]), log.humidity.predicted(humid)])


def _left(log: Log, base: Float, centre: Float) -> tuple[Float, Float]:
    """What is left of temperature, and of humidity where the sensor could tell it."""
    hours = log.air.hour_s.size
    plain = ~log.humidity.censored
    return log.air.value - base[:hours] - centre[4], (log.humidity.value - base[hours:] - centre[5])[plain]


def _designs(log: Log, slopes: Float) -> tuple[Float, Float]:
    """How each hour of temperature and of humidity depends on all that is fitted."""
    hours, more = log.air.hour_s.size, log.humidity.hour_s.size
    sizes, clock = slopes[:, :4], slopes[:, 4:]
    return (
        np.column_stack([sizes[:hours], np.ones(hours), np.zeros(hours), clock[:hours]]),
        np.column_stack([sizes[hours:], np.zeros(more), np.ones(more), clock[hours:]]),
    )


def _pull(log: Log, base: Float, slopes: Float, centre: Float, air: Noise, humidity: Noise) -> tuple[Float, Float, float]:
    """Gradient, Gauss-Newton curvature and value of the log likelihood at one centre."""
    from scipy.special import log_ndtr

    hours, plain, hidden = log.air.hour_s.size, ~log.humidity.censored, log.humidity.censored
    by_air, by_humidity = _designs(log, slopes)
    left_air, left_humidity = _left(log, base, centre)
    r1, d1 = air.whitened(left_air), air.whitened(by_air)
    r2, d2 = humidity.whitened(left_humidity), humidity.whitened(by_humidity[plain])
    beyond = (base[hours:] + centre[5] - CENSORED_PCT)[hidden] / humidity.sd
    weight = humidity.worth / max(int(plain.sum()), 1) if plain.any() else LONE_WEIGHT
    chance = log_ndtr(beyond)
    mills = np.exp(-0.5 * beyond**2 - 0.5 * np.log(2.0 * np.pi) - chance)
    d3 = by_humidity[hidden] / humidity.sd
    pull = d1.T @ r1 + d2.T @ r2 + weight * (d3.T @ mills)
    curved = d1.T @ d1 + d2.T @ d2 + weight * (d3.T * (mills * (mills + beyond))) @ d3
    return pull, curved, float(-0.5 * (r1 @ r1 + r2 @ r2) + weight * chance.sum())
