"""What a log's temperature and humidity say of its water: dew point, wet bulb and vapour in the air."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.dome.humidity import absolute_humidity, dew_point, wet_bulb
from scionary.dome.limits import AirLimits
from scionary.dome.report import Spread, spread_of
from scionary.dome.series import order_readings, stretches_of
from scionary.units import Float


@dataclass(frozen=True)
class Moisture:
    """Mean over time, lowest and highest; NaN where no reading holds both temperature and humidity.

    Attributes
    ----------
    dew_point_c : Spread
        A surface as cool as this is wet [°C].
    wet_bulb_c : Spread
        Of a wet, well ventilated surface at sea level [°C].
    absolute_humidity_g_m3 : Spread
        Water in the air [g/m³].
    """

    dew_point_c: Spread
    wet_bulb_c: Spread
    absolute_humidity_g_m3: Spread


def moisture(time_s: Any, temperature_c: Any, relative_humidity_pct: Any, limits: AirLimits | None = None) -> Moisture:
    """Sum up the water of a log; readings weigh by the time that they stand for, as in `air_report`.

    Parameters
    ----------
    time_s : array_like
        Seconds since 1970 in UTC [s], shape (n,), in any order.
    temperature_c : array_like
        Air temperature [°C], shape (n,). NaN is unknown.
    relative_humidity_pct : array_like
        Relative humidity [%], shape (n,). NaN is unknown; 0 has no dew point and is left out of it.
    limits : AirLimits, optional
        How long a reading stands for; the project's defaults when left out.

    Returns
    -------
    Moisture
        Means, lowest and highest.

    Raises
    ------
    BadValue
        When the lengths differ or a time is not a finite number.
    """
    readings = order_readings(time_s, temperature_c, relative_humidity_pct)
    held = stretches_of(readings, hold_s=(limits or AirLimits()).hold_s(readings.interval_s))
    return Moisture(*(spread_of(readings, held, measure) for measure in (_dew_point, wet_bulb, absolute_humidity)))


def _dew_point(temperature_c: Float, relative_humidity_pct: Float) -> Any:
    return dew_point(temperature_c, np.where(relative_humidity_pct > 0.0, relative_humidity_pct, np.nan))
