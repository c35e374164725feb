"""The edges of a span of readings: what a sensor wrote last before a moment, and first after it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

import numpy as np
import numpy.typing as npt

from scionary.answers.words import moment_words, plural
from scionary.book.models import Nursery, Sensor, SensorDay
from scionary.book.readings import load_readings
from scionary.dome import AirLimits, AirReport
from scionary.language import say


@dataclass(frozen=True)
class Edge:
    """Hours at the begin or the end of a span in which nothing is written; `since` is the last word before, `until` the first after."""

    begin: datetime
    end: datetime
    at_end: bool

    @property
    def hours(self) -> float:
        return (self.end - self.begin).total_seconds() / 3600

    @property
    def words(self) -> str:
        missing = hours_words(self.hours)
        if self.at_end:
            return say("nothing written since {moment}: {hours} not known", moment=moment_words(self.begin), hours=missing)
        return say("nothing written until {moment}: {hours} not known", moment=moment_words(self.end), hours=missing)


def hours_words(hours: float) -> str:
    """14 hours; 22 days where it is longer than three."""
    return plural(round(hours / 24), "day") if hours >= 72 else plural(round(hours), "hour")


def midnight(moment: datetime, nursery: Nursery, *, days: int = 0) -> datetime:
    """The begin of the moment's day at the nursery, or of a day so many days from it."""
    return datetime.combine(moment.astimezone(nursery.zone).date() + timedelta(days=days), time(), nursery.zone)


def begin_of(end: datetime, days: float, nursery: Nursery) -> datetime:
    """Where a span of days up to `end` begins: at a midnight of the nursery when they are whole days, the day of `end` among them."""
    local = end.astimezone(nursery.zone)
    if days != int(days):
        return local - timedelta(days=days)
    return midnight(local - timedelta(microseconds=1), nursery, days=1 - int(days))


def clock_offsets(from_s: float, to_s: float, nursery: Nursery) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """What the nursery's clock shows less UTC, day by day: moments, and the offset in seconds that holds from each on."""
    noons = np.arange(np.floor(from_s / 86400.0), np.floor(to_s / 86400.0) + 1.0) * 86400.0
    zone = nursery.zone
    offsets = [datetime.fromtimestamp(float(moment), zone).utcoffset() or timedelta() for moment in noons]
    return noons, np.array([offset.total_seconds() for offset in offsets])


def last_written(sensor: Sensor, before: datetime) -> float | None:
    """When the sensor wrote last before a moment, in seconds; None when it had written nothing."""
    days = SensorDay.objects.filter(sensor=sensor, count__gt=0, day__lte=before.astimezone(UTC).date()).order_by("-day")
    for day in days.values_list("day", flat=True)[:2]:
        rows = load_readings(sensor, datetime.combine(day, time(), UTC), before)
        if len(rows):
            return float(rows[-1, 0])
    return None


def first_written(sensor: Sensor, begin: datetime) -> float | None:
    """When the sensor wrote first from a moment on, in seconds; None when it wrote nothing more."""
    days = SensorDay.objects.filter(sensor=sensor, count__gt=0, day__gte=begin.astimezone(UTC).date()).order_by("day")
    for day in days.values_list("day", flat=True)[:2]:
        rows = load_readings(sensor, begin, datetime.combine(day + timedelta(days=1), time(), UTC))
        if len(rows):
            return float(rows[0, 0])
    return None


def edges_of(
    sensor: Sensor, rows: npt.NDArray[np.float64], begin: datetime, end: datetime, report: AirReport, limits: AirLimits
) -> list[Edge]:
    """The unknown hours before the first and after the last reading; a sensor that had not begun yet lacks nothing."""
    hold_s = limits.hold_s(report.interval_s)
    first, last = float(rows[0, 0]), float(rows[-1, 0])
    before, after = last_written(sensor, begin), first_written(sensor, end)
    zone = begin.tzinfo
    found = []
    if before is not None and first - before > hold_s and first > begin.timestamp():
        found.append(Edge(begin, datetime.fromtimestamp(first, zone), at_end=False))
    if (end.timestamp() if after is None else after) - last > hold_s and end.timestamp() > last:
        found.append(Edge(datetime.fromtimestamp(last, zone), end, at_end=True))
    return found
