"""What a plan brings in money, beside what no plan exceeds: certainty that is asked for is no money, and is left out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scionary.errors import BadValue
from scionary.plan.judging import plan_cost
from scionary.plan.result import PlanResult
from scionary.plan.trays import cheapest_trays
from scionary.plan.wanted import Int


@dataclass(frozen=True)
class MoneyBound:
    """A plan's money beside the most that there is.

    Attributes
    ----------
    value : float
        Money of the plan, on average over the seasons that plans are made from.
    bound : float
        Money that no plan exceeds in the same seasons; infinite where it is not known.
    """

    value: float
    bound: float


def money_bound(most_value: PlanResult, grafts: Int) -> MoneyBound:
    """Set a plan's money beside what no plan exceeds.

    Parameters
    ----------
    most_value : PlanResult
        The same season solved for most value, with no chance asked for: its bound is one of money.
    grafts : ndarray of int
        The plan, whatever it was made for, shape (options,).

    Returns
    -------
    MoneyBound
        Both in the seasons that `most_value` was made from.

    Raises
    ------
    BadValue
        When a chance was asked for: a bound of its score bounds no money.
    """
    seasons = most_value.made_from
    if not np.all(np.isnan(seasons.assurance)):
        raise BadValue("most_value", "a plan that asks for certainty", "one that was solved for most value")
    plan = grafts.astype(np.float64)
    cost = plan_cost(seasons.problem, plan, cheapest_trays(seasons.problem, plan, most_value.rows).trays)
    return MoneyBound(seasons.worth(plan) - cost, most_value.bound)
