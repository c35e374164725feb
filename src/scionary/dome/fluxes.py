"""Every flow of heat and water of a dome, worked out from its state."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from scionary.dome.kernel import AIR_HEAT, LATENT_HEAT, LIFT, STIRRING_K, VAPOUR_GAS, Around, Sizes, around, saturated
from scionary.dome.outside import Grid
from scionary.units import Float


class Fluxes(NamedTuple):
    """What flows at each moment [W, except the exchange]; evaporation and dew as the heat that they carry.

    Attributes
    ----------
    sun, mat, inner, vented, evaporation, dew, outer : ndarray
        Sun and mat into the dome, air to cover, air carried out, evaporation, dew on the cover, cover to outside [W].
    exchange : ndarray
        Air exchanged [m³/s].
    lost_kg_s : ndarray
        Water carried out [kg/s].
    """

    sun: Float
    mat: Float
    inner: Float
    vented: Float
    evaporation: Float
    dew: Float
    outer: Float
    exchange: Float
    lost_kg_s: Float

    @property
    def net(self) -> Float:
        """What warms tray, pots and air [W]."""
        return self.sun + self.mat - self.inner - self.vented - self.evaporation


def fluxes_at(t: Any, c: Any, v: Any, out: Around, wet: Any, sizes: Sizes, mat: Any) -> Fluxes:
    """Work out every flow from the state.

    Parameters
    ----------
    t, c, v : ndarray
        Air and cover [°C], vapour [kg/m³].
    out : Around
        What stands outside.
    wet : ndarray
        Evaporation conductance [m³/s].
    sizes : Sizes
        The dome.
    mat : ndarray
        Heat of the mat [W].

    Returns
    -------
    Fluxes
        One value a moment.
    """
    lighter = t - out.temperature + LIFT * (v - out.vapour)
    exchange = out.exchange + out.draught * np.sqrt(np.sqrt(lighter * lighter + STIRRING_K * STIRRING_K))
    return Fluxes(
        sun=np.asarray(out.heat),
        mat=mat,
        inner=sizes.inner * (t - c),
        vented=AIR_HEAT * exchange * (t - out.temperature),
        evaporation=LATENT_HEAT * wet * (saturated(t) - v),
        dew=LATENT_HEAT * sizes.inner / AIR_HEAT * np.maximum(v - saturated(c), 0.0),
        outer=sizes.outer * (c - out.temperature),
        exchange=exchange,
        lost_kg_s=exchange * (v - out.vapour),
    )


def fluxes_of(grid: Grid, opening: Float, sizes: Sizes, made: Float) -> Fluxes:
    """Work out every flow at the steps' ends of a march.

    Parameters
    ----------
    grid : Grid
        Weather on steps.
    opening : ndarray, shape (steps,)
        Open area of each step [m²].
    sizes : Sizes
        The dome.
    made : ndarray, shape (6, moments)
        What the march gave.

    Returns
    -------
    Fluxes
        With the vents as they stand after each moment.
    """
    wet = sizes.pots + sizes.film * (made[3] > 0.0)
    out = around(grid.temperature, grid.vapour, grid.wind, grid.sun, np.append(opening, opening[-1]), sizes)
    return fluxes_at(made[0], made[1], made[2], out, wet, sizes, made[4])


def air_of(made: Float) -> tuple[Float, Float, Float]:
    """Turn a march into temperature, humidity and deficit.

    Parameters
    ----------
    made : ndarray, shape (6, ...)
        What a march gave.

    Returns
    -------
    temperature_c, relative_humidity_pct, vapour_pressure_deficit_kpa : ndarray
        Of the march's shape.
    """
    full = saturated(made[0])
    humidity = np.minimum(100.0 * made[2] / full, 100.0)
    pressure = full * VAPOUR_GAS * (made[0] + 273.15) / 1000.0
    return made[0], humidity, pressure * (1.0 - humidity / 100.0)
