"""Blade sessions: which grafts one blade cut after one another, between two cleanings."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from scionary.answers.days_known import no_time, whole_day
from scionary.answers.events_in_bulk import standing_events
from scionary.answers.words import short_day
from scionary.book.models import BenchDay
from scionary.language import say


@dataclass(frozen=True)
class Cut:
    """One graft: its plant, when it was made in seconds since 1970, and whose hand held the blade."""

    plant: str
    at: float
    hand: str


@dataclass(frozen=True)
class Session:
    """What one blade cut between two cleanings; `timed` is False where only the day is known, and so no order."""

    day: date
    hand: str
    number: int
    cuts: tuple[Cut, ...]
    timed: bool
    begins: float
    ends: float

    @property
    def key(self) -> str:
        return f"blade:{self.day.isoformat()}:{self.number}:{self.hand}"


def blade_sessions(cuts: Iterable[Cut], zone: ZoneInfo) -> list[Session]:
    """The sessions of all days: one hand has one blade, whatever its benches were set for.

    Noon sharp stands for a time that is not known; one such graft or cleaning, and the whole day of that hand is one session.
    """
    cleaned = _cleanings(zone)
    days: dict[tuple[date, str], list[Cut]] = defaultdict(list)
    for cut in cuts:
        days[datetime.fromtimestamp(cut.at, zone).date(), cut.hand].append(cut)
    return [session for (day, hand), made in days.items() for session in _of_day(day, hand, made, cleaned.get((day, hand), []), zone)]


def _of_day(day: date, hand: str, made: Sequence[Cut], cleaned: Sequence[float], zone: ZoneInfo) -> list[Session]:
    begins, ends = whole_day(made[0].at, zone)
    if any(no_time(at, zone) for at in (*(cut.at for cut in made), *cleaned)):
        return [Session(day, hand, 0, tuple(made), False, begins, ends)]
    cleaned = sorted(cleaned)
    sessions: dict[int, list[Cut]] = defaultdict(list)
    for cut in sorted(made, key=lambda cut: (cut.at, cut.plant)):
        sessions[bisect_left(cleaned, cut.at)].append(cut)
    return [Session(day, hand, number, tuple(cuts), True, cuts[0].at, cuts[-1].at) for number, cuts in sessions.items()]


def _cleanings(zone: ZoneInfo) -> dict[tuple[date, str], list[float]]:
    """When the blade of each hand was changed or disinfected, a day at a time."""
    found: dict[tuple[date, str], list[float]] = defaultdict(list)
    events = standing_events(("blade_cleaned",), "bench")
    benches = {bench.hex: (day, hand) for bench, day, hand in BenchDay.objects.values_list("pk", "day", "grafter")} if events else {}
    for event in events:
        bench = next((key[6:] for key in event.subjects), "")
        if bench in benches:
            day, hand = benches[bench]
            found[day, event.payload.get("grafter") or hand].append(event.at)
    return found


def is_session(key: str) -> bool:
    """Whether this is how a session is named."""
    parts = key.split(":", 3)
    try:
        date.fromisoformat(parts[1])
        return len(parts) == 4 and parts[2].isascii() and parts[2].isdigit() and len(parts[2]) < 6
    except (ValueError, IndexError):
        return False


def session_words(key: str) -> str:
    """A session's key in words: Maren's blade, 14 Feb 2026, after cleaning 2."""
    _, day, number, hand = key.split(":", 3)
    when = date.fromisoformat(day)
    whose = say("{hand}’s blade", hand=hand) if hand else say("the blade")
    if not int(number):
        return f"{whose}, {short_day(when)}"
    return say("{blade}, {day}, after cleaning {number}", blade=whose, day=short_day(when), number=number)
