"""What another solver says of small seasons' plans: stored in `tests/data/oracle/plans.npz`, to hold `scionary.plan` against it.

    PYTHONPATH=tools:tests python -m oracle.plans            # make the file again; needs pulp, which brings the solver CBC; a minute
    PYTHONPATH=tools:tests python -m oracle.plans --compare  # make it in memory, and say where it differs from the stored one

CBC is a program of its own, by other hands than the solver that `scionary.plan` uses. It is given the extensive form of six small seasons
(`small_seasons.small`), without and with an assurance of 0.8.

Arrays of the file, one entry a season:
    `seed`, `assurance`   which season; NaN for none
    `relaxed`, `whole`    value of the best plan with parts of grafts and trays, and of the best whole one, to a gap of 1e-7
    `check`               sum of all numbers of the programme, so that an answer is never held against another programme
    `metadata`            a JSON text with the versions that made the file
"""

from __future__ import annotations

import json
import sys
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from oracle.extensive import ExtensiveForm, extensive_form
from scionary.plan.limit_writing import limit_rows
from scionary.plan.seasons import seasons_of
from small_seasons import small

FILE = Path(__file__).resolve().parent.parent.parent / "tests" / "data" / "oracle" / "plans.npz"
SEEDS = tuple(range(6))
ASSURANCES = (np.nan, 0.8)
Arrays = dict[str, NDArray[Any]]


def form_of(seed: int, assurance: float) -> ExtensiveForm:
    """The extensive form of one small season, without the luck of single grafts."""
    problem = small(seed)
    seasons = seasons_of(problem, assurance=np.full(len(problem.targets.names), assurance), rng=np.random.default_rng(0))
    return extensive_form(limit_rows(problem), seasons)


def check_of(form: ExtensiveForm) -> float:
    """A sum that another programme would not have."""
    sides = [np.where(np.isfinite(side), side, 0.0).sum() for side in (form.lower, form.upper)]
    return float(form.cost.sum() + (form.matrix.data * np.cos(form.matrix.indices)).sum() + sum(sides))


def by_other_solver(form: ExtensiveForm, *, whole: bool) -> float:
    """Value of the best plan by CBC."""
    import pulp

    model = pulp.LpProblem("season", pulp.LpMinimize)
    kinds = [pulp.LpInteger if whole and integer else pulp.LpContinuous for integer in form.whole]
    low, high = ([float(each) if np.isfinite(each) else None for each in side] for side in (form.least, form.most))
    columns = [pulp.LpVariable(f"x{at}", low[at], high[at], kinds[at]) for at in range(len(form.cost))]
    model += pulp.lpDot(form.cost.tolist(), columns)
    for row in range(form.matrix.shape[0]):
        start, end = form.matrix.indptr[row], form.matrix.indptr[row + 1]
        total = pulp.lpDot(form.matrix.data[start:end].tolist(), [columns[at] for at in form.matrix.indices[start:end]])
        if np.isfinite(form.lower[row]):
            model += total >= float(form.lower[row])
        if np.isfinite(form.upper[row]):
            model += total <= float(form.upper[row])
    status = model.solve(pulp.PULP_CBC_CMD(msg=False, gapRel=1e-7, threads=1))
    if pulp.LpStatus[status] != "Optimal":
        raise SystemExit(f"the solver says: {pulp.LpStatus[status]}")
    return form.constant - float(pulp.value(model.objective))


def made() -> Arrays:
    """Every answer."""
    rows = [(seed, assurance, form_of(seed, assurance)) for seed in SEEDS for assurance in ASSURANCES]
    return {
        "seed": np.array([seed for seed, _, _ in rows]),
        "assurance": np.array([assurance for _, assurance, _ in rows]),
        "relaxed": np.array([by_other_solver(form, whole=False) for _, _, form in rows]),
        "whole": np.array([by_other_solver(form, whole=True) for _, _, form in rows]),
        "check": np.array([check_of(form) for _, _, form in rows]),
    }


def main(arguments: list[str]) -> int:
    """Make the file, or compare."""
    arrays = made()
    if "--compare" in arguments:
        with np.load(FILE) as stored:
            far = [name for name in ("relaxed", "whole", "check") if not np.allclose(stored[name], arrays[name], rtol=1e-6)]
        print(f"differs: {', '.join(far)}" if far else "the same to a millionth")
        return 1 if far else 0
    metadata = {"versions": {name: version(name) for name in ("numpy", "pulp")}, "solver": "CBC, as pulp brings it"}
    kept: dict[str, Any] = {**arrays, "metadata": np.array(json.dumps(metadata))}
    np.savez_compressed(FILE, **kept)
    print(f"{FILE.name}: {len(arrays['seed'])} seasons")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
