"""The chance that a name is right, said in one form everywhere: 0.93, cut off after two digits and never rounded up."""

from __future__ import annotations

import math

from scionary.language import say

_DUST = 1e-9  # so that 0.29 * 100 is not cut off to 28


def chance_words(chance: float) -> str:
    """0.93 for 0.9399; never 0 for what may be, and never 1 for what is not sure."""
    hundredths = math.floor(chance * 100 + _DUST) if chance < 1 else 100
    if hundredths == 0 and chance > 0:
        return say("under 0.01")
    return f"{min(hundredths, 99 if chance < 1 else 100) / 100:.2f}"
