"""Long runs of the no-U-turn sampler, in the non-centred form and in double precision.

Source: M. D. Hoffman, A. Gelman, "The No-U-Turn Sampler", Journal of Machine Learning Research 15 (2014) 1593-1623, as NumPyro has it.
"""

from __future__ import annotations

import os
import platform
import time
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from importlib.metadata import version
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from oracle.nursery import Cells
from oracle.precision import summaries_of
from oracle.store import Summaries

CHAINS_AT_ONCE = 2
ROUNDS = 2
TARGET_ACCEPTANCE = 0.99
NODES = 41
Draws = dict[str, NDArray[np.float64]]


@dataclass(frozen=True)
class Run:
    """How long the chains are, and the seed of the first pair; the second pair has the next number."""

    warm_up: int
    draws: int
    seed: int


def summarised(cells: Cells, run: Run) -> tuple[Cells, Summaries]:
    """The cells with a report of the run in their metadata, and the summaries of the posterior."""
    began = time.monotonic()
    draws, divergences = sampled(cells, run)
    seconds = round(time.monotonic() - began, 1)
    report = {
        "date": datetime.now(UTC).date().isoformat(),
        "versions": {name: version(name) for name in ("numpyro", "jax", "jaxlib", "numpy", "scipy")}
        | {"python": platform.python_version()},
        "chains": CHAINS_AT_ONCE * ROUNDS,
        "chains_at_once": CHAINS_AT_ONCE,
        "warm_up": run.warm_up,
        "draws_a_chain": run.draws,
        "seeds": [run.seed + number for number in range(ROUNDS)],
        "target_acceptance": TARGET_ACCEPTANCE,
        "divergences": divergences,
        "seconds": seconds,
        "cores": os.cpu_count(),
    }
    return replace(cells, metadata=cells.metadata | {"run": report}), summaries_of(quantities(cells, draws))


def sampled(cells: Cells, run: Run) -> tuple[Draws, int]:
    """Draws of every parameter, shape (chains, draws, parameters), and how many transitions diverged."""
    import numpyro

    numpyro.set_platform("cpu")
    numpyro.set_host_device_count(CHAINS_AT_ONCE)
    numpyro.enable_x64()
    import jax
    from numpyro.infer import MCMC, NUTS

    kernel = NUTS(model_of(cells), target_accept_prob=TARGET_ACCEPTANCE, dense_mass=True)
    parts, divergences = [], 0
    for number in range(ROUNDS):
        chains = MCMC(kernel, num_warmup=run.warm_up, num_samples=run.draws, num_chains=CHAINS_AT_ONCE, progress_bar=False)
        chains.run(jax.random.PRNGKey(run.seed + number))
        parts.append({name: np.asarray(values) for name, values in chains.get_samples(group_by_chain=True).items()})
        divergences += int(np.sum(chains.get_extra_fields()["diverging"]))
    return {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}, divergences


def model_of(cells: Cells) -> Any:
    """The model, as a function that NumPyro reads."""
    import jax.numpy as jnp
    import numpyro
    from numpyro import distributions as dist

    priors = cells.priors
    which_scale = np.repeat(np.arange(len(cells.factors)), [cells.levels(name) for name in cells.factors])
    effects = jnp.asarray(np.column_stack([np.eye(cells.levels(name))[codes] for name, codes in cells.factors.items()]))
    covariates = jnp.asarray(np.column_stack([np.ones(len(cells.grafts)), *cells.covariates.values()]))
    fixed_mean = np.array([priors.intercept_mean, *[0.0 for _ in cells.covariates]])
    fixed_sd = np.array([priors.intercept_sd, *[priors.slope_sd[name] for name in cells.covariates]])
    scale_of_scales = np.array([priors.scale[name] for name in cells.factors])

    def model() -> None:
        fixed = numpyro.sample("fixed", dist.Normal(fixed_mean, fixed_sd).to_event(1))
        scales = numpyro.sample("scale", dist.HalfNormal(scale_of_scales).to_event(1))
        units = numpyro.sample("unit", dist.Normal(np.zeros(len(which_scale)), 1.0).to_event(1))
        effect = numpyro.deterministic("effect", units * scales[which_scale])
        numpyro.sample("takes", dist.Binomial(cells.grafts, logits=covariates @ fixed + effects @ effect), obs=cells.takes)

    return model


def quantities(cells: Cells, draws: Draws) -> Draws:
    """Draws of every quantity that is stored, by name, each of shape (chains, draws)."""
    levels = [(factor, code) for factor in cells.factors for code in range(cells.levels(factor))]
    named = {f"fixed:{name}": draws["fixed"][..., i] for i, name in enumerate(["intercept", *cells.covariates])}
    named |= {f"scale:{name}": draws["scale"][..., i] for i, name in enumerate(cells.factors)}
    named |= {f"effect:{factor}:{code}": draws["effect"][..., i] for i, (factor, code) in enumerate(levels)}
    others = [i for i, name in enumerate(cells.factors) if name != "cultivar"]
    shock_sd = np.sqrt(np.sum(draws["scale"][..., others] ** 2, axis=-1))
    eta = {code: named["fixed:intercept"] + named[f"effect:cultivar:{code}"] for code in range(cells.levels("cultivar"))}
    named |= {f"rate_at_reference:{code}": expit(values) for code, values in eta.items()}
    return named | {f"long_run_rate:{code}": averaged_rate(values, shock_sd) for code, values in eta.items()}


def averaged_rate(eta: NDArray[np.float64], shock_sd: NDArray[np.float64]) -> NDArray[np.float64]:
    """logistic(eta + shock) averaged over shock ~ Normal(0, shock_sd), by Gauss-Hermite quadrature."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(NODES)
    total = np.zeros_like(eta)
    for node, weight in zip(nodes, weights / weights.sum(), strict=True):
        total += weight * expit(eta + node * shock_sd)
    return total
