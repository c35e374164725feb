"""What a plan supposes where nobody said otherwise."""

from __future__ import annotations

import numpy as np

from scionary.plan.problem import ASSURANCE_WEIGHT, RARE_SHARE, REGRAFT_QUANTILE, PlanProblem
from scionary.units import Float


def plan_assumptions(problem: PlanProblem, assurance: Float) -> tuple[str, ...]:
    """Say what a plan supposes.

    Parameters
    ----------
    problem : PlanProblem
        The season.
    assurance : ndarray of shape (targets,)
        Wanted chances, NaN where none.

    Returns
    -------
    tuple of str
        One sentence each.
    """
    targets, options = problem.targets, problem.options
    found = [f"All {len(problem.takes)} seasons that the plan is made from are equally likely."]
    if problem.fresh_takes is None:
        found.append(
            "Chances are measured on the seasons that the plan is made from, with new luck for each graft: they flatter it a little."
        )
    if not np.any(targets.salvage):
        found.append("A plant more than wanted brings nothing.")
    if not np.any(np.isfinite(problem.bench_hours)):
        found.append("Hours at the bench do not limit the plan.")
    if not np.isfinite(problem.budget):
        found.append("Money does not limit the plan.")
    if np.any(options.stock_lot < 0):
        found.append("Rootstocks of ways without a lot are there when they are needed.")
    if np.any(options.mother_tree < 0):
        found.append("Sticks of ways without a mother tree are there when they are needed.")
    if np.any(targets.rare):
        part = " (project default, unsourced)" if problem.rare_share == RARE_SHARE else ""
        found.append(f"A rare kind has at most {problem.rare_share:.0%} of its grafts in one week{part}.")
    if np.any(options.regraft):
        part = " (project default, unsourced)" if problem.regraft_quantile == REGRAFT_QUANTILE else ""
        found.append(f"Failed stocks are counted on only as far as they come in {1.0 - problem.regraft_quantile:.0%} of seasons{part}.")
    if np.any(~np.isnan(assurance) & np.isnan(targets.assurance_price)):
        found.append(
            f"A plant missing in the worst seasons of a wish that should be sure costs {ASSURANCE_WEIGHT:g} times one missing on average"
            " (project default, unsourced)."
        )
    found.append("A tray holds one age and one kind of pot.")
    return tuple(found)
