"""The callus clock: how much healing warmth a dome has given."""

from __future__ import annotations

from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.units import as_floats, check_range, refuse_where


def callus_degree_days(temperature_c: Any, hours: Any, *, base_c: float, best_c: float, ceiling_c: float) -> float:
    """Thermal time between three cardinal temperatures.

    A degree counts fully from the base up to the best temperature; above it the count falls on a straight line to
    nothing at the ceiling. The shape and the three temperatures are assumptions (project default, unsourced): no
    measured callus response of the species was found. Unknown time adds nothing, so the sum is a lower bound.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature [°C] of each piece of time; NaN adds nothing.
    hours : array_like
        Length of each piece [h], 0 or more.
    base_c, best_c, ceiling_c : float
        Cardinal temperatures [°C], rising.

    Returns
    -------
    float
        Degree days [°C d].

    Raises
    ------
    BadValue
        When the cardinal temperatures do not rise or a length is negative or unknown.
    """
    if not base_c < best_c < ceiling_c:
        raise BadValue("best_c", best_c, f"between base_c {base_c:g} and ceiling_c {ceiling_c:g}")
    t = as_floats("temperature_c", temperature_c)
    length = check_range("hours", hours, 0.0, np.inf, "h")
    refuse_where(np.isnan(length), "hours", length, "0 h or more, known")
    falling = (best_c - base_c) * (ceiling_c - t) / (ceiling_c - best_c)
    response = np.maximum(np.where(t <= best_c, t - base_c, falling), 0.0)
    return float(np.nansum(response * length) / 24.0)
