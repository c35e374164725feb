"""When Tarn Bridge grafts: two past growing years, what stands under cover today, and the year that is coming.

The dates are those of one invented nursery at one latitude; no rule of the program rests on them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from scionary.answers.growing_year import growing_year
from scionary.demo.chance import stream
from scionary.demo.tarn_bridge import CASES, GROWERS, MAREN_SHARE, NURSERY, SUMMER, WINTER

HEALED_DAYS = 46  # closed, then opened by degrees, then out of the dome
_WINTER_BENCH, _SUMMER_BENCH = (2, 2), (7, 24)  # first day of a session: month, day
_LAST_BENCH = (8, 15)
_SETTLED_DAYS = 80  # by then a summer's grafts are long out of the domes
_LEAFY_FROM, _LEAFY_UNTIL = (6, 15), (9, 15)  # firm leafy wood at Tarn Bridge

# Dome, grafts and age in days of what stands under cover today.
STANDING_NOW = (("Dome 1", 10, 22), ("Dome 2", 10, 36), ("Dome 3", 6, 6))


@dataclass(frozen=True)
class Filling:
    """One dome filled on one bench day."""

    season: int
    day: date
    dome: str
    leafy: bool
    grafts: int
    grower: str
    now: bool = False

    @property
    def key(self) -> str:
        return f"{self.day.isoformat()} {self.dome}"

    @property
    def method(self) -> str:
        return SUMMER if self.leafy else WINTER


def year_of(day: date) -> int:
    return growing_year(day, NURSERY["latitude_deg"])


def past_seasons(today: date) -> tuple[int, int]:
    """The last two growing years whose grafts are out of the domes."""
    last = today.year if date(today.year, *_LAST_BENCH) + timedelta(days=_SETTLED_DAYS) <= today else today.year - 1
    return last - 1, last


def coming_season(today: date) -> int:
    """The growing year whose summer bench is still ahead."""
    year = year_of(today)
    return year if today <= date(year, *_LAST_BENCH) else year + 1


def past_fillings(today: date, seed: int) -> list[Filling]:
    """Two sessions a growing year, each filling every dome once."""
    found = []
    for season in past_seasons(today):
        for leafy, (month, day) in ((False, _WINTER_BENCH), (True, _SUMMER_BENCH)):
            rng = stream(seed, f"session {season} {leafy}")
            first = date(season, month, day) + timedelta(days=int(rng.integers(-4, 5)))
            for at, case in enumerate(CASES):
                bench = first + timedelta(days=(0, 0, 2, 2, 7, 9)[at])
                grafts = case.filled if case.filled <= 10 else case.filled + int(rng.integers(-2, 3))
                found.append(Filling(season, bench, case.name, leafy, grafts, _grower(seed, f"{bench} {case.name}")))
    return found


def present_fillings(today: date, seed: int) -> list[Filling]:
    """What stands under cover today: about three weeks closed, opened by a third, and fresh."""
    found = []
    for dome, grafts, age in STANDING_NOW:
        day = today - timedelta(days=age)
        leafy = date(day.year, *_LEAFY_FROM) <= day <= date(day.year, *_LEAFY_UNTIL)
        found.append(Filling(year_of(day), day, dome, leafy, grafts, _grower(seed, f"{day} {dome}"), now=True))
    return found


def _grower(seed: int, what: str) -> str:
    return GROWERS[0] if stream(seed, f"grower {what}").random() < MAREN_SHARE else GROWERS[1]
