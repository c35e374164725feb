"""Limits that a dome's air is held against: each is data that a person can see and change."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields
from typing import Any

from scionary.errors import BadValue
from scionary.language import mark

UNSOURCED = mark("project default, unsourced")
COMMON = mark("common practice, no source")
WEAK = mark("grower guides, weak")
MAPLE = "J. Japan. Soc. Hort. Sci. 35:405 (1966)"
BAND = mark("project default, unsourced; lies where maple grafts joined well in J. Japan. Soc. Hort. Sci. 35:405 (1966)")
HARM = mark("grower guides, weak; the warmest of J. Japan. Soc. Hort. Sci. 35:405 (1966), where most maple scions moulded and died")
BASE = mark("our reading of J. Japan. Soc. Hort. Sci. 35:405 (1966): little callus on maple in the cool")
BEST = mark("our reading of J. Japan. Soc. Hort. Sci. 35:405 (1966): the warmest at which maple grafts joined well")
WEEKS = mark("J. Japan. Soc. Hort. Sci. 35:405 (1966): maple joins were watched for three weeks; that this is when to look is our reading")
MOULD = mark("UMass Extension, Botrytis blight of greenhouse crops")
WET = mark("Sentelhas et al. 2008, Agric. For. Meteorol. 148:392: leaves taken as wet at 90 % or more, in the open; from memory")


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
        High end of that band [°C]. Default 24; project default, unsourced. Both ends lie inside what a trial on
        *Acer palmatum* saw: joins scarcely formed below 15 °C and formed well at 20 and 25 °C (see References).
    heat_limit_c : float
        Above this callus is harmed [°C]. Default 30; grower guides, weak; in that trial most scions moulded and died at
        30 °C, though callus on cut pieces was heaviest there.
    humidity_low_pct : float
        Below this a closed dome is too dry for leafy scions [%]. Default 85; project default, unsourced.
    callus_base_c : float
        The callus clock stands still at and below this [°C]. Default 12: our reading of "little below 15, fairly good
        at 20" in that trial.
    callus_best_c : float
        The callus clock runs fastest here [°C]. Default 25: our reading of "well at 20 and 25, mould at 30" in that
        trial. Grower guides for maple say 21 (weak).
    callus_days_low : float
        Days at `callus_best_c` after which a look whether grafts took is worth while at the soonest [d]. Default 14; project
        default, unsourced.
    callus_days : float
        The same as a rule [d]. Default 21: that trial watched its joins for three weeks.
    callus_days_high : float
        The same at the latest [d]. Default 28; project default, unsourced.
    gap_after_intervals : float
        A reading stands for the time until the next one, at most this many of the log's usual intervals; what is
        left is a gap. Default 3; project default, unsourced.
    hold_most_s : float
        And at most this long, however seldom the log was written [s]: air under a cover can turn within hours, so that
        readings rarer than that leave the time between unknown. Default 7200, two hours; project default, unsourced.
    gap_after_s : float or None
        The same in seconds [s]; None takes `gap_after_intervals` and `hold_most_s` instead. Default None.
    stuck_after_s : float
        A sensor that shows the very same value for this long is called stuck [s]. Default 21600, six hours;
        project default, unsourced.
    saturated_pct : float
        A humidity sensor at or above this may rightly stand still in a closed dome and is not called stuck [%].
        Default 95; project default, unsourced.
    full_pct : float
        A humidity sensor at or above this is at its end: the air may be anything from here to dripping [%]. Default 99.9;
        project default, unsourced.
    full_after_s : float
        A humidity sensor that stays at its end for this long is flagged: a closed dome does that, and so does a wet
        sensor [s]. Default 172800, two days; project default, unsourced.
    wet_pct : float
        From this humidity on leaves are taken to be wet with dew [%]. Default 90; Sentelhas et al. (2008), a rule for
        leaves in the open.
    mould_pct : float
        Grey mould germinates at or above this humidity [%]. Default 93; UMass Extension.
    mould_low_c : float
        And at or above this temperature [°C]. Default 13; UMass Extension, 55 °F.
    mould_high_c : float
        And at or below this one [°C]. Default 24; UMass Extension, 75 °F.
    mould_after_s : float
        Time without a break that it needs for that [s]. Default 28800, eight hours; UMass Extension.
    day_from_h : float
        Day begins at this hour by the clock [h]. Default 6; project default, unsourced.
    day_to_h : float
        Night begins at this hour by the clock [h]. Default 18; project default, unsourced.

    Raises
    ------
    BadValue
        When a limit is not a finite number or the limits are out of order; the message names the limit.

    References
    ----------
    Studies on the green wood grafting of horticultural plants IV: on grafting of maple. J. Japan. Soc. Hort. Sci.
    35(4):405-412 (1966), its English summary.
    UMass Extension, Botrytis blight of greenhouse crops (fact sheet).
    Sentelhas, Dalla Marta, Orlandini, Santos, Gillespie & Gleason (2008), Agricultural and Forest Meteorology 148:392-400.
    """

    callus_low_c: float = _limit(17.0, "°C", BAND)
    callus_high_c: float = _limit(24.0, "°C", BAND)
    heat_limit_c: float = _limit(30.0, "°C", HARM)
    humidity_low_pct: float = _limit(85.0, "%", UNSOURCED)
    callus_base_c: float = _limit(12.0, "°C", BASE)
    callus_best_c: float = _limit(25.0, "°C", BEST)
    callus_days_low: float = _limit(14.0, "d", UNSOURCED)
    callus_days: float = _limit(21.0, "d", WEEKS)
    callus_days_high: float = _limit(28.0, "d", UNSOURCED)
    gap_after_intervals: float = _limit(3.0, "intervals", UNSOURCED)
    hold_most_s: float = _limit(2 * 3600.0, "s", UNSOURCED)
    gap_after_s: float | None = _limit(None, "s", UNSOURCED)
    stuck_after_s: float = _limit(6 * 3600.0, "s", UNSOURCED)
    saturated_pct: float = _limit(95.0, "%", UNSOURCED)
    full_pct: float = _limit(99.9, "%", UNSOURCED)
    full_after_s: float = _limit(48 * 3600.0, "s", UNSOURCED)
    wet_pct: float = _limit(90.0, "%", WET)
    mould_pct: float = _limit(93.0, "%", MOULD)
    mould_low_c: float = _limit(13.0, "°C", MOULD)
    mould_high_c: float = _limit(24.0, "°C", MOULD)
    mould_after_s: float = _limit(8 * 3600.0, "s", MOULD)
    day_from_h: float = _limit(6.0, "h", UNSOURCED)
    day_to_h: float = _limit(18.0, "h", UNSOURCED)

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
        _in_order(self, "callus_days_low", "callus_days")
        _in_order(self, "callus_days", "callus_days_high")
        _in_order(self, "mould_low_c", "mould_high_c")
        _in_order(self, "day_from_h", "day_to_h")
        for name in ("day_from_h", "day_to_h"):
            if not 0 <= getattr(self, name) <= 24:
                raise BadValue(name, getattr(self, name), "0 to 24 h")
        for name in ("humidity_low_pct", "saturated_pct", "full_pct", "wet_pct", "mould_pct"):
            if not 0 <= getattr(self, name) <= 100:
                raise BadValue(name, getattr(self, name), "0 to 100 %")
        if self.gap_after_intervals < 1:
            raise BadValue("gap_after_intervals", self.gap_after_intervals, "1 or more")
        for name in ("hold_most_s", "gap_after_s", "stuck_after_s", "full_after_s", "mould_after_s"):
            value = getattr(self, name)
            if value is not None and value <= 0:
                raise BadValue(name, value, "above 0 s")
        if self.callus_days_low <= 0:
            raise BadValue("callus_days_low", self.callus_days_low, "above 0 d")

    def hold_s(self, interval_s: float) -> float:
        """Find how long a reading stands for at the longest.

        Parameters
        ----------
        interval_s : float
            The log's usual interval [s]; NaN for fewer than two readings.

        Returns
        -------
        float
            `gap_after_s` where it is given, else `gap_after_intervals` intervals, at most `hold_most_s` [s]; 0 where no
            interval is known.
        """
        if self.gap_after_s is not None:
            return self.gap_after_s
        return min(interval_s * self.gap_after_intervals, self.hold_most_s) if math.isfinite(interval_s) else 0.0

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
