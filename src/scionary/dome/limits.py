"""Limits that a dome's air is held against: each is data that a person can see and change."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields
from typing import Any

from scionary.errors import BadValue

UNSOURCED = "project default, unsourced"
COMMON = "common practice, no source"
WEAK = "grower guides, weak"


def _limit(default: float | None, unit: str, source: str) -> Any:
    return field(default=default, metadata={"unit": unit, "source": source})


@dataclass(frozen=True)
class AirLimits:
    """What counts as good, hot, dry, unknown or stuck in a closed dome.

    Attributes
    ----------
    callus_low_c : float
        Low end of the band in which callus is expected to form [°C]. Default 17; project default, unsourced.
    callus_high_c : float
        High end of that band [°C]. Default 24; project default, unsourced.
    heat_limit_c : float
        Above this callus is harmed [°C]. Default 30; grower guides, weak.
    humidity_low_pct : float
        Below this a closed dome is too dry for leafy scions [%]. Default 85; project default, unsourced.
    callus_base_c : float
        The callus clock stands still at and below this [°C]. Default 5; project default, unsourced.
    callus_best_c : float
        The callus clock runs fastest here [°C]. Default 21; grower guides for maple, weak.
    gap_after_intervals : float
        A reading stands for the time until the next one, at most this many of the log's usual intervals; what is
        left is a gap. Default 3; project default, unsourced.
    gap_after_s : float or None
        The same in seconds [s]; None takes `gap_after_intervals` instead. Default None.
    stuck_after_s : float
        A sensor that shows the very same value for this long is called stuck [s]. Default 21600, six hours;
        project default, unsourced.
    saturated_pct : float
        A humidity sensor at or above this may rightly stand still in a closed dome and is not called stuck [%].
        Default 95; project default, unsourced.

    Raises
    ------
    BadValue
        When a limit is not a finite number or the limits are out of order; the message names the limit.
    """

    callus_low_c: float = _limit(17.0, "°C", UNSOURCED)
    callus_high_c: float = _limit(24.0, "°C", UNSOURCED)
    heat_limit_c: float = _limit(30.0, "°C", WEAK)
    humidity_low_pct: float = _limit(85.0, "%", UNSOURCED)
    callus_base_c: float = _limit(5.0, "°C", UNSOURCED)
    callus_best_c: float = _limit(21.0, "°C", WEAK)
    gap_after_intervals: float = _limit(3.0, "intervals", UNSOURCED)
    gap_after_s: float | None = _limit(None, "s", UNSOURCED)
    stuck_after_s: float = _limit(6 * 3600.0, "s", UNSOURCED)
    saturated_pct: float = _limit(95.0, "%", UNSOURCED)

    def __post_init__(self) -> None:
        """Refuse limits that contradict each other."""
        for each in fields(self):
            value = getattr(self, each.name)
            if value is not None and not math.isfinite(value):
                raise BadValue(each.name, value, "a finite number")
        _in_order(self, "callus_low_c", "callus_high_c")
        _in_order(self, "callus_high_c", "heat_limit_c")
        _in_order(self, "callus_base_c", "callus_best_c")
        _in_order(self, "callus_best_c", "heat_limit_c")
        for name in ("humidity_low_pct", "saturated_pct"):
            if not 0 <= getattr(self, name) <= 100:
                raise BadValue(name, getattr(self, name), "0 to 100 %")
        if self.gap_after_intervals < 1:
            raise BadValue("gap_after_intervals", self.gap_after_intervals, "1 or more")
        for name in ("gap_after_s", "stuck_after_s"):
            value = getattr(self, name)
            if value is not None and value <= 0:
                raise BadValue(name, value, "above 0 s")

    def assumptions(self) -> list[dict[str, Any]]:
        """List every limit with its unit and where it comes from.

        Returns
        -------
        list of dict
            One a limit: ``name``, ``value``, ``unit``, ``source``. A limit that is not the default says that the
            person changed it.
        """
        return [_assumption(self, each) for each in fields(self)]


def _in_order(limits: AirLimits, lower: str, upper: str) -> None:
    low, high = getattr(limits, lower), getattr(limits, upper)
    if not low < high:
        raise BadValue(upper, high, f"above {lower}, which is {low:g}")


def _assumption(limits: AirLimits, each: Any) -> dict[str, Any]:
    value = getattr(limits, each.name)
    source = each.metadata["source"]
    if value != each.default:
        source = f"changed by hand; the default is {each.default if each.default is None else format(each.default, 'g')}, {source}"
    return {"name": each.name, "value": value, "unit": each.metadata["unit"], "source": source}
