"""Invented logs: a dome whose truth is known, read every ten minutes by a logger that errs, with vents that were moved."""

import numpy as np

from dome.dome_weather import porch
from scionary.dome import DomeSpec, InsideAir, Vents, simulate_dome


def logged(seed, *, days=11, closed=False, leak_l_min=None, offset_pct=None, drift=True):
    """The truth, the weather, the log and the vents."""
    rng = np.random.default_rng([7, seed])
    outside = porch(days, seed=1000 + seed, sunny=rng.uniform(300, 700))
    truth = DomeSpec(
        shade_share=0.5,
        absorbed_fraction=min(0.65 * np.exp(rng.normal(0, 0.25)), 0.95),
        vent_factor=np.exp(rng.normal(0, 0.4)),
        heat_capacity_j_k=8000 * np.exp(rng.normal(0, 0.3)),
        evaporation_m_s=0.0035 * np.exp(rng.normal(0, 0.3)),
        leak_l_min=float(np.exp(rng.uniform(np.log(0.02), np.log(0.8)))) if leak_l_min is None else leak_l_min,
    )
    changes = np.arange(0, days * 86400, 1.5 * 86400) + 30_000
    areas = np.zeros(changes.size) if closed else rng.permutation(np.resize([0.0, 25.0, 100.0, 50.0, 0.0, 150.0], changes.size))
    vents = Vents(np.concatenate([[0.0], changes]), np.concatenate([[0.0], areas]))
    air = simulate_dome(truth, outside, vents, step_s=600)
    offset_k = rng.normal(0, 0.2)
    offset = rng.normal(0, 1.2) if offset_pct is None else offset_pct
    temperature = air.temperature_c + offset_k + erring(rng, air.time_s, 0.1, 0.15, 0.15 * drift)
    humidity = air.relative_humidity_pct + offset + erring(rng, air.time_s, 0.3, 0.5, 0.6 * drift)
    inside = InsideAir(air.time_s, np.round(temperature, 1), np.clip(np.round(humidity, 1), 0, 100))
    return truth, outside, inside, vents, {"temperature_error_k": offset_k, "humidity_error_pct": offset}


def erring(rng, time_s, moment_sd, hours_sd, days_sd):
    """Noise of the moment, errors of three hours, drift of some forty."""
    return rng.normal(0, moment_sd, time_s.size) + lasting(rng, time_s, hours_sd, 3) + lasting(rng, time_s, days_sd, 40)


def lasting(rng, time_s, sd, hours):
    """An error that lasts: noise of first order whose correlation falls by e in `hours`."""
    keep = np.exp(-np.diff(time_s).mean() / 3600 / hours)
    shocks = rng.normal(0, sd * np.sqrt(1 - keep**2), time_s.size)
    out = np.empty(time_s.size)
    out[0] = rng.normal(0, sd)
    for i in range(1, time_s.size):
        out[i] = keep * out[i - 1] + shocks[i]
    return out
