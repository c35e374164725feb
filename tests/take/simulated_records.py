"""Records of grafts with crossed factors, simulated with code of their own."""

import numpy as np

from scionary.take import TakeRecords


def simulated_records(rows, levels, *, seed, sd=0.6, covariates=0, intercept=0.5, counts=False):
    """One graft a row (or a few, with `counts`), levels of each factor unevenly common, effects of standard deviation `sd` in log odds."""
    rng = np.random.default_rng(seed)
    eta = np.full(rows, intercept)
    factors = {}
    for name, number in levels.items():
        codes = rng.choice(number, rows, p=rng.dirichlet(np.full(number, 1.5)))
        eta = eta + rng.normal(0.0, sd, number)[codes]
        factors[name] = np.array([f"{name} {code:03d}" for code in codes])
    measured = {f"x{i}": rng.normal(20.0, 3.0, rows) for i in range(covariates)}
    for column in measured.values():
        eta = eta + 0.1 * (column - 20.0)
    grafts = rng.integers(1, 6, rows) if counts else np.ones(rows, dtype=int)
    return TakeRecords(takes=rng.binomial(grafts, 1 / (1 + np.exp(-eta))), grafts=grafts, factors=factors, covariates=measured)
