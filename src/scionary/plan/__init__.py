"""How many of what, where and when: packing, and what a wish list needs."""

from scionary.plan.benches import BenchLayout, trays_on_bench
from scionary.plan.clashes import clash_words, clashing_limits
from scionary.plan.effort import Effort
from scionary.plan.headroom import Cover, Headroom, headroom
from scionary.plan.judging import PlanValue, evaluate_plan
from scionary.plan.limits import Limit, LimitKind
from scionary.plan.mixed import MixedLayout, SomePots, mixed_on_tray
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
    "BenchLayout",
    "Cover",
    "Effort",
    "Headroom",
    "Layout",
    "LayoutKind",
    "Limit",
    "LimitKind",
    "LimitPrice",
    "MixedLayout",
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
    "SomePots",
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
    "headroom",
    "mixed_on_tray",
    "pots_on_tray",
    "season_needs",
    "solve_plan",
    "trays_on_bench",
]
