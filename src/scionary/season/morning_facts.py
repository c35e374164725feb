"""What is known of a mother tree on one morning."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from scionary.errors import BadValue
from scionary.season.growth import Stage


@dataclass(frozen=True)
class Morning:
    """What is known of one mother tree on one morning; None wherever nothing is known.

    Attributes
    ----------
    leafy : bool
        Scions are to be cut in leaf; False: dormant.
    stages_wanted : tuple of Stage or None
        Stages that the method takes; None: half-ripe and ripe in leaf, else dormant.
    stage : Stage or None
        The wood's stage as a person saw it; it counts before `stage_chances`.
    stage_chances : mapping of Stage to float, or None
        Chance of each stage from heat sums.
    stress_low, stress_high : float or None
        Between these lies Ks at dawn, 0 to 1.
    soaked_mm : float or None
        Rain and watering of the last days [mm] (`CutLimits.soak_days`).
    demand_kpa : float or None
        Vapour pressure deficit of the air while cutting [kPa].
    night_low_c : float or None
        Lowest temperature of the night [°C].
    now_c : float or None
        Temperature while cutting [°C].
    wet_mm : float or None
        Rain of the last hours before cutting [mm].
    soaked, firm_at_dawn, leaves_dry : bool or None
        What a person answers: was it soaked in the last two days; were its leaves firm at dawn; are leaves (or bark) dry?
    """

    leafy: bool
    stages_wanted: tuple[Stage, ...] | None = None
    stage: Stage | None = None
    stage_chances: Mapping[Stage, float] | None = None
    stress_low: float | None = None
    stress_high: float | None = None
    soaked_mm: float | None = None
    demand_kpa: float | None = None
    night_low_c: float | None = None
    now_c: float | None = None
    wet_mm: float | None = None
    soaked: bool | None = None
    firm_at_dawn: bool | None = None
    leaves_dry: bool | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be; not-a-number is not known."""
        ranges = {
            "stress_low": (0.0, 1.0),
            "stress_high": (0.0, 1.0),
            "soaked_mm": (0.0, 5000.0),
            "demand_kpa": (0.0, 15.0),
            "night_low_c": (-90.0, 60.0),
            "now_c": (-90.0, 60.0),
            "wet_mm": (0.0, 2000.0),
        }
        for name, (low, high) in ranges.items():
            value = getattr(self, name)
            if value is not None and np.isnan(value):
                object.__setattr__(self, name, None)
            elif value is not None and not low <= value <= high:
                raise BadValue(name, value, f"{low:g} to {high:g}")
        if (self.stress_low is None) != (self.stress_high is None):
            raise BadValue("stress_high", self.stress_high, "given with stress_low")

    @property
    def wanted(self) -> tuple[Stage, ...]:
        """Stages that serve."""
        if self.stages_wanted is not None:
            return self.stages_wanted
        return (Stage.HALF_RIPE, Stage.RIPE) if self.leafy else (Stage.DORMANT,)
