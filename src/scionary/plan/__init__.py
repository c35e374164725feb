"""How many of what, where and when: packing, and what a wish list needs."""

from scionary.plan.clashes import clash_words, clashing_limits
from scionary.plan.effort import Effort
from scionary.plan.judging import PlanValue, evaluate_plan
from scionary.plan.limits import Limit, LimitKind
from scionary.plan.needs import SeasonNeeds, Shortage, WishNeeds, season_needs
from scionary.plan.packing import Layout, LayoutKind, RoundPot, SquarePot, pots_on_tray
from scionary.plan.problem import PlanProblem
from scionary.plan.result import LimitPrice, PlanResult, Relaxation, TrayFillings
from scionary.plan.solver import solve_plan
from scionary.plan.supply import Pots, Rooms, Sticks, Stocks
from scionary.plan.trays import broken_limits
from scionary.plan.wanted import Already, Options, Targets
from scionary.plan.wishes import Supplies, Way, Wish

__all__ = [
    "Already",
    "Effort",
    "Layout",
    "LayoutKind",
    "Limit",
    "LimitKind",
    "LimitPrice",
    "Options",
    "PlanProblem",
    "PlanResult",
    "PlanValue",
    "Pots",
    "Relaxation",
    "Rooms",
    "RoundPot",
    "SeasonNeeds",
    "Shortage",
    "SquarePot",
    "Sticks",
    "Stocks",
    "Supplies",
    "Targets",
    "TrayFillings",
    "Way",
    "Wish",
    "WishNeeds",
    "broken_limits",
    "clash_words",
    "clashing_limits",
    "evaluate_plan",
    "pots_on_tray",
    "season_needs",
    "solve_plan",
]
