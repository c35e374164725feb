"""What each way of grafting asks of the year: data that a person can see and change."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from scionary.errors import BadValue
from scionary.language import mark
from scionary.season.growth import Stage

COMMON = mark("common practice, no source")
UNSOURCED = mark("project default, unsourced")


@dataclass(frozen=True)
class WindowRule:
    """What a way of grafting asks of the year. None: it does not matter.

    Attributes
    ----------
    method : str
        Its name.
    stages : tuple of Stage
        Stages of the scion's wood that serve.
    days_falling : bool or None
        True: after the longest day; False: before it.
    day_low_h, day_high_h : float or None
        Shortest and longest day [h].
    warmth_low_c, warmth_high_c : float or None
        Mean temperature of the healing days [°C], outdoors or with heating.
    healing_days : int
        Days over which that mean is taken, 1 to 120.
    setpoint_c : float or None
        Heating holds at least this over the healing days [°C].
    source : str
        Where the rule is from.
    """

    method: str
    stages: tuple[Stage, ...]
    days_falling: bool | None = None
    day_low_h: float | None = None
    day_high_h: float | None = None
    warmth_low_c: float | None = None
    warmth_high_c: float | None = None
    healing_days: int = 31
    setpoint_c: float | None = None
    source: str = UNSOURCED

    def __post_init__(self) -> None:
        """Refuse a rule that no day can keep."""
        if not self.stages:
            raise BadValue("stages", self.stages, "one stage or more")
        if not 1 <= self.healing_days <= 120:
            raise BadValue("healing_days", self.healing_days, "1 to 120")
        for low, high in (("day_low_h", "day_high_h"), ("warmth_low_c", "warmth_high_c")):
            bottom, top = getattr(self, low), getattr(self, high)
            if bottom is not None and top is not None and not bottom < top:
                raise BadValue(high, top, f"above {low}, which is {bottom:g}")

    def assumptions(self) -> list[dict[str, Any]]:
        """List what the rule asks.

        Returns
        -------
        list of dict
            ``name``, ``value``, ``unit``, ``source``.
        """
        units = {"day_low_h": "h", "day_high_h": "h", "warmth_low_c": "°C", "warmth_high_c": "°C", "setpoint_c": "°C", "healing_days": "d"}
        asked = [each.name for each in fields(self) if each.name not in ("method", "source") and getattr(self, each.name) is not None]
        shown = {"stages": ", ".join(stage.words for stage in self.stages)}
        return [
            {"name": name, "value": shown.get(name, getattr(self, name)), "unit": units.get(name, ""), "source": self.source}
            for name in asked
        ]


LEAFY_SUMMER = WindowRule(
    "Side graft, leafy, summer",
    (Stage.HALF_RIPE, Stage.RIPE),
    days_falling=True,
    day_low_h=12.5,
    warmth_low_c=15.0,
    warmth_high_c=25.0,
    source=f"{COMMON}; late July to late August by side veneer on potted stock: IPPS proceedings 26:169; figures: {UNSOURCED}",
)
DORMANT_WINTER = WindowRule("Side veneer, dormant, winter", (Stage.DORMANT,), days_falling=False, source=COMMON)
