"""How many of what, where and when: packing, and what a wish list needs."""

from scionary.plan.packing import Layout, LayoutKind, RoundPot, SquarePot, pots_on_tray

__all__ = ["Layout", "LayoutKind", "RoundPot", "SquarePot", "pots_on_tray"]
