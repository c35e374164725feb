"""A schedule made by hand, whose names are figures."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from scionary.answers.schedule import (
    Assumed,
    Beside,
    Change,
    CheapWish,
    Drift,
    HeldUp,
    Schedule,
    ScheduleRow,
    ScheduleWeek,
    Standing,
    WishOutlook,
)

NOW, MONDAY, SEASON = datetime(2027, 6, 28, 8, tzinfo=UTC), date(2027, 7, 5), 2027


def standing(kind: str, age: int = 0, grafts: int = 12, holds: int = 15, *, mixed: bool = False) -> Standing:
    if kind in ("free", "away"):
        return Standing("7", kind)
    return Standing("7", kind, grafts, holds if kind == "planned" else 0, "77", MONDAY, age, ("777",), mixed)


def a_week(place: int, *domes: Standing, grafts: int = 0, used: float = 0.0, there: float | None = 2.0) -> ScheduleWeek:
    monday = MONDAY + timedelta(weeks=place)
    return ScheduleWeek(monday, monday.isocalendar().week, grafts, used, there, domes, ("7777",))


def in_figures(**other: Any) -> Schedule:
    """The same without the words for stocks that are to be ordered: it reads the same in every language."""
    made = a_schedule(**other)
    return replace(made, rows=tuple(replace(row, lot="24-7") for row in made.rows))


def a_schedule(**other: Any) -> Schedule:
    """Twelve grafts in one dome of two for two weeks, then nothing for four, and a dome that is away at the end."""
    row = ScheduleRow(
        1, "w", "777", "c", MONDAY, 12, "7777", "77", ("7",), "24-7 stocks to order", "7-7", 6.4, 1.0, 2, regraft=True, ordered=True
    )
    free = standing("free")
    weeks = (
        a_week(0, standing("planned"), free, grafts=12, used=1.0),
        a_week(1, standing("planned", 1), free),
        *(a_week(place, free, free) for place in range(2, 6)),
        a_week(6, free, standing("before", 3, 5), there=None),
        a_week(7, free, standing("before", 4, 5)),
    )
    wish = WishOutlook("w", "c", "777", 10, 12, 2, 8.4, 3, 12, 0.31, 0.9, 20.0, True, None, "77")
    met = replace(wish, wish="v", name="7", expected=11.0, chance=0.95, why_cut="")
    given: dict[str, Any] = {
        "season": SEASON, "ident": "", "made_at": NOW, "today": NOW.date(), "source": "solved", "effort": "quick",
        "asked": {"seed": 1, "sure": 0.8, "effort": "quick"}, "rows": (row,), "weeks": weeks, "wishes": (met, wish), "value": 1250.0,
        "low": 40.0, "high": 1500.0, "cost": 30.0, "planned": 1248.0, "bound": 1260.0, "gap": 0.01, "complete": True, "stopped": False,
        "held_up": (HeldUp("7/7", 40.0, 30.0, 2.0),), "changes": (Change("7+7", 1251.0, 87.0, {"what": "money", "number": 7.0}),),
        "cheap": (CheapWish("7", "7-7-7"),), "own": Beside("77", 1100.0, -150.0, 11, (0.94, 0.6), ("7:7",)),
        "tried": (Beside("7*7", 1300.0, 50.0, 14, (0.95, 0.5)),), "clash": "7777777", "drift": (Drift("w", "777", 12, 7, 8.4, 6.0),),
        "assumed": (Assumed("7 7", "graft_cost", 3.0, "7"), Assumed("77 77")), "unused": ("7/77",),
    }  # fmt: skip
    return Schedule(**{**given, **other})
