"""What was cut in the yard at Tarn Bridge before a bench day: sticks, mother tree by mother tree."""

from __future__ import annotations

from collections import Counter
from datetime import date
from math import ceil
from zoneinfo import ZoneInfo

from scionary.demo.diary import Diary

_PIECES_A_STICK = 3
_SUMMER = range(5, 10)  # months in which the maples of the valley are in leaf


def cut_scions(diary: Diary, zone: ZoneInfo) -> None:
    """The evening's list had it: so many sticks from each tree, cut in the morning of the day on which they were grafted."""
    grafts: Counter[tuple[date, str, str]] = Counter()
    for event in diary.events():
        if event.kind in ("grafted", "regrafted") and "tree" in event.payload:
            grafts[event.happened_at.astimezone(zone).date(), event.payload["tree"], event.who] += 1
    for turn, ((day, tree, who), count) in enumerate(sorted(grafts.items())):
        care = "stalks_left" if day.month in _SUMMER else "dormant"
        payload = {"sticks": ceil(count / _PIECES_A_STICK), "care": care}
        diary.write("scions_cut", diary.at(day, 7, turn % 60), f"tree:{tree}", payload, who=who)
