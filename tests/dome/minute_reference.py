"""A plain loop over minutes, written on its own from the equations of docs/air.md: slow, with a real vapour balance.

It shares no line with the engine: the cover is found by halving, the temperature is stepped by Heun's method, and vapour is
found by repetition (`steady`) or stored in the dome's volume and stepped implicitly.
"""

import math


def es_pa(t):
    return 610.8 * math.exp(17.27 * t / (t + 237.3))


def full(t):
    return es_pa(t) / (461.5 * (t + 273.15))


def breathing(d, outside, vapour, t, area):
    to, vo, wind, _ = outside
    lighter = (t - to) + 149.0 * (vapour - vo)
    lift = math.sqrt(9.81 * d.vent_height_m * math.hypot(lighter, 0.25) / (to + 273.15))
    leak = (0.2 if d.leak_l_min is None else d.leak_l_min) / 60000
    return leak + area * d.vent_factor * (d.wind_factor * wind + d.stack_factor * lift)


def cover_of(d, t, to, vapour):
    low, high = min(t, to) - 1, max(t, to) + 40
    for _ in range(45):
        c = (low + high) / 2
        dew = d.inner_w_m2k * d.cover_area_m2 / 1206 * max(vapour - full(c), 0)
        into = d.inner_w_m2k * d.cover_area_m2 * (t - c) + 2.45e6 * dew
        if into > d.outer_w_m2k * d.cover_area_m2 * (c - to):
            low = c
        else:
            high = c
    return c, dew


def slope(d, t, vapour, outside, area, wet, dt):
    """Heat gained [W] without the mat; the vapour after an implicit step of dt."""
    to, vo, _, sun = outside
    q = breathing(d, outside, vapour, t, area)
    c, dew = cover_of(d, t, to, vapour)
    dewing = d.inner_w_m2k * d.cover_area_m2 / 1206 if dew > 0 else 0.0
    k = wet * d.evaporation_m_s
    after = (vapour * d.volume_m3 / dt + k * full(t) + q * vo + dewing * full(c)) / (d.volume_m3 / dt + k + q + dewing)
    gain = d.absorbed_fraction * d.tray_area_m2 * (1 - d.shade_share) * sun
    heat = gain - d.inner_w_m2k * d.cover_area_m2 * (t - c) - 1206 * q * (t - to) - 2.45e6 * k * (full(t) - after)
    return heat, after, q * (after - vo)


def heun(d, t, heat, vapour, then, area, wet, dt, steady, mat=0.0):
    trial = t + dt * (heat + mat) / d.heat_capacity_j_k
    later, _, _ = slope(d, trial, vapour, then, area, wet, 1e9 if steady else dt)
    return t + dt * ((heat + later) / 2 + mat) / d.heat_capacity_j_k


def minute_loop(d, weather, areas_m2, *, steady=True, dt=60.0):
    """`weather` and `areas_m2` by the minute: rows of (outside °C, kg/m³, m/s, W/m²); gives air [°C], RH [%], water [mm]."""
    t, water = weather[0][0], d.water_mm
    vapour = full(t)
    for _ in range(400):
        _, vapour, _ = slope(d, t, vapour, weather[0], areas_m2[0], d.wet_area_m2, 20.0)
    found = []
    for i, outside in enumerate(weather):
        wet = d.wet_area_m2 if water is None or water > 0 else d.pot_area_m2
        for _ in range(6 if steady else 0):
            _, vapour, _ = slope(d, t, vapour, outside, areas_m2[i], wet, 1e9)
        found.append((t, min(100 * vapour / full(t), 100.0), water))
        heat, after, lost = slope(d, t, vapour, outside, areas_m2[i], wet, 1e9 if steady else dt)
        then = weather[min(i + 1, len(weather) - 1)]
        free = heun(d, t, heat, after, then, areas_m2[i], wet, dt, steady)
        if d.mat and free < d.mat.thermostat_c:
            power = min(d.mat.power_w, (d.mat.thermostat_c - free) * d.heat_capacity_j_k / dt)
            free = heun(d, t, heat, after, then, areas_m2[i], wet, dt, steady, power)
        t, vapour = free, after
        if water is not None:
            water = max(water - dt * lost / d.tray_area_m2, 0.0)
    return found
