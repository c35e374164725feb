"""The dome's balance and its step: one source for numpy rows and for compiled scalars.

Every function takes floats or arrays of one shape, so numpy can march many domes side by side; `compiled` hands the same
functions to numba. Symbols are those of docs/air.md: `v` vapour density of the air [kg/m³], `c` temperature of the cover [°C].
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

AIR_HEAT = 1206.0  # J/m³K, 1.2 kg/m³ times 1005 J/kgK
LATENT_HEAT = 2.45e6  # J/kg, FAO-56, annex 3
VAPOUR_GAS = 461.5  # J/kgK, gas constant of water vapour
LIFT = 149.0  # K per kg/m³: 0.61 · 293 K ÷ 1.2 kg/m³, how much vapour lightens air, as warmth
STIRRING_K = 0.25  # difference below which a vent breathes no less: project default, unsourced
GRAVITY = 9.81  # m/s²
MOST_ROUNDS = 40
SETTLED = 1e-7  # of the largest flux; one more Newton step follows, which squares what is left


class Sizes(NamedTuple):
    """One dome as the kernel needs it, all in SI.

    Attributes
    ----------
    inner, outer : float
        Conductance from air to cover and from cover to outside [W/K].
    heat_capacity : float
        Of tray, pots and air [J/K].
    sun : float
        Heat taken up for each W/m² outside [m²].
    pots, film : float
        Evaporation conductance of what stays wet and of the water film [m³/s].
    film_area : float
        Area over which the film lies, from which pots drink too [m²].
    leak, wind, stack : float
        Leak [m³/s]; wind and stack factors, the latter times the root of the height [1, m^½].
    mat, thermostat : float
        Power [W] and set temperature [°C] of the heat mat.
    """

    inner: Any
    outer: Any
    heat_capacity: Any
    sun: Any
    pots: Any
    film: Any
    film_area: Any
    leak: Any
    wind: Any
    stack: Any
    mat: Any
    thermostat: Any


class Around(NamedTuple):
    """What is outside at one moment: temperature [°C], vapour [kg/m³], wind and stack exchange [m³/s, m³/s/K^½], heat of sun [W]."""

    temperature: Any
    vapour: Any
    exchange: Any
    draught: Any
    heat: Any


def saturated(t: Any) -> Any:
    """Vapour density of saturated air: FAO-56 eq. 11 and the gas law.

    Parameters
    ----------
    t : float or ndarray
        Temperature [°C].

    Returns
    -------
    float or ndarray
        Vapour density [kg/m³].
    """
    return 610.8 * np.exp(17.27 * t / (t + 237.3)) / (VAPOUR_GAS * (t + 273.15))


def saturated_slope(t: Any, density: Any) -> Any:
    """Change of the saturated vapour density with temperature.

    Parameters
    ----------
    t : float or ndarray
        Temperature [°C].
    density : float or ndarray
        Saturated vapour density there [kg/m³].

    Returns
    -------
    float or ndarray
        Slope [kg/m³K].
    """
    return density * (17.27 * 237.3 / (t + 237.3) ** 2 - 1.0 / (t + 273.15))


def around(temperature: Any, vapour: Any, wind: Any, sun: Any, opening: Any, sizes: Sizes) -> Around:
    """Tell what stands outside this dome with its vents so far open.

    Parameters
    ----------
    temperature, vapour, wind, sun : float or ndarray
        Weather [°C, kg/m³, m/s, W/m²].
    opening : float or ndarray
        Open area of vents [m²].
    sizes : Sizes
        The dome.

    Returns
    -------
    Around
        As the balances need it.
    """
    exchange = sizes.leak + sizes.wind * opening * wind
    draught = sizes.stack * opening * np.sqrt(GRAVITY / (temperature + 273.15))
    return Around(temperature, vapour, exchange, draught, sizes.sun * sun)


def settled(left: Any) -> bool:
    """Tell whether every dome of a row is settled.

    Parameters
    ----------
    left : float or ndarray
        What is left of the balances.

    Returns
    -------
    bool
        True when all are small.
    """
    return bool(np.all(left <= SETTLED))


def settle(t: Any, out: Around, wet: Any, sizes: Sizes, v: Any, c: Any) -> tuple[Any, Any, Any]:
    """Find vapour and cover for air at `t`: Newton on the two balances, from a first guess.

    Whether the cover dews is told from the cover without dew: for a given exchange of air the wet balance is convex and
    rising in the cover's temperature, so that Newton cannot miss it.

    Parameters
    ----------
    t : float or ndarray
        Air [°C].
    out : Around
        What stands outside.
    wet : float or ndarray
        Evaporation conductance [m³/s].
    sizes : Sizes
        The dome.
    v, c : float or ndarray
        First guess of vapour [kg/m³] and cover [°C].

    Returns
    -------
    v, c, left : float or ndarray
        Vapour, cover, and what is left of the two balances over the largest flux.
    """
    full = saturated(t)
    low, high = np.minimum(full, out.vapour), np.maximum(full, out.vapour)
    dry = (sizes.inner * t + sizes.outer * out.temperature) / (sizes.inner + sizes.outer)
    at_dry_cover = saturated(dry)
    left = 0.0 * t + 1.0
    for turn in range(MOST_ROUNDS):
        was = left
        at_cover = saturated(c)
        d = t - out.temperature + LIFT * (v - out.vapour)
        root = np.sqrt(np.sqrt(d * d + STIRRING_K * STIRRING_K))
        q = out.exchange + out.draught * root
        dq = LIFT * out.draught * d / (2.0 * root * root * root)
        dewing = (wet * full + q * out.vapour > (wet + q) * at_dry_cover) * sizes.inner / AIR_HEAT
        dew = dewing * (v - at_cover)
        r1 = wet * (full - v) - q * (v - out.vapour) - dew
        r2 = sizes.inner * (t - c) + LATENT_HEAT * dew - sizes.outer * (c - out.temperature)
        most = LATENT_HEAT * (wet * np.abs(full - v) + q * np.abs(v - out.vapour) + np.abs(dew)) + sizes.inner * np.abs(t - c) + 1e-6
        left = (LATENT_HEAT * np.abs(r1) + np.abs(r2)) / most
        slope = dewing * saturated_slope(c, at_cover)
        j11 = np.maximum(wet + q + dq * (v - out.vapour), 0.5 * (wet + q)) + dewing
        j22 = sizes.inner + sizes.outer + LATENT_HEAT * slope
        det = j11 * j22 - slope * LATENT_HEAT * dewing
        stride = 1.0 if turn < 8 else 0.6
        v = np.minimum(np.maximum(v + stride * (j22 * r1 + slope * r2) / det, low), high)
        c = c + (LATENT_HEAT * dewing * r1 + j11 * r2) / det
        if settled(was):
            break
    return v, c, left


def advance(t: Any, v: Any, c: Any, here: Around, there: Around, wet: Any, sizes: Sizes, step_s: Any) -> tuple[Any, Any, Any, Any, Any]:
    """Carry the settled dome over one step: the exponential Rosenbrock-Euler step with its term for a changing outside.

    A thermostat is ideal: the mat gives what ends the step at its temperature, between nothing and its power.

    Parameters
    ----------
    t, v, c : float or ndarray
        Air [°C], vapour [kg/m³] and cover [°C], settled.
    here, there : Around
        What stands outside at the step's two ends.
    wet : float or ndarray
        Evaporation conductance [m³/s].
    sizes : Sizes
        The dome.
    step_s : float or ndarray
        Length of the step [s].

    Returns
    -------
    t, v, c, mat, lost : float or ndarray
        The new temperature, first guesses of vapour and cover, the mat's mean power [W], the water lost at the step's
        beginning [kg/s].
    """
    full, at_cover = saturated(t), saturated(c)
    full_slope = saturated_slope(t, full)
    more = v - here.vapour
    d = t - here.temperature + LIFT * more
    root = np.sqrt(np.sqrt(d * d + STIRRING_K * STIRRING_K))
    q = here.exchange + here.draught * root
    dq = here.draught * d / (2.0 * root * root * root)
    dewing = (v > at_cover) * sizes.inner / AIR_HEAT
    slope = dewing * saturated_slope(c, at_cover)
    j11 = wet + q + LIFT * dq * more + dewing
    j22 = sizes.inner + sizes.outer + LATENT_HEAT * slope
    det = j11 * j22 - slope * LATENT_HEAT * dewing
    warmer = t - here.temperature

    # how vapour and cover follow the air's temperature, then the outside's change over the step
    r1, r2 = wet * full_slope - dq * more, sizes.inner
    v_t, c_t = (j22 * r1 + slope * r2) / det, (LATENT_HEAT * dewing * r1 + j11 * r2) / det
    outer, vapour = there.temperature - here.temperature, there.vapour - here.vapour
    q_o = there.exchange - here.exchange + (there.draught - here.draught) * root - dq * (outer + LIFT * vapour)
    r1, r2 = q * vapour - q_o * more, sizes.outer * outer
    v_o, c_o = (j22 * r1 + slope * r2) / det, (LATENT_HEAT * dewing * r1 + j11 * r2) / det

    gain = here.heat - sizes.inner * (t - c) - AIR_HEAT * q * warmer - LATENT_HEAT * wet * (full - v)
    by_v = LATENT_HEAT * wet - AIR_HEAT * LIFT * dq * warmer
    by_t = -sizes.inner - AIR_HEAT * (q + dq * warmer) - LATENT_HEAT * wet * full_slope + by_v * v_t + sizes.inner * c_t
    by_o = there.heat - here.heat - AIR_HEAT * (q_o * warmer - q * outer) + by_v * v_o + sizes.inner * c_o

    z = by_t * step_s / sizes.heat_capacity
    once = np.expm1(z) / z
    twice = (once - 1.0) / z
    free = t + (once * gain + twice * by_o) * step_s / sizes.heat_capacity
    heated = once * sizes.mat * step_s / sizes.heat_capacity
    new = np.maximum(free, np.minimum(sizes.thermostat, free + heated))
    mat = sizes.mat * (new - free) / np.maximum(heated, 1e-12)
    return new, v + v_t * (new - t) + v_o, c + c_t * (new - t) + c_o, mat, q * more


def march(
    step_s: Any,
    temperature: Any,
    vapour: Any,
    wind: Any,
    sun: Any,
    opening: Any,
    sizes: Sizes,
    start: Any,
    film: Any,
    made: Any,
) -> None:
    """Fill `made`, shape (6, moments[, domes]): air and cover [°C], vapour [kg/m³], water film [mm], mat [W], what is left.

    The mat's row holds its mean over the step that follows.

    Parameters
    ----------
    step_s, opening : ndarray, shape (steps[, domes])
        Length [s] and open area [m²] of each step.
    temperature, vapour, wind, sun : ndarray, shape (moments[, domes])
        Weather [°C, kg/m³, m/s, W/m²].
    sizes : Sizes
        The dome or domes.
    start, film : float or ndarray
        Air at the start [°C], water in the tray [mm].
    made : ndarray
        Filled.
    """
    last = temperature.shape[0] - 1
    t, v, c, mat = start, saturated(start), start, 0.0 * start
    for n in range(last + 1):
        a = opening[min(n, last - 1)]
        here = around(temperature[n], vapour[n], wind[n], sun[n], a, sizes)
        wet = sizes.pots + sizes.film * (film > 0.0)
        v, c, left = settle(t, here, wet, sizes, v, c)
        made[0, n], made[1, n], made[2, n], made[3, n], made[5, n] = t, c, v, film, left
        if n < last:
            there = around(temperature[n + 1], vapour[n + 1], wind[n + 1], sun[n + 1], a, sizes)
            t, v, c, mat, lost = advance(t, v, c, here, there, wet, sizes, step_s[n])
            film = np.maximum(film - step_s[n] * lost / sizes.film_area, 0.0)
        made[4, n] = mat
