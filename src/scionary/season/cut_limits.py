"""What makes a morning good or bad for cutting scions: limits that a person can see and change, each with where it is from."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields
from typing import Any

from scionary.errors import BadValue
from scionary.language import mark, say

COMMON = mark("common practice, no source")
UNSOURCED = mark("project default, unsourced")


def _limit(default: float, unit: str, source: str) -> Any:
    return field(default=default, metadata={"unit": unit, "source": source})


@dataclass(frozen=True)
class CutLimits:
    """Limits of the verdict on a morning.

    Attributes
    ----------
    stress_good, stress_bad : float
        Stress coefficient Ks of the mother tree from which the water is good, and below which it is bad, 0 to 1. Defaults 0.95
        and 0.7; project default, unsourced (the coefficient itself is FAO-56).
    soak_days : float
        Days before the morning in which the tree should have been soaked [d]. Default 2; common practice, no source.
    soak_mm : float
        Rain and watering together that count as a soaking [mm]. Default 10; project default, unsourced.
    demand_good_kpa, demand_bad_kpa : float
        Vapour pressure deficit of the morning up to which leaves lose little, and above which they wilt in the hand [kPa].
        Defaults 0.8 and 1.5; project default, unsourced.
    frost_c : float
        Lowest temperature of the night at and below which wood is taken as frozen, or leaves as hurt [°C]. Default 0;
        project default, unsourced.
    thawed_c : float
        Temperature of the morning from which dormant wood has thawed [°C]. Default 3; project default, unsourced.
    wet_mm : float
        Rain of the last hours from which leaves and bark are wet [mm]. Default 0.2; project default, unsourced.
    stage_good, stage_bad : float
        Chance that the wood is at a stage that serves, from which it is good, and below which it is bad. Defaults 0.8 and 0.2;
        project default, unsourced.
    stored_leafy_days, stored_dormant_days : float
        Days that sticks keep, cut in leaf and dormant [d]. Defaults 2 and 60; common practice, no source.
    stored_leafy_c, stored_dormant_c : float
        Warmest store [°C]. Defaults 8 and 4; common practice, no source.

    Raises
    ------
    BadValue
        When a limit is no finite number, or limits are out of order.
    """

    stress_good: float = _limit(0.95, "", UNSOURCED)
    stress_bad: float = _limit(0.7, "", UNSOURCED)
    soak_days: float = _limit(2.0, "d", COMMON)
    soak_mm: float = _limit(10.0, "mm", UNSOURCED)
    demand_good_kpa: float = _limit(0.8, "kPa", UNSOURCED)
    demand_bad_kpa: float = _limit(1.5, "kPa", UNSOURCED)
    frost_c: float = _limit(0.0, "°C", UNSOURCED)
    thawed_c: float = _limit(3.0, "°C", UNSOURCED)
    wet_mm: float = _limit(0.2, "mm", UNSOURCED)
    stage_good: float = _limit(0.8, "", UNSOURCED)
    stage_bad: float = _limit(0.2, "", UNSOURCED)
    stored_leafy_days: float = _limit(2.0, "d", COMMON)
    stored_dormant_days: float = _limit(60.0, "d", COMMON)
    stored_leafy_c: float = _limit(8.0, "°C", COMMON)
    stored_dormant_c: float = _limit(4.0, "°C", COMMON)

    def __post_init__(self) -> None:
        """Refuse limits that contradict each other."""
        for each in fields(self):
            if not math.isfinite(getattr(self, each.name)):
                raise BadValue(each.name, getattr(self, each.name), "a finite number")
        pairs = (
            ("stress_bad", "stress_good"),
            ("demand_good_kpa", "demand_bad_kpa"),
            ("frost_c", "thawed_c"),
            ("stage_bad", "stage_good"),
        )
        for low, high in pairs:
            if not getattr(self, low) < getattr(self, high):
                raise BadValue(high, getattr(self, high), f"above {low}, which is {getattr(self, low):g}")
        if not 1 <= self.soak_days <= 14:
            raise BadValue("soak_days", self.soak_days, "1 to 14 d")

    def source(self, name: str) -> str:
        """Say where a limit is from.

        Parameters
        ----------
        name : str
            The limit.

        Returns
        -------
        str
            Its source, or that it was changed by hand.
        """
        found = next(each for each in fields(self) if each.name == name)
        told: str = found.metadata["source"]
        if getattr(self, name) == found.default:
            return say(told)
        return say("changed by hand; the default is {default:g}, {told}", default=found.default, told=say(told))

    def assumptions(self) -> list[dict[str, Any]]:
        """List every limit with its unit and where it is from.

        Returns
        -------
        list of dict
            ``name``, ``value``, ``unit``, ``source``.
        """
        units = {each.name: each.metadata["unit"] for each in fields(self)}
        return [{"name": name, "value": getattr(self, name), "unit": unit, "source": self.source(name)} for name, unit in units.items()]
