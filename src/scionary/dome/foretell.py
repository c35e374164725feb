"""What a dome will do under weather to come: heat and dryness, with the range that the fit and the weather leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scionary.dome.fitted import DRAWS, FITTED, PRIOR_SD, DomeFit, drawn_sizes
from scionary.dome.fluxes import air_of
from scionary.dome.kernel import Sizes
from scionary.dome.marching import march
from scionary.dome.outside import Grid, OutsideAir, at_moments, even_moments
from scionary.dome.simulate import DomeAir, simulate_dome, unknown_after_gaps
from scionary.dome.spec import ASSUMED_LEAK_L_MIN, DomeSpec
from scionary.dome.vents import opening_on_steps, with_short_steps
from scionary.errors import BadValue
from scionary.units import Float

STEP_S = 1800.0
DARK_W_M2 = 20.0  # below, an unknown hour hides no heat; project default, unsourced
COUNT = 100  # domes drawn for a range
WITHOUT_LOG_SD = (0.25, 0.5, 0.4, 0.3, 1.0)  # of sun, vents, heat store, evaporation, leak, as logarithms; project default, unsourced


@dataclass(frozen=True)
class Ranged:
    """A number with its range.

    Attributes
    ----------
    value, low, high : float
        Median, and the ends of the 90 % range; NaN where too little of the weather is known to tell.
    """

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Outlook:
    """What a dome will do.

    Attributes
    ----------
    from_s, to_s : float
        The stretch of weather, of its first year where several were given [s].
    hottest_c : Ranged
        Highest temperature [°C]; as all that follows but the coldest, NaN where an hour of daylight is unknown.
    hottest_at_s : float
        When, in the middle dome and the first stretch [s]; NaN where that has an unknown hour of daylight.
    chance_of_heat : float
        Share of domes and years in which the heat limit is passed, 0 to 1; NaN where no year can tell.
    hours_of_heat : Ranged
        Hours above the heat limit [h].
    coldest_c, driest_pct : Ranged
        Lowest temperature [°C], NaN where any hour is unknown, and humidity [%].
    deficit_kpa, highest_deficit_kpa : Ranged
        Mean and highest vapour pressure deficit [kPa].
    water_g_day : float or None
        Water that leaves the middle dome's tray before plants drink [g a day]; None where it is not told.
    dry_at_s : float or None
        When the tray of the middle dome runs dry [s]; None: not within this weather, or not told.
    water_unknown : bool
        True where vents are shut at some moment and nobody knows the leak: look weekly.
    shade_share : float
        Shade that was taken, 0 to 1.
    heat_limit_c : float
        Limit that was taken [°C].
    years : int
        Stretches of weather that went in: one forecast, or one a year.
    unknown_hours : float
        Hours in which nothing is known, in the stretch that lacks most; a year with one in daylight tells nothing of heat.
    from_log : bool
        False: no log stands behind, the range is that of domes in general.
    """

    from_s: float
    to_s: float
    hottest_c: Ranged
    hottest_at_s: float
    chance_of_heat: float
    hours_of_heat: Ranged
    coldest_c: Ranged
    driest_pct: Ranged
    deficit_kpa: Ranged
    highest_deficit_kpa: Ranged
    water_g_day: float | None
    dry_at_s: float | None
    water_unknown: bool
    shade_share: float
    heat_limit_c: float
    years: int
    unknown_hours: float
    from_log: bool


def what_will_happen(
    dome: DomeFit | DomeSpec,
    outside: OutsideAir | Sequence[OutsideAir],
    vents: Any,
    *,
    shade_share: float | None = None,
    heat_limit_c: float = 30.0,
    from_s: float | None = None,
    rng: Any = 0,
) -> Outlook:
    """Foretell a dome's heat and dryness from a forecast, or from the same days of past years.

    The range is that of the fit; a forecast's own error is not in it. With several past years their spread is. Give
    some hours before `from_s` too: the march begins at the outside temperature and must forget that.

    Parameters
    ----------
    dome : DomeFit or DomeSpec
        A dome fitted to its log, or one as measured; the latter has the wide range of domes in general.
    outside : OutsideAir or sequence of OutsideAir
        Weather at the dome's place: one stretch, or one a year.
    vents : float, array_like or Vents
        Open area [cm²], as in `simulate_dome`.
    shade_share : float or None
        Shade to take, 0 to 1; None: the dome's.
    heat_limit_c : float
        Above this callus is harmed [°C]; grower guides, weak.
    from_s : float or None
        Beginning of what is told, in the first stretch's time [s]; None: its beginning.
    rng : int or numpy.random.Generator
        Seed; only for a dome without a log.

    Returns
    -------
    Outlook
        Heat, dryness and water.

    Raises
    ------
    BadValue
        Naming the argument, the value and the allowed range.
    """
    years = [outside] if isinstance(outside, OutsideAir) else list(outside)
    if not years:
        raise BadValue("outside", "no weather", "one stretch of weather or more")
    spec = with_shade(dome, shade_share)
    sizes = many_domes(dome, COUNT, rng, shade_share=spec.shade_share)
    after = 0.0 if from_s is None else from_s - float(years[0].time_s[0])
    told = [_one_year(sizes, year, vents, after, heat_limit_c) for year in years]
    rows = {name: np.concatenate([each[name] for each, _ in told]) for name in told[0][0]}
    seen = rows["hottest"][~np.isnan(rows["hottest"])]
    middle = simulate_dome(spec, years[0], vents)
    kept = middle.temperature_c[middle.time_s >= years[0].time_s[0] + after]
    return Outlook(
        from_s=float(years[0].time_s[0] + after),
        to_s=float(middle.time_s[-1]),
        hottest_c=ranged(rows["hottest"]),
        hottest_at_s=float("nan") if np.isnan(told[0][0]["hottest"]).all() else float(middle.time_s[-kept.size :][int(np.nanargmax(kept))]),
        chance_of_heat=float(np.mean(seen > heat_limit_c)) if seen.size else float("nan"),
        hours_of_heat=ranged(rows["hours"]),
        coldest_c=ranged(rows["coldest"]),
        driest_pct=ranged(rows["driest"]),
        deficit_kpa=ranged(rows["deficit"]),
        highest_deficit_kpa=ranged(rows["highest"]),
        water_g_day=None if middle.water_unknown else _a_day(middle),
        dry_at_s=middle.dry_at_s,
        water_unknown=middle.water_unknown,
        shade_share=spec.shade_share,
        heat_limit_c=heat_limit_c,
        years=len(years),
        unknown_hours=max(hours for _, hours in told),
        from_log=isinstance(dome, DomeFit),
    )


def with_shade(dome: DomeFit | DomeSpec, shade_share: float | None) -> DomeSpec:
    """Give the middle dome, shaded as asked.

    Parameters
    ----------
    dome : DomeFit or DomeSpec
        The dome.
    shade_share : float or None
        None: as it stands.

    Returns
    -------
    DomeSpec
        Sizes at their medians.
    """
    spec = dome.dome if isinstance(dome, DomeFit) else dome
    return spec if shade_share is None else replace(spec, shade_share=shade_share)


def many_domes(dome: DomeFit | DomeSpec, count: int, rng: Any, **changes: Any) -> Sizes:
    """Give a dome many times over, as differently as its log leaves it, or as domes differ where there is no log.

    Parameters
    ----------
    dome : DomeFit or DomeSpec
        The dome.
    count : int
        Domes wanted.
    rng : int or numpy.random.Generator
        Seed; only for a dome without a log.
    **changes : object
        Fields of `DomeSpec` to change in all.

    Returns
    -------
    Sizes
        Arrays of shape (count,).
    """
    if isinstance(dome, DomeFit):
        return dome.drawn(min(count, DRAWS), **changes)
    shocks = np.random.default_rng(rng).standard_normal((count, len(FITTED) + 1)) * np.array(WITHOUT_LOG_SD)
    leak = ASSUMED_LEAK_L_MIN if dome.leak_l_min is None else dome.leak_l_min
    doubt = np.exp(shocks[:, -1]) if dome.leak_l_min is None else np.ones(count)
    return drawn_sizes(replace(dome, **changes), shocks[:, : len(PRIOR_SD)], leak * doubt)


def ranged(draws: Float) -> Ranged:
    """Give median and 90 % range of draws.

    Parameters
    ----------
    draws : ndarray
        One a dome.

    Returns
    -------
    Ranged
        NaN where nothing is known.
    """
    if np.isnan(draws).all():
        return Ranged(float("nan"), float("nan"), float("nan"))
    low, middle, high = np.nanquantile(draws, [0.05, 0.5, 0.95])
    return Ranged(float(middle), float(low), float(high))


def marched(sizes: Sizes, outside: OutsideAir, vents: Any) -> tuple[Grid, Float]:
    """March many domes through weather under the same vents, kept topped up.

    Parameters
    ----------
    sizes : Sizes
        Arrays of shape (domes,).
    outside : OutsideAir
        Weather.
    vents : float, array_like or Vents
        Open area [cm²].

    Returns
    -------
    grid : Grid
        Weather on even steps.
    made : ndarray, shape (6, moments, domes)
        NaN where a gap in the weather matters.
    """
    even = even_moments(outside, STEP_S)
    finer, opening, places = with_short_steps(even, opening_on_steps(vents, outside, even))
    grid = at_moments(outside, finer)
    made, _ = march(grid, opening, sizes, np.full(sizes.inner.size, np.inf))
    made = made[:, places]
    gone = unknown_after_gaps(grid, sizes)[places]
    made[:, gone] = np.nan
    return at_moments(outside, even), made


def _a_day(air: DomeAir) -> float:
    """Mean loss of water [g a day] while there is some."""
    wet = air.time_s < (np.inf if air.dry_at_s is None else air.dry_at_s)
    lost = air.water_lost_g_h[wet]
    return 24.0 * float(np.nanmean(lost)) if np.isfinite(lost).any() else float("nan")


def _one_year(sizes: Sizes, outside: OutsideAir, vents: Any, after: float, limit: float) -> tuple[dict[str, Float], float]:
    """What each dome does in one stretch, and the hours in which nobody knows; the hottest may hide in one of daylight."""
    grid, made = marched(sizes, outside, vents)
    asked = grid.time_s >= grid.time_s[0] + after
    temperature, humidity, deficit = (row[asked] for row in air_of(made))
    unknown = np.isnan(temperature).all(axis=1)
    light = np.interp(grid.time_s[asked], outside.time_s, outside.solar_w_m2)  # unknown where it was not measured
    by_day, nothing = unknown & ~(light < DARK_W_M2), np.full(sizes.inner.size, np.nan)
    told = dict.fromkeys(("hottest", "hours", "coldest", "driest", "deficit", "highest"), nothing)
    if not by_day.any() and not unknown.all():
        known = ~unknown
        told |= {
            "hottest": temperature[known].max(axis=0),
            "hours": (temperature[known] > limit).sum(axis=0) * STEP_S / 3600.0,
            "driest": humidity[known].min(axis=0),
            "deficit": deficit[known].mean(axis=0),
            "highest": deficit[known].max(axis=0),
        }
    if not unknown.any():
        told["coldest"] = temperature.min(axis=0)
    return told, float(unknown.sum() * STEP_S / 3600.0)
