"""The salt test: a logger closed in over wet table salt reads what the air is known to be there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.dome.series import order_readings
from scionary.errors import BadValue
from scionary.units import check_range, like_input

_RANGE_C = (0.0, 80.0)
_SALT_DOUBT_PCT = 0.3  # the largest uncertainty of the table from 0 to 30 °C is 0.34
_SETTLED_S = 4 * 3600.0  # project default, unsourced: the last hours of the test are taken
_STILL_PCT_H = 0.1  # project default, unsourced: a reading that moves faster has not settled
_FEWEST = 5
_MOST_PCT = 15.0  # project default, unsourced: further away is no offset but another test, or a broken sensor


@dataclass(frozen=True)
class SaltTest:
    """What a salt test says of one humidity sensor; add `offset_pct` to its readings near 75 %.

    Attributes
    ----------
    offset_pct : float
        Known humidity less the sensor's reading [%].
    doubt_pct : float
        About two standard deviations of it [%]: scatter of the readings, and of the salt's own value.
    expected_pct, read_pct : float
        What wet table salt gives at that temperature, and what the sensor read [%].
    temperature_c : float
        Mean temperature of the hours that were used [°C].
    readings : int
        How many readings were used.
    """

    offset_pct: float
    doubt_pct: float
    expected_pct: float
    read_pct: float
    temperature_c: float
    readings: int

    def to_dict(self) -> dict[str, float]:
        """Give plain values.

        Returns
        -------
        dict
            The fields, ready for JSON.
        """
        return dict(vars(self))


def salt_humidity(temperature_c: Any) -> Any:
    """Humidity of still air over wet table salt (saturated sodium chloride): Greenspan's polynomial.

    Parameters
    ----------
    temperature_c : float or array_like
        Temperature of salt and air alike [°C], 0 to 80. NaN gives NaN.

    Returns
    -------
    float or ndarray
        Relative humidity [%], about 75.

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Greenspan (1977), Humidity fixed points of binary saturated aqueous solutions, J. Res. Natl. Bur. Stand. 81A:89-96,
    sodium chloride.
    """
    t = check_range("temperature_c", temperature_c, *_RANGE_C, "°C")
    return like_input(75.5164 + 0.0398321 * t - 0.00265459 * t**2 + 2.848e-5 * t**3, temperature_c)


def salt_test(time_s: Any, temperature_c: Any, relative_humidity_pct: Any) -> SaltTest:
    """Find a sensor's offset from the last hours of a salt test.

    Only the offset near 75 % is known from it; that it holds at 95 % is an assumption (common practice, no source).

    Parameters
    ----------
    time_s : array_like
        Seconds since 1970 in UTC [s].
    temperature_c : array_like
        Temperatures in the closed vessel [°C], 0 to 80; NaN is left out.
    relative_humidity_pct : array_like
        What the sensor read [%]; NaN is left out.

    Returns
    -------
    SaltTest
        The offset with its doubt.

    Raises
    ------
    BadValue
        When too few readings are known, the reading still moves, or lies too far from the salt's value.
    """
    air = order_readings(time_s, temperature_c, relative_humidity_pct)
    last = air.time_s >= (air.time_s[-1] if air.time_s.size else 0.0) - _SETTLED_S
    used = last & ~np.isnan(air.temperature_c) & ~np.isnan(air.relative_humidity_pct)
    count = int(np.count_nonzero(used))
    if count < _FEWEST:
        raise BadValue("relative_humidity_pct", f"{count} known readings", f"at least {_FEWEST} in the last four hours of the test")
    read, hours = air.relative_humidity_pct[used], air.time_s[used] / 3600.0
    drift = float(np.polyfit(hours - hours.mean(), read, 1)[0])
    if abs(drift) > _STILL_PCT_H:
        raise BadValue("relative_humidity_pct", f"moving by {drift:+.2f} % an hour", "a reading that stands: leave it closed for longer")
    expected = float(np.mean(salt_humidity(air.temperature_c[used])))
    offset = expected - float(read.mean())
    if abs(offset) > _MOST_PCT:
        raise BadValue(
            "relative_humidity_pct", round(float(read.mean()), 1), f"within {_MOST_PCT:g} % of {expected:.1f} %, what wet salt gives"
        )
    scatter = float(read.std(ddof=1))
    doubt = 2.0 * float(np.hypot(scatter / np.sqrt(count), _SALT_DOUBT_PCT / 2.0))
    return SaltTest(offset, doubt, expected, float(read.mean()), float(air.temperature_c[used].mean()), count)
