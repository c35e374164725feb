"""Water in the root zone of a mother tree: what it holds, what is lacking, and when the lack is felt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.units import Float, check_range, like_input, refuse_where

STILL_OPEN_MM = 1e-9
MOST_MM = 15.0  # project default, unsourced: more than a tree draws on any day; stands for a day that is not known
ENOUGH_MM = 1e6  # fills any root zone; stands for rain that is not known


@dataclass(frozen=True, eq=False)
class WaterBalance:
    """Soil water day by day; every array has one entry a day.

    Attributes
    ----------
    deficit_mm : ndarray of float
        Water lacking at the end of the day [mm]; NaN while a day without rain or evapotranspiration leaves it open.
    deficit_low_mm, deficit_high_mm : ndarray of float
        Between these it lies in any case [mm].
    stress_coefficient : ndarray of float
        Ks of the day: 1 the tree drinks as it likes, 0 it drinks nothing; NaN while it is open.
    stress_low, stress_high : ndarray of float
        Between these it lies in any case.
    evapotranspiration_mm : ndarray of float
        What the tree drew under that stress [mm]; NaN while it is open.
    drained_mm : ndarray of float
        Water that ran through [mm]; NaN while it is open.
    available_mm, readily_available_mm : float
        Total and readily available water of the root zone [mm].
    """

    deficit_mm: Float
    deficit_low_mm: Float
    deficit_high_mm: Float
    stress_coefficient: Float
    stress_low: Float
    stress_high: Float
    evapotranspiration_mm: Float
    drained_mm: Float
    available_mm: float
    readily_available_mm: float

    def to_dict(self) -> dict[str, Any]:
        """Give plain lists; what is not known is None.

        Returns
        -------
        dict
            One list a column, and the two sizes of the root zone.
        """
        sizes = ("available_mm", "readily_available_mm")
        plain: dict[str, Any] = {name: getattr(self, name) for name in sizes}
        columns = [name for name in self.__dataclass_fields__ if name not in sizes]
        return plain | {name: [None if np.isnan(x) else float(x) for x in getattr(self, name)] for name in columns}


def available_water(field_capacity: Any, wilting_point: Any, root_depth_m: Any) -> Any:
    """Total available water of a root zone: FAO-56 eq. 82.

    Parameters
    ----------
    field_capacity, wilting_point : float or array_like
        Water content of the soil, volume in volume, 0 to 1; the wilting point below field capacity.
    root_depth_m : float or array_like
        Depth of the root zone [m], 0.01 to 10.

    Returns
    -------
    float or ndarray
        Total available water [mm].

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 82.
    """
    capacity = check_range("field_capacity", field_capacity, 0.0, 1.0)
    wilting = check_range("wilting_point", wilting_point, 0.0, 1.0)
    refuse_where(wilting >= capacity, "wilting_point", wilting, "below field_capacity")
    depth = check_range("root_depth_m", root_depth_m, 0.01, 10.0, "m")
    return like_input(np.asarray(1000.0 * (capacity - wilting) * depth), field_capacity, wilting_point, root_depth_m)


def stress_coefficient(deficit_mm: Any, *, available_mm: Any, depletion_fraction: Any) -> Any:
    """How far a lack of water holds the tree back: FAO-56 eq. 84.

    Parameters
    ----------
    deficit_mm : float or array_like
        Water lacking in the root zone [mm], 0 or more. NaN gives NaN.
    available_mm : float or array_like
        Total available water of the root zone [mm], above 0.
    depletion_fraction : float or array_like
        Share of it that a tree draws without feeling a lack, 0 to below 1.

    Returns
    -------
    float or ndarray
        Ks: 1 without stress, 0 when all available water is gone.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 84.
    """
    deficit = check_range("deficit_mm", deficit_mm, 0.0, np.inf, "mm")
    total, share = _zone(available_mm, depletion_fraction)
    return like_input(_stress(deficit, total, share), deficit_mm, available_mm, depletion_fraction)


def water_deficit(
    rain_mm: Any,
    evapotranspiration_mm: Any,
    *,
    available_mm: float,
    depletion_fraction: float,
    irrigation_mm: Any = 0.0,
    start_deficit_mm: float | None = 0.0,
) -> WaterBalance:
    """Balance the root zone day by day: FAO-56 eq. 80, 84 to 86 and 88.

    A day's water comes at its beginning (as in the paper's annex 8), then the tree draws; what the zone cannot hold runs
    through. No run-off, no water from below.

    Parameters
    ----------
    rain_mm : array_like
        Rain of each day [mm], 0 to 2000. NaN: not known; the deficit is open until water fills the zone again.
    evapotranspiration_mm : array_like
        What a tree with enough water would draw on each day [mm], 0 to 50: ET0 times the crop coefficient. NaN as above.
    available_mm : float
        Total available water [mm], above 0.
    depletion_fraction : float
        Share of it that the tree draws without feeling a lack, 0 to below 1.
    irrigation_mm : array_like
        Water given on each day [mm], 0 to 2000.
    start_deficit_mm : float or None
        Water lacking before the first day [mm], 0 to `available_mm`; None: not known.

    Returns
    -------
    WaterBalance
        One entry a day.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Allen, Pereira, Raes & Smith (1998), FAO Irrigation and Drainage Paper 56, chapter 8.
    """
    water, demand = _daily(rain_mm, evapotranspiration_mm, irrigation_mm)
    _zone(available_mm, depletion_fraction)
    if start_deficit_mm is not None:
        check_range("start_deficit_mm", start_deficit_mm, 0.0, available_mm, "mm")
    start = (0.0, available_mm) if start_deficit_mm is None else (start_deficit_mm, start_deficit_mm)
    unknown = np.isnan(water), np.isnan(demand)
    wettest = _course(start[0], np.where(unknown[0], ENOUGH_MM, water), np.where(unknown[1], 0.0, demand), available_mm, depletion_fraction)
    driest = _course(start[1], np.where(unknown[0], 0.0, water), np.where(unknown[1], MOST_MM, demand), available_mm, depletion_fraction)
    return _balance(wettest, driest, ~(unknown[0] | unknown[1]), available_mm, depletion_fraction)


def _course(start: float, water: Float, demand: Float, total: float, share: float) -> Float:
    """Columns deficit at the end, Ks, drawn, drained of each day."""
    rows = np.empty((water.size, 4))
    deficit = start
    for day, (given, wanted) in enumerate(zip(water.tolist(), demand.tolist(), strict=True)):
        drained = max(given - deficit, 0.0)
        deficit = max(deficit - given, 0.0)
        ks = min(max((total - deficit) / ((1.0 - share) * total), 0.0), 1.0)
        drawn = min(ks * wanted, total - deficit)
        deficit += drawn
        rows[day] = deficit, ks, drawn, drained
    return rows


def _balance(wet: Float, dry: Float, known: Any, total: float, share: float) -> WaterBalance:
    settled = known & (np.abs(dry[:, :2] - wet[:, :2]) <= STILL_OPEN_MM).all(axis=1)
    deficit, ks, drawn, drained = np.where(settled[:, None], wet, np.nan).T
    low, high = np.minimum(wet, dry), np.maximum(wet, dry)
    return WaterBalance(deficit, low[:, 0], high[:, 0], ks, low[:, 1], high[:, 1], drawn, drained, float(total), float(total * share))


def _stress(deficit: Float, total: Float, share: Float) -> Float:
    return np.asarray(np.clip((total - deficit) / ((1.0 - share) * total), 0.0, 1.0))


def _zone(available_mm: Any, depletion_fraction: Any) -> tuple[Float, Float]:
    total = check_range("available_mm", available_mm, 0.0, 5000.0, "mm")
    refuse_where(~(total > 0.0), "available_mm", total, "above 0 to 5000 mm")
    share = check_range("depletion_fraction", depletion_fraction, 0.0, 1.0)
    refuse_where(~(share < 1.0), "depletion_fraction", share, "0 to below 1")
    return total, share


def _daily(rain_mm: Any, evapotranspiration_mm: Any, irrigation_mm: Any) -> tuple[Float, Float]:
    rain = check_range("rain_mm", rain_mm, 0.0, 2000.0, "mm")
    demand = check_range("evapotranspiration_mm", evapotranspiration_mm, 0.0, 50.0, "mm")
    given = check_range("irrigation_mm", irrigation_mm, 0.0, 2000.0, "mm")
    try:
        rain, demand, given = np.broadcast_arrays(rain, demand, given)
    except ValueError as error:
        raise BadValue("rain_mm", f"{rain.size} days", f"as many as evapotranspiration_mm, {demand.size}") from error
    if rain.ndim > 1:
        raise BadValue("rain_mm", f"an array of shape {rain.shape}", "one row of days")
    return np.atleast_1d(rain + given), np.atleast_1d(demand)
