"""Heat sums from daily extremes."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.units import Float, check_range, like_input, refuse_where

AIR_RANGE_C = (-90.0, 60.0)  # project default, unsourced: wider than any air measured at a station


def daily_extremes(temperature_max_c: Any, temperature_min_c: Any) -> tuple[Float, Float]:
    """Check a day's highest and lowest temperature against each other.

    Parameters
    ----------
    temperature_max_c, temperature_min_c : float or array_like
        Highest and lowest air temperature of each day [°C], -90 to 60. NaN passes.

    Returns
    -------
    tuple of ndarray
        Highest and lowest [°C], as floats.

    Raises
    ------
    BadValue
        When one is out of range or a lowest lies above its highest; the message shows which day.
    """
    highest = check_range("temperature_max_c", temperature_max_c, *AIR_RANGE_C, "°C")
    lowest = check_range("temperature_min_c", temperature_min_c, *AIR_RANGE_C, "°C")
    refuse_where(lowest > highest, "temperature_min_c", lowest, "at most the same day's temperature_max_c")
    return highest, lowest


def growing_degree_days(temperature_max_c: Any, temperature_min_c: Any, *, base_c: float, upper_c: float | None = None) -> Any:
    """Degree days of each day by the mean of its extremes.

    The mean method: the day's mean less the base, never below 0. With `upper_c` both extremes are first cut down
    to it. Extremes below the base are not raised to it. The method is common practice; no single source defines it.

    Parameters
    ----------
    temperature_max_c, temperature_min_c : float or array_like
        Highest and lowest air temperature of each day [°C]. NaN gives NaN for that day.
    base_c : float
        Nothing grows below this [°C].
    upper_c : float, optional
        More warmth than this counts no further [°C]; above `base_c`.

    Returns
    -------
    float or ndarray
        Degree days of each day [°C d].

    Raises
    ------
    BadValue
        When extremes are out of range or crossed, or `upper_c` is not above `base_c`.
    """
    highest, lowest = daily_extremes(temperature_max_c, temperature_min_c)
    check_range("base_c", base_c, *AIR_RANGE_C, "°C")
    if upper_c is not None:
        if not upper_c > base_c:
            raise BadValue("upper_c", upper_c, f"above base_c, which is {base_c:g}")
        highest, lowest = np.minimum(highest, upper_c), np.minimum(lowest, upper_c)
    return like_input(np.maximum((highest + lowest) / 2.0 - base_c, 0.0), temperature_max_c, temperature_min_c)
