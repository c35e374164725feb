"""What a fit of a dome says: estimates with ranges, bounds where nothing more can be told, draws for forecasts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from scionary.dome.kernel import Sizes
from scionary.dome.spec import ASSUMED_LEAK_L_MIN, DomeSpec, side_by_side, sizes_of
from scionary.errors import BadValue
from scionary.units import Float

if TYPE_CHECKING:
    from scionary.dome.fit import Searched

FITTED = ("absorbed_fraction", "vent_factor", "heat_capacity_j_k", "evaporation_m_s")
PRIOR_SD = (0.5, 0.7, 0.5, 0.5)  # of their logarithms over what was given; project default, unsourced
LEAK_SCALE_L_MIN = 3.0  # project default, unsourced: leaks far above this are unlikely before the log speaks
DRAWS = 1000
WIDER = 1.35  # noise learned from one log is itself uncertain: chosen so that 90 % ranges held nine in ten of 160 invented logs
RANGE = (0.05, 0.95)
BOUND = 0.95
TELLS_FROM_NONE = 12.0  # twice the log likelihood by which a leak must beat none to be a number; project default, unsourced
NARROW = 4.0  # and its range's ends may differ by at most this factor
LEARNED = 0.7  # an estimate whose spread is above this share of what was thought before has not been told by the log
STRANGE_K, STRANGE_PCT = 2.5, 12.0  # left on average by a log that is hardly this dome's; project default, unsourced
STRANGE_SDS = 2.5
CLOCKS, HALF_HOUR_MIN = ("sun_late_min", "air_late_min"), 30.0


class Told(StrEnum):
    """How far a log tells a size."""

    RANGE = "range"
    UPPER_BOUND = "upper bound"
    NOT_TOLD = "not told"


@dataclass(frozen=True)
class Estimate:
    """One size as a log tells it.

    Attributes
    ----------
    name : str
        As in `DomeSpec`, or ``temperature_error_k`` or ``humidity_error_pct`` for the logger's own errors,
        reading less truth, or ``sun_late_min`` or ``air_late_min`` for how late the weather's moments stand against the logger's.
    told : Told
        A range; an upper bound, then `value` and `low` are NaN; or not told, then the numbers are what was assumed.
    value, low, high : float
        Median, and the ends of the 90 % range, or the 95 % upper bound.
    unit : str
        Their unit.
    """

    name: str
    told: Told
    value: float
    low: float
    high: float
    unit: str


class Doubt(NamedTuple):
    """Why a log may not tell a size.

    Attributes
    ----------
    sunless, never_opened, vents_never_moved : bool
        No sun in the weather; vents shut throughout; vents as they were throughout.
    hours : int
        Hours compared.
    censored_share : float
        Share of hours in which humidity was at the sensor's limit.
    """

    sunless: bool
    never_opened: bool
    vents_never_moved: bool
    hours: int
    censored_share: float


@dataclass(frozen=True, eq=False)
class DomeFit:
    """A dome as its log tells it.

    Attributes
    ----------
    dome : DomeSpec
        Sizes at their medians; its leak stays None where the log gives only a bound.
    estimates : tuple of Estimate
        Every fitted size, the sensor's two offsets, and the weather's clocks where they were in doubt.
    logs, leaks_l_min : ndarray
        Draws: logarithms of fitted sizes over the dome that was given, shape (draws, 4), and leaks, shape (draws,).
    given : DomeSpec
        The dome as it was given.
    doubt : Doubt
        What the log lacked.
    left_k, left_pct : float
        Root mean square of what the fit leaves of temperature [K] and humidity [%].
    noise_k, noise_pct : tuple of float
        Errors of the moment, of hours, of days: standard deviations.
    worth_k, worth_pct : float
        Independent hours that all hours are worth for a constant offset.
    strange : tuple of str
        Words for what makes this log look like another dome's; empty when nothing does.
    """

    dome: DomeSpec
    estimates: tuple[Estimate, ...]
    logs: Float
    leaks_l_min: Float
    given: DomeSpec
    doubt: Doubt
    left_k: float
    left_pct: float
    noise_k: tuple[float, float, float]
    noise_pct: tuple[float, float, float]
    worth_k: float
    worth_pct: float
    strange: tuple[str, ...]

    def estimate(self, name: str) -> Estimate:
        """Look an estimate up.

        Parameters
        ----------
        name : str
            As in `Estimate.name`.

        Returns
        -------
        Estimate
            The one of that name.
        """
        for each in self.estimates:
            if each.name == name:
                return each
        raise BadValue("name", name, ", ".join(each.name for each in self.estimates))

    def drawn(self, count: int, **changes: Any) -> Sizes:
        """Give this dome many times over, as differently as the log leaves it.

        Parameters
        ----------
        count : int
            Domes wanted, at most the draws kept.
        **changes : object
            Fields of `DomeSpec` to change in all, such as ``shade_share``.

        Returns
        -------
        Sizes
            Arrays of shape (count,).
        """
        return drawn_sizes(replace(self.given, **changes), self.logs[:count], self.leaks_l_min[:count])


def drawn_sizes(dome: DomeSpec, logs: Float, leaks_l_min: Float) -> Sizes:
    """Turn draws into domes side by side.

    Parameters
    ----------
    dome : DomeSpec
        What the draws multiply.
    logs : ndarray, shape (draws, 4)
        Logarithms of absorbed sun, vents, heat capacity, evaporation over the dome's.
    leaks_l_min : ndarray, shape (draws,)
        Leaks [l/min].

    Returns
    -------
    Sizes
        Arrays of shape (draws,).
    """
    one = side_by_side([sizes_of(dome)] * leaks_l_min.size)
    times = np.exp(logs)
    return one._replace(
        sun=np.minimum(one.sun * times[:, 0], dome.tray_area_m2 * (1.0 - dome.shade_share)),
        wind=one.wind * times[:, 1],
        stack=one.stack * times[:, 1],
        heat_capacity=one.heat_capacity * times[:, 2],
        pots=one.pots * times[:, 3],
        film=one.film * times[:, 3],
        leak=leaks_l_min / 60_000.0,
    )


def fitted(
    dome: DomeSpec,
    found: Searched,
    doubt: Doubt,
    rng: np.random.Generator,
    *,
    tested: bool,
    clock_sd: float = 0.0,
) -> DomeFit:
    """Turn a search into what is said.

    Parameters
    ----------
    dome : DomeSpec
        As it was given.
    found : Searched
        Where the search ended for each leak.
    doubt : Doubt
        What the log lacked.
    rng : Generator
        For the draws.
    tested : bool
        Whether a salt test told the sensor's offset; without one no leak is given as a number.
    clock_sd : float
        How far the weather's clocks were doubted [half hours].

    Returns
    -------
    DomeFit
        Estimates, bounds and draws.
    """
    leaks, logs = _draws(found, rng)
    sizes = [_size(name, float(getattr(dome, name)), logs[:, i], PRIOR_SD[i], _hidden(name, doubt)) for i, name in enumerate(FITTED)]
    offsets = [_offset(name, logs[:, i], unit) for name, i, unit in (("temperature_error_k", 4, "K"), ("humidity_error_pct", 5, "%"))]
    clocks = [_clock(name, late, clock_sd) for name, late in zip(CLOCKS, logs.T[6:], strict=False)]
    leak = _leak(leaks, found, tested)
    middle: dict[str, Any] = {each.name: each.value for each in sizes if each.told is Told.RANGE}
    if "absorbed_fraction" in middle:
        middle["absorbed_fraction"] = min(middle["absorbed_fraction"], 1.0)
    told = replace(dome, **middle, leak_l_min=leak.value if leak.told is Told.RANGE else None)
    return DomeFit(
        dome=told,
        estimates=(*sizes, leak, *offsets, *clocks),
        logs=logs[:, :4],
        leaks_l_min=leaks,
        given=dome,
        doubt=doubt,
        left_k=found.left_k,
        left_pct=found.left_pct,
        noise_k=(found.air.moment_sd, found.air.hours_sd, found.air.days_sd),
        noise_pct=(found.humidity.moment_sd, found.humidity.hours_sd, found.humidity.days_sd),
        worth_k=found.air.worth,
        worth_pct=found.humidity.worth,
        strange=_strange(found, logs),
    )


def _draws(found: Searched, rng: np.random.Generator) -> tuple[Float, Float]:
    """Draw a leak from its marginal, then the rest around the centre that belongs to it."""
    from scipy.interpolate import PchipInterpolator
    from scipy.special import logsumexp

    at = np.log(found.leaks_l_min)
    weight = found.fit + 0.5 * np.linalg.slogdet(found.spread)[1]
    fine = np.linspace(at[0], at[-1], 400)
    density = PchipInterpolator(at, weight)(fine) + _thought(fine)
    chance = np.exp(density - logsumexp(density))
    drawn = fine[rng.choice(fine.size, size=DRAWS, p=chance)] + rng.uniform(-0.5, 0.5, DRAWS) * (fine[1] - fine[0])
    centre = PchipInterpolator(at, found.centre, axis=0)(np.clip(drawn, at[0], at[-1]))
    nearest = np.argmin(np.abs(drawn[:, None] - at[None, :]), axis=1)
    roots = WIDER * np.linalg.cholesky(found.spread)[nearest]
    return np.exp(drawn), centre + np.einsum("ijk,ik->ij", roots, rng.standard_normal((DRAWS, centre.shape[1])))


def _thought(log_leak: Float) -> Float:
    """Log density of what is thought of a leak's logarithm before: even up to the assumed leak, then falling as 1/leak, then faster."""
    leak = np.exp(log_leak)
    out: Float = log_leak - np.log(leak + ASSUMED_LEAK_L_MIN) - np.log1p((leak / LEAK_SCALE_L_MIN) ** 2)
    return out


def _size(name: str, start: float, logs: Float, prior_sd: float, hidden: bool) -> Estimate:
    low, middle, high = (start * float(np.exp(np.quantile(logs, q))) for q in (RANGE[0], 0.5, RANGE[1]))
    unknown = hidden or float(np.std(logs)) > LEARNED * prior_sd
    units = {"heat_capacity_j_k": "J/K", "evaporation_m_s": "m/s"}
    return Estimate(name, Told.NOT_TOLD if unknown else Told.RANGE, middle, low, high, units.get(name, ""))


def _offset(name: str, draws: Float, unit: str) -> Estimate:
    low, middle, high = (float(np.quantile(draws, q)) for q in (RANGE[0], 0.5, RANGE[1]))
    return Estimate(name, Told.RANGE, middle, low, high, unit)


def _clock(name: str, late: Float, doubted_sd: float) -> Estimate:
    """How late a clock stands; not told where the log leaves it nearly as doubtful as it was."""
    estimate = _offset(name, late * HALF_HOUR_MIN, "min")
    return replace(estimate, told=Told.NOT_TOLD) if float(np.std(late)) > LEARNED * doubted_sd else estimate


def _leak(leaks: Float, found: Searched, tested: bool) -> Estimate:
    low, middle, high = (float(np.quantile(leaks, q)) for q in (RANGE[0], 0.5, RANGE[1]))
    gain = 2.0 * (float(found.fit.max()) - float(found.fit[0]))
    if tested and gain > TELLS_FROM_NONE and high / low < NARROW:
        return Estimate("leak_l_min", Told.RANGE, middle, low, high, "l/min")
    return Estimate("leak_l_min", Told.UPPER_BOUND, float("nan"), float("nan"), float(np.quantile(leaks, BOUND)), "l/min")


def _hidden(name: str, doubt: Doubt) -> bool:
    return (name == "absorbed_fraction" and doubt.sunless) or (name == "vent_factor" and doubt.never_opened)


def _strange(found: Searched, logs: Float) -> tuple[str, ...]:
    words = []
    if found.left_k > STRANGE_K:
        words.append(f"temperature differs by {found.left_k:.1f} K on average from what this dome could have done")
    if found.left_pct > STRANGE_PCT:
        words.append(f"humidity differs by {found.left_pct:.0f} % on average from what this dome could have done")
    for i, name in enumerate(FITTED):
        times = float(np.exp(np.median(logs[:, i])))
        if abs(np.log(times)) > STRANGE_SDS * PRIOR_SD[i]:
            words.append(f"{name} would be {times:.2g} times what was given")
    return tuple(words)
