"""Episodes: stretches of a log that a grower should look at."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.dome.limits import AirLimits
from scionary.dome.series import Stretches
from scionary.units import Float

Bool = npt.NDArray[np.bool_]
Index = npt.NDArray[np.intp]


class Kind(StrEnum):
    """What happened in an episode."""

    HEAT = "heat"
    DRY = "dry"
    GAP = "gap"
    STUCK = "stuck"
    FULL = "full"


class Measure(StrEnum):
    """Which of the two sensors an episode is about."""

    TEMPERATURE = "temperature"
    HUMIDITY = "humidity"
    BOTH = "both"


@dataclass(frozen=True)
class Episode:
    """One stretch of time without a break.

    Attributes
    ----------
    kind : Kind
        Heat, dry, gap (nothing known: unknown, not fine), stuck (a sensor that stands still) or full (a humidity sensor
        at its end for too long).
    from_s, to_s : float
        Where it begins and ends, seconds since 1970 in UTC [s].
    worst : float
        Highest temperature [°C] of heat, lowest humidity [%] of dry, the value shown of stuck, the lowest humidity [%]
        of full; NaN for a gap.
    hours : float
        Length [h].
    measure : Measure
        The sensor that it is about.
    """

    kind: Kind
    from_s: float
    to_s: float
    worst: float
    hours: float
    measure: Measure

    def to_dict(self) -> dict[str, Any]:
        """Give plain values; an unknown number is None.

        Returns
        -------
        dict
            The fields, ready for JSON.
        """
        return {
            "kind": self.kind.value,
            "from_s": self.from_s,
            "to_s": self.to_s,
            "worst": None if np.isnan(self.worst) else self.worst,
            "hours": self.hours,
            "measure": self.measure.value,
        }


def find_episodes(stretches: Stretches, limits: AirLimits) -> tuple[Episode, ...]:
    """Find heat, dryness, gaps, sensors that stand still and humidity sensors at their end.

    Parameters
    ----------
    stretches : Stretches
        Pieces of time, end to end.
    limits : AirLimits
        What counts as hot, dry and stuck.

    Returns
    -------
    tuple of Episode
        In order of their beginnings.
    """
    found = [
        *_heat(stretches, limits),
        *_dry(stretches, limits),
        *_gaps(stretches),
        *_stuck(stretches, limits),
        *_full(stretches, limits),
    ]
    return tuple(sorted(found, key=lambda each: (each.from_s, each.kind, each.measure)))


def stuck_mask(values: Float, stretches: Stretches, after_s: float) -> Bool:
    """Tell which pieces belong to a value that stands still for `after_s` or longer; one reading alone never does.

    Parameters
    ----------
    values : ndarray
        One sensor's value in each piece; NaN is unknown and breaks a run.
    stretches : Stretches
        The pieces.
    after_s : float
        How long the same value must stand [s].

    Returns
    -------
    ndarray of bool
        True for stuck pieces.
    """
    if not values.size:
        return np.zeros(0, dtype=bool)
    first = np.flatnonzero(np.append(True, values[1:] != values[:-1]))
    last = np.append(first[1:], values.size) - 1
    long = (last > first) & (stretches.to_s[last] - stretches.from_s[first] >= after_s)
    return np.repeat(long, last - first + 1) & ~np.isnan(values)


def stuck_temperature(stretches: Stretches, limits: AirLimits) -> Bool:
    """Tell in which pieces the temperature stands still for too long.

    Parameters
    ----------
    stretches : Stretches
        The pieces.
    limits : AirLimits
        `stuck_after_s` is used.

    Returns
    -------
    ndarray of bool
        True for stuck pieces.
    """
    return stuck_mask(stretches.temperature_c, stretches, limits.stuck_after_s)


def stuck_humidity(stretches: Stretches, limits: AirLimits) -> Bool:
    """Tell in which pieces the humidity stands still for too long; wet air may.

    Parameters
    ----------
    stretches : Stretches
        The pieces.
    limits : AirLimits
        `stuck_after_s` and `saturated_pct` are used.

    Returns
    -------
    ndarray of bool
        True for stuck pieces below `saturated_pct`.
    """
    humidity = stretches.relative_humidity_pct
    return stuck_mask(humidity, stretches, limits.stuck_after_s) & (humidity < limits.saturated_pct)


def _heat(stretches: Stretches, limits: AirLimits) -> list[Episode]:
    temperature = stretches.temperature_c
    first, last = _runs(temperature > limits.heat_limit_c)
    return _episodes(Kind.HEAT, Measure.TEMPERATURE, stretches, first, last, _over_runs(np.maximum, temperature, first, last))


def _dry(stretches: Stretches, limits: AirLimits) -> list[Episode]:
    humidity = stretches.relative_humidity_pct
    first, last = _runs(humidity < limits.humidity_low_pct)
    return _episodes(Kind.DRY, Measure.HUMIDITY, stretches, first, last, _over_runs(np.minimum, humidity, first, last))


def _gaps(stretches: Stretches) -> list[Episode]:
    no_temperature, no_humidity = np.isnan(stretches.temperature_c), np.isnan(stretches.relative_humidity_pct)
    found: list[Episode] = []
    for measure, mask in (
        (Measure.BOTH, no_temperature & no_humidity),
        (Measure.TEMPERATURE, no_temperature & ~no_humidity),
        (Measure.HUMIDITY, no_humidity & ~no_temperature),
    ):
        first, last = _runs(mask)
        found += _episodes(Kind.GAP, measure, stretches, first, last, np.full(first.shape, np.nan))
    return found


def _stuck(stretches: Stretches, limits: AirLimits) -> list[Episode]:
    found: list[Episode] = []
    for measure, values, mask in (
        (Measure.TEMPERATURE, stretches.temperature_c, stuck_temperature(stretches, limits)),
        (Measure.HUMIDITY, stretches.relative_humidity_pct, stuck_humidity(stretches, limits)),
    ):
        first, last = _runs(mask, values)
        found += _episodes(Kind.STUCK, measure, stretches, first, last, values[first])
    return found


def _full(stretches: Stretches, limits: AirLimits) -> list[Episode]:
    humidity = stretches.relative_humidity_pct
    first, last = _runs(humidity >= limits.full_pct)
    long = stretches.to_s[last] - stretches.from_s[first] >= limits.full_after_s
    first, last = first[long], last[long]
    return _episodes(Kind.FULL, Measure.HUMIDITY, stretches, first, last, _over_runs(np.minimum, humidity, first, last))


def _runs(mask: Bool, values: Float | None = None) -> tuple[Index, Index]:
    """First and last piece of each run of True; with values a run also ends where the value changes."""
    starts, ends = mask.copy(), mask.copy()
    if mask.size:
        joined = mask[1:] & mask[:-1]
        if values is not None:
            joined &= values[1:] == values[:-1]
        starts[1:] &= ~joined
        ends[:-1] &= ~joined
    return np.flatnonzero(starts), np.flatnonzero(ends)


def _over_runs(reduce: np.ufunc, values: Float, first: Index, last: Index) -> Float:
    if not first.size:
        return np.zeros(0)
    bounds = np.stack([first, last + 1], axis=1).ravel()
    out: Float = reduce.reduceat(np.append(values, values[-1]), bounds)[::2]
    return out


def _episodes(kind: Kind, measure: Measure, stretches: Stretches, first: Index, last: Index, worst: Float) -> list[Episode]:
    from_s, to_s = stretches.from_s[first], stretches.to_s[last]
    rows = zip(from_s.tolist(), to_s.tolist(), worst.tolist(), strict=True)
    return [Episode(kind, begin, end, value, (end - begin) / 3600.0, measure) for begin, end, value in rows]
