"""Light as plants count it: from watts or lux to photons, and the sum of a day."""

from __future__ import annotations

from enum import Enum
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.units import Float, as_floats, check_range, like_input

PHOTONS_PER_JOULE_OF_SUN = 2.06  # µmol/J: 0.45 of the sun's energy lies in 400-700 nm (texts: 0.42 to 0.50), times 4.57
SOURCE = "Thimijan & Heins (1983), HortScience 18:818"
SOLAR_SOURCE = "project default: 0.45 of the sun's energy in 400-700 nm (texts: 0.42 to 0.50) times 4.57 µmol/J"


class LightSource(Enum):
    """A source of light with its two factors, from Thimijan & Heins (1983), HortScience 18:818.

    The value is (words, µmol of photons in a joule of 400-700 nm, lux at 1 µmol/m²/s). Lamps of light-emitting diodes differ
    from one another and are not in the table: for them give `lux_per_umol` from the lamp's data sheet.
    """

    SUN = ("sun and sky", 4.57, 54.0)
    BLUE_SKY = ("blue sky without sun", 4.24, 52.0)
    HIGH_PRESSURE_SODIUM = ("high-pressure sodium lamp", 4.98, 82.0)
    METAL_HALIDE = ("metal halide lamp", 4.59, 71.0)
    COOL_WHITE_TUBE = ("cool white fluorescent tube", 4.59, 74.0)
    INCANDESCENT = ("incandescent bulb", 5.00, 50.0)

    @property
    def words(self) -> str:
        """The source in words."""
        return self.value[0]

    @property
    def umol_per_joule(self) -> float:
        """Photons in a joule of light between 400 and 700 nm [µmol/J]."""
        return self.value[1]

    @property
    def lux_per_umol(self) -> float:
        """Lux at 1 µmol/m²/s."""
        return self.value[2]


def ppfd_from_lux(lux: Any, source: LightSource = LightSource.SUN, *, lux_per_umol: float | None = None) -> Any:
    """Photon flux between 400 and 700 nm from a lux meter.

    Parameters
    ----------
    lux : float or array_like
        Illuminance [lx], 0 to 200 000. NaN gives NaN.
    source : LightSource
        What shines.
    lux_per_umol : float, optional
        Lux at 1 µmol/m²/s of this very lamp, instead of the table's factor; 1 to 200.

    Returns
    -------
    float or ndarray
        Photon flux density (PPFD) [µmol/m²/s].

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Thimijan & Heins (1983), HortScience 18:818, table of conversion factors.
    """
    factor = source.lux_per_umol if lux_per_umol is None else float(check_range("lux_per_umol", lux_per_umol, 1.0, 200.0, "lx s m²/µmol"))
    return like_input(check_range("lux", lux, 0.0, 200_000.0, "lx") / factor, lux)


def ppfd_from_par(par_w_m2: Any, source: LightSource = LightSource.SUN) -> Any:
    """Photon flux from the energy of light between 400 and 700 nm.

    Parameters
    ----------
    par_w_m2 : float or array_like
        Energy of light between 400 and 700 nm [W/m²], 0 to 1000. NaN gives NaN.
    source : LightSource
        What shines.

    Returns
    -------
    float or ndarray
        Photon flux density (PPFD) [µmol/m²/s].

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.

    References
    ----------
    Thimijan & Heins (1983), HortScience 18:818, table of conversion factors.
    """
    return like_input(check_range("par_w_m2", par_w_m2, 0.0, 1000.0, "W/m²") * source.umol_per_joule, par_w_m2)


def ppfd_from_solar(solar_w_m2: Any, *, umol_per_joule: float = PHOTONS_PER_JOULE_OF_SUN) -> Any:
    """Photon flux from what a weather station's solar sensor shows.

    Only for the sun: the sensor counts all wavelengths, of which about 0.45 of the energy are light for plants.

    Parameters
    ----------
    solar_w_m2 : float or array_like
        Solar radiation on the level [W/m²], 0 to 1500. NaN gives NaN.
    umol_per_joule : float
        Photons of 400-700 nm in a joule of sunshine of all wavelengths [µmol/J], 1 to 3.

    Returns
    -------
    float or ndarray
        Photon flux density (PPFD) [µmol/m²/s].

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.
    """
    factor = float(check_range("umol_per_joule", umol_per_joule, 1.0, 3.0, "µmol/J"))
    return like_input(check_range("solar_w_m2", solar_w_m2, 0.0, 1500.0, "W/m²") * factor, solar_w_m2)


def daily_light_integral(ppfd_umol: Any, hours: Any) -> Any:
    """Photons of a day's light: by definition.

    Parameters
    ----------
    ppfd_umol : float or array_like
        Photon flux density [µmol/m²/s], 0 to 4000; its mean over `hours`. NaN gives NaN.
    hours : float or array_like
        How long it shines [h], 0 to 24.

    Returns
    -------
    float or ndarray
        Daily light integral (DLI) [mol/m²/d].

    Raises
    ------
    BadValue
        Naming the argument, the value, its index and the allowed range.
    """
    flux = check_range("ppfd_umol", ppfd_umol, 0.0, 4000.0, "µmol/m²/s")
    return like_input(flux * check_range("hours", hours, 0.0, 24.0, "h") * 3600e-6, ppfd_umol, hours)


def light_of_series(ppfd_umol: Any, interval_s: float) -> tuple[float, float]:
    """Light integral of a stretch of readings, and the time that is not known.

    Parameters
    ----------
    ppfd_umol : array_like
        Photon flux density at equal intervals [µmol/m²/s]; NaN where a reading is missing.
    interval_s : float
        Time from one reading to the next [s], above 0.

    Returns
    -------
    tuple of float
        Integral of the known readings [mol/m²], a lower bound when any is missing; hours missing [h].

    Raises
    ------
    BadValue
        When a reading is out of range or the interval is not above 0.
    """
    flux = check_range("ppfd_umol", ppfd_umol, 0.0, 4000.0, "µmol/m²/s")
    if not interval_s > 0:
        raise BadValue("interval_s", interval_s, "above 0 s")
    missing = np.isnan(flux)
    return float(np.nansum(flux)) * interval_s * 1e-6, float(np.count_nonzero(missing)) * interval_s / 3600.0


def light_of_days(time_s: Any, ppfd_umol: Any, day_edges_s: Any, *, hold_s: float) -> tuple[Float, Float]:
    """Daily light integral of each day of a log.

    A reading stands for the time until the next, at most `hold_s`; the last one stands for none. The rest is unknown.

    Parameters
    ----------
    time_s : array_like, shape (readings,)
        Moments, rising [s].
    ppfd_umol : array_like, shape (readings,)
        Photon flux density [µmol/m²/s], 0 to 4000; NaN where a reading is missing.
    day_edges_s : array_like, shape (days + 1,)
        Midnights [s].
    hold_s : float
        Longest time that a reading stands for [s].

    Returns
    -------
    dli : ndarray, shape (days,)
        Light of the known time of each day [mol/m²/d], a lower bound where some is unknown.
    hours_unknown : ndarray, shape (days,)
        Of each day [h].

    Raises
    ------
    BadValue
        When a reading is out of range.
    """
    time, flux, edges = as_floats("time_s", time_s), check_range("ppfd_umol", ppfd_umol, 0.0, 4000.0, "µmol/m²/s"), np.asarray(day_edges_s)
    held = np.minimum(np.diff(time), hold_s)
    knots = np.column_stack([time[:-1], time[:-1] + held]).ravel()
    known = np.where(np.isnan(flux[:-1]), 0.0, held)
    light, lit = (np.diff(np.interp(edges, knots, _steps(each))) for each in (np.nan_to_num(flux[:-1]) * known, known))
    return np.asarray(daily_light_integral(light / 86_400.0, 24.0)), np.maximum(np.diff(edges) - lit, 0.0) / 3600.0


def _steps(gained: Float) -> Float:
    """A running sum that rises within each reading's time and rests between."""
    total = np.cumsum(gained)
    return np.column_stack([total - gained, total]).ravel()
