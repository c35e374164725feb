"""Summaries of draws, each with its Monte-Carlo standard error.

Source: A. Vehtari, A. Gelman, D. Simpson, B. Carpenter, P.-C. Bürkner, "Rank-normalization, folding, and localization: an improved
R-hat for assessing convergence of MCMC", Bayesian Analysis 16 (2021) 667-718, sections 4.1 to 4.4.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri
from scipy.stats import beta, rankdata

QUANTILES = {"q05": 0.05, "q25": 0.25, "q50": 0.50, "q75": 0.75, "q95": 0.95}
Chains = NDArray[np.float64]


def summaries_of(quantities: dict[str, Chains]) -> dict[str, NDArray[np.float64] | NDArray[np.str_]]:
    """Arrays over quantities: their names, summaries, errors and checks."""
    rows = [summary(draws) for draws in quantities.values()]
    return {"names": np.array(list(quantities))} | {key: np.array([row[key] for row in rows]) for key in rows[0]}


def summary(draws: Chains) -> dict[str, float]:
    """Summaries of one quantity from draws of shape (chains, draws)."""
    mean, sd = float(draws.mean()), float(draws.std(ddof=1))
    squares = (draws - mean) ** 2
    points = {key: float(np.quantile(draws, level)) for key, level in QUANTILES.items()}
    effective = {key: effective_draws(np.where(draws <= point, 1.0, 0.0)) for key, point in points.items()}
    errors = {f"mcse_{key}": quantile_error(draws, level, effective[key]) for key, level in QUANTILES.items()}
    return {
        "mean": mean,
        "sd": sd,
        **points,
        "width90": points["q95"] - points["q05"],
        "mcse_mean": sd / np.sqrt(effective_draws(draws)),
        "mcse_sd": float(squares.std(ddof=1)) / np.sqrt(effective_draws(squares)) / (2.0 * sd),
        **errors,
        "mcse_width90": float(np.hypot(errors["mcse_q05"], errors["mcse_q95"])),
        "ess_bulk": effective_draws(rank_normalised(draws)),
        "ess_q05": effective["q05"],
        "ess_q95": effective["q95"],
        "r_hat": r_hat(draws),
    }


def effective_draws(draws: Chains) -> float:
    """How many independent draws would tell the mean as well; of split chains."""
    from numpyro.diagnostics import effective_sample_size

    return float(effective_sample_size(split(draws)))


def quantile_error(draws: Chains, level: float, effective: float) -> float:
    """Half the distance of the two order statistics between which the quantile lies with 68 % probability."""
    ordered = np.sort(draws, axis=None)
    share = beta.ppf([0.1586553, 0.8413447], effective * level + 1.0, effective * (1.0 - level) + 1.0)
    low, high = np.clip(np.round(share * ordered.size).astype(int), 0, ordered.size - 1)
    return float(ordered[high] - ordered[low]) / 2.0


def r_hat(draws: Chains) -> float:
    """The greater of the R-hat of the rank-normalised draws and of the folded ones, which sees unequal spreads."""
    from numpyro.diagnostics import gelman_rubin

    folded = np.abs(draws - np.median(draws))
    return float(max(gelman_rubin(split(rank_normalised(values))) for values in (draws, folded)))


def rank_normalised(draws: Chains) -> Chains:
    """Normal scores of the ranks over all chains."""
    return ndtri((rankdata(draws).reshape(draws.shape) - 0.375) / (draws.size + 0.25))


def split(draws: Chains) -> Chains:
    """Each chain as two halves."""
    half = draws.shape[1] // 2
    return np.concatenate([draws[:, :half], draws[:, -half:]])
