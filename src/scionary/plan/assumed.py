"""What a plan supposes where nobody said otherwise."""

from __future__ import annotations

import numpy as np

from scionary.language import Told
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
    found: list[str] = [Told("All {seasons} seasons that the plan is made from are equally likely.", seasons=len(problem.takes))]
    if problem.fresh_takes is None:
        found.append(
            Told("Chances are measured on the seasons that the plan is made from, with new luck for each graft: they flatter it a little.")
        )
    if not np.any(targets.salvage):
        found.append(Told("A plant more than wanted brings nothing."))
    if not np.any(np.isfinite(problem.bench_hours)):
        found.append(Told("Hours at the bench do not limit the plan."))
    if not np.isfinite(problem.budget):
        found.append(Told("Money does not limit the plan."))
    if np.any(options.stock_lot < 0):
        found.append(Told("Rootstocks of ways without a lot are there when they are needed."))
    if np.any(options.mother_tree < 0):
        found.append(Told("Sticks of ways without a mother tree are there when they are needed."))
    if np.any(targets.rare):
        part = Told(" (project default, unsourced)") if problem.rare_share == RARE_SHARE else ""
        found.append(
            Told("A rare kind has at most {share} of its grafts in one week{part}.", share=f"{problem.rare_share * 100:.0f} %", part=part)
        )
    if np.any(options.regraft):
        part = Told(" (project default, unsourced)") if problem.regraft_quantile == REGRAFT_QUANTILE else ""
        found.append(
            Told(
                "Failed stocks are counted on only as far as they come in {share} of seasons{part}.",
                share=f"{(1.0 - problem.regraft_quantile) * 100:.0f} %",
                part=part,
            )
        )
    if np.any(~np.isnan(assurance) & np.isnan(targets.assurance_price)):
        found.append(
            Told(
                "A plant missing in the worst seasons of a wish that should be sure costs {times:g} times one missing on average"
                " (project default, unsourced).",
                times=ASSURANCE_WEIGHT,
            )
        )
    found.append(Told("A tray holds one age and one kind of pot."))
    return tuple(found)
