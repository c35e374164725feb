"""Chill that a winter gave: portions of the dynamic model and Utah units, and what gaps leave open."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from scionary.season.degree_days import AIR_RANGE_C
from scionary.units import Float, check_range, like_input

KELVIN = 273.15  # some tables of the dynamic model take 273: at a constant 0 °C that moves the sum by up to a fifth
# Fishman, Erez & Couvillon (1987), as printed in Luedeling et al. (2009)
E_0, E_1, A_0, A_1 = 4153.5, 12888.8, 1.395e5, 2.567e18
SLOPE, TETMLT = 1.6, 277.0
# Richardson, Seeley & Walker (1974): up to and including the left one the weight on the right counts
UTAH_STEPS_C = (1.4, 2.4, 9.1, 12.4, 15.9, 18.0)
UTAH_WEIGHTS = (0.0, 0.5, 1.0, 0.5, 0.0, -0.5, -1.0)
BEST_CHILL_C = 6.0  # project default, unsourced: near the constant temperature at which portions come fastest


@dataclass(frozen=True)
class ChillRange:
    """Chill of a stretch of hours, with what missing hours leave open.

    Attributes
    ----------
    portions_low, portions_high : float
        Chill portions when the missing hours gave none, and when all of them stood at 6 °C.
    units_low, units_high : float
        Utah units when each missing hour took one away, and when each gave one.
    hours_known, hours_missing : int
        Hours with and without a temperature.
    """

    portions_low: float
    portions_high: float
    units_low: float
    units_high: float
    hours_known: int
    hours_missing: int

    def to_dict(self) -> dict[str, Any]:
        """Give plain values.

        Returns
        -------
        dict
            One entry a field.
        """
        return asdict(self)


def chill_portions(temperature_hourly_c: Any) -> Any:
    """Chill portions since the first hour, by the dynamic model.

    An intermediate product is made in the cold and lost again in warmth; once there is enough of it, a part becomes a
    portion that stays. Kelvin is °C + 273.15. The first hour gives nothing, as in other programs.

    Parameters
    ----------
    temperature_hourly_c : array_like
        Air temperature of each hour [°C], -90 to 60, the hours along the last axis and without a gap between them. A
        NaN adds nothing and leaves the intermediate product as it is: with gaps the sum is a lower bound in all but odd
        cases; `chill_range` says how much they leave open.

    Returns
    -------
    ndarray
        Cumulative chill portions, same shape.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Fishman, Erez & Couvillon (1987), Journal of Theoretical Biology 124:473; constants as in Luedeling, Zhang,
    Luedeling & Girvetz (2009), Agriculture, Ecosystems & Environment 133:23.
    """
    t = check_range("temperature_hourly_c", temperature_hourly_c, *AIR_RANGE_C, "°C")
    kelvin = np.atleast_1d(t) + KELVIN
    ease = 1.0 / (1.0 + np.exp(-SLOPE * TETMLT * (kelvin - TETMLT) / kelvin))
    level = A_0 / A_1 * np.exp((E_1 - E_0) / kelvin)
    stays = np.exp(-A_1 * np.exp(-E_1 / kelvin))
    gained = np.zeros(kelvin.shape)
    for row in np.ndindex(kelvin.shape[:-1]):
        gained[row] = _gained(ease[row].tolist(), level[row].tolist(), stays[row].tolist())
    return like_input(np.cumsum(gained, axis=-1).reshape(t.shape), temperature_hourly_c)


def _gained(ease: list[float], level: list[float], stays: list[float]) -> list[float]:
    """Portions of each hour; `product` is the intermediate one, `share` what of it became a portion in the hour before."""
    gained = [0.0] * len(ease)
    product = share = 0.0
    for hour in range(1, len(ease)):
        before = ease[hour - 1]
        if before == before:  # else not known: what was there stays
            share = before
        now = level[hour]
        if now != now:
            continue
        kept = product - product * share if product >= 1.0 else product
        product = now - (now - kept) * stays[hour]
        if product >= 1.0:
            gained[hour] = product * ease[hour]
    return gained


def utah_chill_units(temperature_hourly_c: Any) -> Any:
    """Chill units since the first hour, by the Utah model: cold hours count, warm ones count against.

    Parameters
    ----------
    temperature_hourly_c : array_like
        Air temperature of each hour [°C], -90 to 60, the hours along the last axis. A NaN adds nothing; `chill_range`
        says how much that leaves open.

    Returns
    -------
    ndarray
        Cumulative units, same shape; they can fall.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    Notes
    -----
    Steps in °C, each up to and including the next figure: 0 up to 1.4, ½ up to 2.4, 1 up to 9.1, ½ up to 12.4, 0 up
    to 15.9, -½ up to 18.0, -1 above. Tables in °F and some programs differ by a tenth of a degree at the edges.

    References
    ----------
    Richardson, Seeley & Walker (1974), HortScience 9:331.
    """
    t = check_range("temperature_hourly_c", temperature_hourly_c, *AIR_RANGE_C, "°C")
    weight = np.array(UTAH_WEIGHTS)[np.searchsorted(UTAH_STEPS_C, np.nan_to_num(t), side="left")]
    units: Float = np.where(np.isnan(t), 0.0, weight)
    return like_input(np.cumsum(units, axis=-1).reshape(t.shape), temperature_hourly_c)


def chill_range(temperature_hourly_c: Any) -> ChillRange:
    """Chill of one stretch of hours, with what its gaps leave open.

    Parameters
    ----------
    temperature_hourly_c : array_like
        Air temperature of each hour [°C], one row; NaN where it is missing.

    Returns
    -------
    ChillRange
        Low and high sums; both are the same when nothing is missing.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.
    """
    t = np.atleast_1d(check_range("temperature_hourly_c", temperature_hourly_c, *AIR_RANGE_C, "°C")).ravel()
    if not t.size:
        return ChillRange(0.0, 0.0, 0.0, 0.0, 0, 0)
    missing = int(np.count_nonzero(np.isnan(t)))
    units = float(utah_chill_units(t)[-1])
    portions = sorted((float(chill_portions(t)[-1]), float(chill_portions(np.where(np.isnan(t), BEST_CHILL_C, t))[-1])))
    return ChillRange(portions[0], portions[1], units - missing, units + missing, t.size - missing, missing)
