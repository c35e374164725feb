"""How many of what, where and when: packing, and what a wish list needs."""

from scionary.plan.benches import BenchLayout, trays_on_bench
from scionary.plan.changes import Instead, more_hours, more_money, more_sticks, more_stocks, more_trays, only_pots, try_instead
from scionary.plan.clashes import clash_words, clashing_limits
from scionary.plan.cutting import CutWish, cut_wishes
from scionary.plan.effort import Effort
from scionary.plan.headroom import Cover, Headroom, headroom
from scionary.plan.explaining import HeldBy, HoldsBack, what_holds_back
from scionary.plan.helping import Helps
from scionary.plan.judging import PlanValue, evaluate_plan
from scionary.plan.limits import Limit, LimitKind
from scionary.plan.mixed import MixedLayout, SomePots, mixed_on_tray
from scionary.plan.needs import SeasonNeeds, Shortage, WishNeeds, season_needs
from scionary.plan.packing import Layout, LayoutKind, RoundPot, SquarePot, pots_on_tray
from scionary.plan.problem import PlanProblem
from scionary.plan.replanning import rest_of_season
from scionary.plan.result import LimitPrice, PlanResult, Relaxation, TrayFillings
from scionary.plan.solver import solve_plan
from scionary.plan.supply import Pots, Rooms, Sticks, Stocks
from scionary.plan.surety import MadeSure, cheap_to_make_sure
from scionary.plan.trays import broken_limits
from scionary.plan.wanted import Already, Options, Targets
from scionary.plan.wishes import Supplies, Way, Wish

__all__ = [
    "Already",
    "BenchLayout",
    "Cover",
    "CutWish",
    "Effort",
    "Headroom",
    "HeldBy",
    "Helps",
    "HoldsBack",
    "Instead",
    "Layout",
    "LayoutKind",
    "Limit",
    "LimitKind",
    "LimitPrice",
    "MadeSure",
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
    "cheap_to_make_sure",
    "clash_words",
    "clashing_limits",
    "cut_wishes",
    "evaluate_plan",
    "headroom",
    "mixed_on_tray",
    "more_hours",
    "more_money",
    "more_sticks",
    "more_stocks",
    "more_trays",
    "only_pots",
    "pots_on_tray",
    "rest_of_season",
    "season_needs",
    "solve_plan",
    "trays_on_bench",
    "try_instead",
    "what_holds_back",
]
