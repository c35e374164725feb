"""How many of what, where and when: packing, and what a wish list needs."""

from scionary.plan.benches import BenchLayout, trays_on_bench
from scionary.plan.bounds import MoneyBound, money_bound
from scionary.plan.changes import Instead, more_hours, more_money, more_sticks, more_stocks, more_trays, only_pots, try_instead
from scionary.plan.clashes import clash_words, clashing_limits
from scionary.plan.cutting import CutWish, cut_wishes
from scionary.plan.effort import Effort
from scionary.plan.explaining import HeldBy, HoldsBack, what_holds_back
from scionary.plan.headroom import Cover, Headroom, headroom
from scionary.plan.helping import Helps
from scionary.plan.judging import PlanValue, evaluate_plan
from scionary.plan.limits import Limit, LimitKind
from scionary.plan.mixed import MixedLayout, SomePots, mixed_on_tray
from scionary.plan.needs import SeasonNeeds, Shortage, WishNeeds, season_needs
from scionary.plan.orders import Offer, OrderLine, OrderList, StockNeed, order_list
from scionary.plan.packing import Layout, LayoutKind, RoundPot, SquarePot, pots_on_tray
from scionary.plan.packs import Pack, PackChoice, cheapest_packs
from scionary.plan.problem import PlanProblem
from scionary.plan.raising import MAPLE_FROM_SEED, GrowingSeason, RaisingDate, RaisingStep, raise_from_seed
from scionary.plan.replanning import rest_of_season
from scionary.plan.result import LimitPrice, PlanResult, Relaxation, TrayFillings
from scionary.plan.shopping import MethodUse, PlannedGrafts, ShoppingList, TrayUse, shopping_list
from scionary.plan.solver import solve_plan
from scionary.plan.supply import Pots, Rooms, Sticks, Stocks
from scionary.plan.surety import MadeSure, cheap_to_make_sure
from scionary.plan.trays import broken_limits
from scionary.plan.wanted import Already, Options, Targets
from scionary.plan.wishes import Supplies, Way, Wish

__all__ = [
    "MAPLE_FROM_SEED",
    "Already",
    "BenchLayout",
    "Cover",
    "CutWish",
    "Effort",
    "GrowingSeason",
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
    "MethodUse",
    "MixedLayout",
    "MoneyBound",
    "Offer",
    "Options",
    "OrderLine",
    "OrderList",
    "Pack",
    "PackChoice",
    "PlanProblem",
    "PlanResult",
    "PlanValue",
    "PlannedGrafts",
    "Pots",
    "RaisingDate",
    "RaisingStep",
    "Relaxation",
    "Rooms",
    "RoundPot",
    "SeasonNeeds",
    "ShoppingList",
    "Shortage",
    "SomePots",
    "SquarePot",
    "Sticks",
    "StockNeed",
    "Stocks",
    "Supplies",
    "Targets",
    "TrayFillings",
    "TrayUse",
    "Way",
    "Wish",
    "WishNeeds",
    "broken_limits",
    "cheap_to_make_sure",
    "cheapest_packs",
    "clash_words",
    "clashing_limits",
    "cut_wishes",
    "evaluate_plan",
    "headroom",
    "mixed_on_tray",
    "money_bound",
    "more_hours",
    "more_money",
    "more_sticks",
    "more_stocks",
    "more_trays",
    "only_pots",
    "order_list",
    "pots_on_tray",
    "raise_from_seed",
    "rest_of_season",
    "season_needs",
    "shopping_list",
    "solve_plan",
    "trays_on_bench",
    "try_instead",
    "what_holds_back",
]
