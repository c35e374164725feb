"""Trials simulated with code of their own: what takes is drawn, tray by tray, from odds that the caller sets."""

import os

import numpy as np

TRIALS = int(os.environ.get("SCIONARY_TRIALS", "1000"))


def simulated_takes(grafts, rates, *, tray_sd, interaction_sd=0.0, trials=TRIALS, seed):
    """Takes of many trials, shape (trials, trays, arms); trays differ by `tray_sd`, the effect in them by `interaction_sd`, in log odds."""
    rng = np.random.default_rng(seed)
    odds = np.asarray(rates) / (1.0 - np.asarray(rates))
    shift = rng.normal(0.0, tray_sd, (trials, len(grafts), 1))
    extra = rng.normal(0.0, interaction_sd, (trials, len(grafts), 1)) * np.linspace(-0.5, 0.5, odds.size)
    odds = odds * np.exp(shift + extra)
    return rng.binomial(np.asarray(grafts, dtype=int), odds / (1.0 + odds)).astype(float)


def share(said):
    """Share of yes."""
    return float(np.mean(list(said)))


def errors(expected, trials=TRIALS, times=4.0):
    """So many standard errors of a simulated share."""
    return times * float(np.sqrt(expected * (1.0 - expected) / trials))
