"""Opening a dome by degrees, so that what the air asks of a plant rises evenly from closed to open."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.dome.fitted import DomeFit
from scionary.dome.fluxes import air_of
from scionary.dome.foretell import STEP_S, Ranged, many_domes, ranged
from scionary.dome.kernel import Sizes
from scionary.dome.marching import march
from scionary.dome.outside import Grid, OutsideAir, on_steps
from scionary.dome.simulate import unknown_after_gaps
from scionary.dome.spec import DomeSpec
from scionary.dome.vent_steps import DAY_S, NOT_WORKED_OUT, Basis, Met, VentStep
from scionary.errors import BadValue
from scionary.units import Float

COUNT = 40  # domes drawn for a range
AREAS = (0.0, *np.geomspace(1 / 64, 1.0, 13).tolist())  # shares of the largest vent that are tried
DAYLIGHT_W_M2 = 20.0  # project default, unsourced: a plant's demand is that of hours brighter than this
DULL = 0.6  # project default, unsourced: a day with less than this share of the usual sun is dull
KEEP = 1.25  # project default, unsourced: vents are not closed a little for demand that is up to this much above what was wanted


def hardening_steps(
    dome_fit: DomeFit | DomeSpec,
    outside: OutsideAir,
    *,
    start_vpd_kpa: float,
    end_vpd_kpa: float,
    days: float,
    largest_vent_cm2: float = 200.0,
    steps: int | None = None,
    start_s: float | None = None,
    demand_ratio: float = 1.0,
    rng: Any = 0,
) -> list[VentStep]:
    """Find vents under which the air's demand by day rises by even steps over the chosen days.

    A clock of callus opens nothing: the caller asks for steps when a person has looked (`may_open`).

    Parameters
    ----------
    dome_fit : DomeFit or DomeSpec
        The dome; without a log the ranges are those of domes in general.
    outside : OutsideAir
        Weather of those days: a forecast, continued with last year's.
    start_vpd_kpa, end_vpd_kpa : float
        Deficit by day now, and wanted at the end [kPa]; 0 to 4, rising.
    days : float
        Days from closed to open, 1 to 90.
    largest_vent_cm2 : float
        All vents open [cm²].
    steps : int or None
        Changes of vents; None: one every other day, three or more.
    start_s : float or None
        When to begin [s]; None: with the weather.
    demand_ratio : float
        What a log saw over what was expected; `replan` gives it.
    rng : int or numpy.random.Generator
        Seed; only for a dome without a log.

    Returns
    -------
    list of VentStep
        In order; the last one's wanted deficit is `end_vpd_kpa`.

    Raises
    ------
    BadValue
        When demand does not rise, or the weather does not cover the days.
    """
    begin = float(outside.time_s[0]) if start_s is None else float(start_s)
    count = max(3, int(np.ceil(days / 2.0))) if steps is None else steps
    _refuse_bad(start_vpd_kpa, end_vpd_kpa, days, count, largest_vent_cm2)
    _refuse_short(outside, begin, days)
    grid, deficit = _by_area(many_domes(dome_fit, COUNT, rng), outside, largest_vent_cm2)
    bright = grid.sun > DAYLIGHT_W_M2
    made: list[VentStep] = []
    ends = begin + days * DAY_S * np.arange(count + 1) / count
    for k in range(count):
        wanted = start_vpd_kpa + (end_vpd_kpa - start_vpd_kpa) * (k + 1) / count
        within = (grid.time_s >= ends[k]) & (grid.time_s < ends[k + 1])
        within = within & bright if (within & bright).any() else within
        before = made[-1].share if made else 0.0
        share, expected, met = _opening(deficit[within] * demand_ratio, wanted, before)
        at = _dusk(grid, float(ends[k]), float(ends[k + 1]))
        dull = _dull(grid, at, float(ends[k + 1]))
        basis = Basis.DOME_AND_WEATHER
        made.append(VentStep(at, dull, float(ends[k + 1]), share * largest_vent_cm2, share, wanted, expected, met, basis))
    return made


def _by_area(sizes: Sizes, outside: OutsideAir, largest_cm2: float) -> tuple[Grid, Float]:
    """Deficit of every dome under every area, shape (moments, areas, domes)."""
    grid = on_steps(outside, STEP_S)
    domes, areas = sizes.inner.size, np.array(AREAS) * largest_cm2 / 1e4
    opening = np.broadcast_to(np.repeat(areas, domes), (grid.time_s.size - 1, areas.size * domes))
    many = Sizes(*(np.tile(column, areas.size) for column in sizes))
    made, _ = march(grid, opening, many, np.full(areas.size * domes, np.inf))
    deficit = air_of(made)[2]
    deficit[unknown_after_gaps(grid, sizes)] = np.nan
    return grid, deficit.reshape(-1, areas.size, domes)


def _opening(deficit: Float, wanted: float, before: float) -> tuple[float, Ranged, Met]:
    """Share of the largest vent for this demand, what every dome then gives, and whether it was met."""
    if np.isnan(deficit).all():
        return before, NOT_WORKED_OUT, Met.UNKNOWN
    each = np.maximum.accumulate(np.nanmean(deficit, axis=0), axis=0)
    middle = np.median(each, axis=1)
    shares = np.array(AREAS)
    roots = np.sqrt(shares)
    root = float(np.interp(wanted, middle, roots))
    if root < np.sqrt(before) and np.interp(np.sqrt(before), roots, middle) <= KEEP * wanted:
        root = float(np.sqrt(before))
    met = Met.AS_WANTED
    if wanted < middle[0]:
        root, met = 0.0, Met.DRIER_EVEN_CLOSED
    elif wanted > middle[-1]:
        root, met = 1.0, Met.LARGEST_NOT_ENOUGH
    given = np.array([np.interp(root, roots, column) for column in each.T])
    return root**2, ranged(given), met


def _dusk(grid: Grid, from_s: float, to_s: float) -> float:
    """Last light of the step's first day; its beginning where no sun is known or no evening falls within."""
    bright = grid.sun > DAYLIGHT_W_M2
    falls = grid.time_s[:-1][bright[:-1] & ~bright[1:]]
    within = falls[(falls >= from_s) & (falls < min(from_s + DAY_S, to_s))]
    return float(within[0]) if within.size else from_s


def _dull(grid: Grid, from_s: float, to_s: float) -> float | None:
    """First light of the first dull day that dawns within a stretch."""
    bright = grid.sun > DAYLIGHT_W_M2
    dawns = grid.time_s[1:][~bright[:-1] & bright[1:]]
    if dawns.size < 2:
        return None
    light = np.array([grid.sun[(grid.time_s >= dawn) & (grid.time_s < dawn + DAY_S)].sum() for dawn in dawns])
    whole = dawns + DAY_S / 2 <= grid.time_s[-1]
    found = dawns[(dawns >= from_s) & (dawns < to_s) & whole & (light < DULL * np.median(light[whole]))] if whole.any() else dawns[:0]
    return float(found[0]) if found.size else None


def _refuse_bad(start: float, end: float, days: float, count: int, largest: float) -> None:
    if not 0.0 <= start <= 4.0:
        raise BadValue("start_vpd_kpa", start, "0 to 4 kPa")
    if not start < end <= 4.0:
        raise BadValue("end_vpd_kpa", end, f"above start_vpd_kpa, which is {start:g}, to 4 kPa")
    if not 0.1 <= days <= 90.0:
        raise BadValue("days", days, "up to 90 days")
    if not 1 <= count <= 90:
        raise BadValue("steps", count, "1 to 90")
    if not 0.0 < largest <= 1e5:
        raise BadValue("largest_vent_cm2", largest, "above 0 to 100000 cm²")


def _refuse_short(outside: OutsideAir, begin: float, days: float) -> None:
    covered = (float(outside.time_s[-1]) - begin) / DAY_S
    if begin < outside.time_s[0] or covered < days - 1e-6:
        raise BadValue(
            "outside",
            f"{max(covered, 0.0):.1f} days from the start",
            f"the {days:g} days wanted; continue a forecast with last year's weather",
        )
