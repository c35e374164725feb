"""How many of what, where and when: packing, and what a wish list needs."""

from scionary.plan.needs import SeasonNeeds, Shortage, WishNeeds, season_needs
from scionary.plan.packing import Layout, LayoutKind, RoundPot, SquarePot, pots_on_tray
from scionary.plan.wishes import Supplies, Way, Wish

__all__ = [
    "Layout",
    "LayoutKind",
    "RoundPot",
    "SeasonNeeds",
    "Shortage",
    "SquarePot",
    "Supplies",
    "Way",
    "Wish",
    "WishNeeds",
    "pots_on_tray",
    "season_needs",
]
