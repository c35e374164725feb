"""What salt tests found of a logger: kept with it, and added to what its humidity sensor wrote from the day of each test on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

import numpy as np
import numpy.typing as npt

from scionary.answers.words import listed, short_day
from scionary.book.commands import save_noun
from scionary.book.models import Nursery, Sensor
from scionary.book.readings import load_readings
from scionary.dome import SaltTest
from scionary.errors import Refused
from scionary.language import say

AT_ITS_END_PCT = 99.9  # from here on a sensor says only "at least so much", and nothing is added
Rows = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Offset:
    """What is added to a logger's humidity from a day on, and how sure that is."""

    begin: date
    offset_pct: float
    doubt_pct: float

    @property
    def words(self) -> str:
        """+1.2 % since 3 Nov 2026, give or take 0.4 %."""
        told = {"offset": self.offset_pct, "day": short_day(self.begin), "doubt": self.doubt_pct}
        return say("{offset:+.1f} % since {day}, give or take {doubt:.1f} %", **told)


def offsets_of(sensor: Sensor) -> list[Offset]:
    """The logger's salt tests, oldest first."""
    kept = [Offset(date.fromisoformat(each["from"]), each["offset_pct"], each["doubt_pct"]) for each in sensor.salt_tests]
    return sorted(kept, key=lambda each: each.begin)


def keep_salt_test(sensor: Sensor, test: SaltTest, begin: date, *, now: datetime, who: str = "") -> Offset:
    """Keep what a salt test found, from its day on; another test of the same day takes its place."""
    others = [each for each in sensor.salt_tests if each["from"] != begin.isoformat()]
    found = Offset(begin, round(test.offset_pct, 2), round(test.doubt_pct, 2))
    kept = {"from": begin.isoformat(), "offset_pct": found.offset_pct, "doubt_pct": found.doubt_pct}
    save_noun(Sensor, {"salt_tests": sorted([*others, kept], key=lambda each: each["from"])}, now=now, pk=sensor.pk, who=who)
    return found


def with_offsets(sensor: Sensor, rows: Rows, nursery: Nursery) -> Rows:
    """Readings with what salt tests found; those before the first test, and those at the sensor's end, as it wrote them."""
    offsets = offsets_of(sensor)
    if not offsets or not len(rows):
        return rows
    begins = [datetime.combine(each.begin, time(), nursery.zone).timestamp() for each in offsets]
    at = np.searchsorted(begins, rows[:, 0], side="right")
    added = np.array([0.0, *(each.offset_pct for each in offsets)])[at]
    humidity = np.where(rows[:, 2] >= AT_ITS_END_PCT, rows[:, 2], np.clip(rows[:, 2] + added, 0.0, 100.0))
    return np.column_stack([rows[:, 0], rows[:, 1], np.where(at == 0, rows[:, 2], humidity)])


def load_tested(sensor: Sensor, nursery: Nursery, begin: datetime | None = None, end: datetime | None = None) -> Rows:
    """Stored readings, from `begin` up to but without `end`, with what salt tests found."""
    return with_offsets(sensor, load_readings(sensor, begin, end), nursery)


def holding_test(sensor: Sensor, begin: datetime) -> SaltTest | None:
    """The test that holds from before a moment until now, as a fit takes it; None where there is none, or a newer one began since."""
    offsets = offsets_of(sensor)
    if not offsets or offsets[-1].begin > begin.date():
        return None
    last = offsets[-1]
    return SaltTest(last.offset_pct, last.doubt_pct, np.nan, np.nan, np.nan, 0)


def offsets_said(sensors: Sequence[Sensor], end: datetime) -> str:
    """What was added to the humidity of each logger that was tested before a moment; empty where none was."""
    told = [(sensor.name, offsets_of(sensor)) for sensor in sensors]
    holding = [(name, [each for each in offsets if each.begin <= end.date()]) for name, offsets in told]
    words = [say("{logger} {offset}", logger=name, offset=offsets[-1].words) for name, offsets in holding if offsets]
    return say("Added to humidity after a salt test: {offsets}.", offsets=listed(words)) if words else ""


def logger_called(name: str) -> Sensor:
    """The logger of the book that is called so."""
    found = Sensor.objects.filter(name__iexact=" ".join(name.split())).first()
    if found is None:
        names = listed(list(Sensor.objects.filter(retired=False).values_list("name", flat=True))) or say("none yet")
        remedy = say("The book holds these: {names}.", names=names)
        raise Refused(say("the book holds no logger that is called {name}.", name=name), where="sensor", remedy=remedy)
    return found
