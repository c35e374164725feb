"""What stands around a dome: the weather at its place, and that weather on the steps of a march."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from scionary.dome.humidity import HUMIDITY_RANGE_PCT, TEMPERATURE_RANGE_C
from scionary.dome.kernel import saturated
from scionary.errors import BadValue
from scionary.units import Float, as_floats, check_range, refuse_where

LONGEST_BRIDGE_S = 3 * 3600.0  # project default, unsourced: a shorter gap in the weather is bridged by a straight line


@dataclass(frozen=True, eq=False)
class OutsideAir:
    """Weather at the dome's place: a porch's own logger, a forecast, or last year's file.

    Attributes
    ----------
    time_s : array_like, shape (moments,)
        Moments, rising, seconds since 1970 in UTC [s]; at least two.
    temperature_c, relative_humidity_pct : array_like, shape (moments,)
        Air [°C, -60 to 80; %, 0 to 100.5]. NaN is unknown: up to three hours are bridged by a straight line, a
        longer gap makes what the dome did in it unknown.
    solar_w_m2, wind_m_s : float or array_like
        Sun on the level at the dome's place before its own shade cloth [W/m², 0 to 1500], and wind at it [m/s, 0 to
        60]. A number holds throughout. NaN as above.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.
    """

    time_s: Any
    temperature_c: Any
    relative_humidity_pct: Any
    solar_w_m2: Any = 0.0
    wind_m_s: Any = 0.0
    known: npt.NDArray[np.bool_] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Turn everything into float arrays of one length."""
        time_s = rising("time_s", self.time_s)
        given: dict[str, Float] = {
            "temperature_c": check_range("temperature_c", self.temperature_c, *TEMPERATURE_RANGE_C, "°C"),
            "relative_humidity_pct": check_range("relative_humidity_pct", self.relative_humidity_pct, *HUMIDITY_RANGE_PCT, "%"),
            "solar_w_m2": check_range("solar_w_m2", self.solar_w_m2, 0.0, 1500.0, "W/m²"),
            "wind_m_s": check_range("wind_m_s", self.wind_m_s, 0.0, 60.0, "m/s"),
        }
        known = np.ones(time_s.shape, dtype=bool)
        for name, values in given.items():
            if values.shape not in ((), time_s.shape):
                raise BadValue(name, f"{values.size} values", f"one number, or one for each of the {time_s.size} moments")
            row = np.broadcast_to(values, time_s.shape).copy()
            if np.isnan(row).all():
                raise BadValue(name, "nothing but gaps", "at least one known value")
            known &= ~np.isnan(row)
            object.__setattr__(self, name, row)
        object.__setattr__(self, "time_s", time_s)
        object.__setattr__(self, "known", known)

    def between(self, from_s: float, to_s: float) -> OutsideAir:
        """Cut a stretch out.

        Parameters
        ----------
        from_s, to_s : float
            First and last moment kept [s].

        Returns
        -------
        OutsideAir
            The moments within, both ends included.

        Raises
        ------
        BadValue
            When fewer than two moments lie within.
        """
        keep = (self.time_s >= from_s) & (self.time_s <= to_s)
        columns = (self.time_s, self.temperature_c, self.relative_humidity_pct, self.solar_w_m2, self.wind_m_s)
        return OutsideAir(*(column[keep] for column in columns))


class Grid(NamedTuple):
    """The weather at the ends of steps.

    Attributes
    ----------
    time_s, temperature, vapour, wind, sun : ndarray, shape (moments,)
        [s, °C, kg/m³, m/s, W/m²].
    known : ndarray of bool, shape (moments,)
        False inside a gap too long to be bridged.
    """

    time_s: Float
    temperature: Float
    vapour: Float
    wind: Float
    sun: Float
    known: npt.NDArray[np.bool_]


def on_steps(outside: OutsideAir, step_s: float) -> Grid:
    """Put weather on even steps by straight lines between its moments.

    Parameters
    ----------
    outside : OutsideAir
        Weather.
    step_s : float
        Length of a step [s].

    Returns
    -------
    Grid
        From the first moment, as many whole steps as fit.
    """
    return at_moments(outside, even_moments(outside, step_s))


def even_moments(outside: OutsideAir, step_s: float) -> Float:
    """Give the ends of even steps over weather.

    Parameters
    ----------
    outside : OutsideAir
        Weather.
    step_s : float
        Length of a step [s].

    Returns
    -------
    ndarray, shape (steps + 1,)
        From the first moment, as many whole steps as fit [s].
    """
    steps = int(np.floor((outside.time_s[-1] - outside.time_s[0]) / step_s + 1e-9))
    if steps < 1:
        raise BadValue("step_s", step_s, f"at most the {outside.time_s[-1] - outside.time_s[0]:g} s that the weather covers")
    moments: Float = outside.time_s[0] + step_s * np.arange(steps + 1)
    return moments


def at_moments(outside: OutsideAir, time_s: Float) -> Grid:
    """Put weather on any moments by straight lines between its own.

    Parameters
    ----------
    outside : OutsideAir
        Weather.
    time_s : ndarray
        Moments, rising [s].

    Returns
    -------
    Grid
        The weather at each.
    """
    vapour = saturated(outside.temperature_c) * np.minimum(outside.relative_humidity_pct, 100.0) / 100.0
    return Grid(
        time_s=time_s,
        temperature=_bridged(time_s, outside.time_s, outside.temperature_c),
        vapour=_bridged(time_s, outside.time_s, vapour),
        wind=_bridged(time_s, outside.time_s, outside.wind_m_s),
        sun=_bridged(time_s, outside.time_s, outside.solar_w_m2),
        known=_known(time_s, outside),
    )


def rising(name: str, value: Any, least: int = 2) -> Float:
    """Check a row of moments.

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    value : array_like
        Moments [s].
    least : int
        Fewest moments.

    Returns
    -------
    ndarray
        The moments.
    """
    time_s = as_floats(name, value)
    if time_s.ndim != 1 or time_s.size < least:
        raise BadValue(name, f"{time_s.size} moments", f"a row of {least} or more")
    refuse_where(~np.isfinite(time_s), name, time_s, "known moments")
    refuse_where(np.diff(time_s, prepend=-np.inf) <= 0.0, name, time_s, "moments that rise, none twice")
    return time_s


def _bridged(time_s: Float, moments: Float, row: Float) -> Float:
    there = ~np.isnan(row)
    out: Float = np.interp(time_s, moments[there], row[there])
    return out


def _known(time_s: Float, outside: OutsideAir) -> npt.NDArray[np.bool_]:
    moments = outside.time_s[outside.known]
    if outside.known.all() and np.diff(moments).max() <= LONGEST_BRIDGE_S:
        return np.ones(time_s.shape, dtype=bool)
    if not moments.size:
        return np.zeros(time_s.shape, dtype=bool)
    usual = float(np.median(np.diff(outside.time_s)))
    after = np.searchsorted(moments, time_s, side="left")
    before = np.searchsorted(moments, time_s, side="right") - 1
    inside = (before >= 0) & (after < moments.size)
    wide = moments[np.minimum(after, moments.size - 1)] - moments[np.maximum(before, 0)]
    out: npt.NDArray[np.bool_] = inside & (wide <= max(LONGEST_BRIDGE_S, 1.5 * usual))
    return out
