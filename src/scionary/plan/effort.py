"""How hard to look for a plan: rounds and nodes, never time, so that the same effort gives the same answer."""

from __future__ import annotations

from enum import Enum


class Effort(Enum):
    """How long to look for whole numbers after the relaxation is solved.

    Each holds the rounds of whole-number solving, the most nodes a round, and the gap to the bound at which it is content. ``QUICK``
    rounds only; ``EXACT`` goes on to the very best and is for a handful of wishes.
    """

    QUICK = (0, 20, 0.01)
    NORMAL = (3, 400, 0.003)
    THOROUGH = (8, 2_000, 0.0005)
    EXACT = (60, 1_000_000, 1e-7)

    @property
    def rounds(self) -> int:
        """Rounds of whole-number solving, each with better cuts."""
        return self.value[0]

    @property
    def nodes(self) -> int:
        """Most nodes of the search tree in a round."""
        return self.value[1]

    @property
    def gap(self) -> float:
        """Share of the bound at which a plan is good enough."""
        return self.value[2]
