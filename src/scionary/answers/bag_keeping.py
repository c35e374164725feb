"""How sticks in a bag were kept: how long, how warm where a logger lies beside them, and what growers say of that."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta

import numpy as np

from scionary.answers.cutting import limits_of
from scionary.book.models import Nursery, ScionBag, Sensor
from scionary.book.readings import load_readings
from scionary.language import mark, say
from scionary.season import Rating, StoredSticks
from scionary.units import temperature_words

_LONGEST_DAYS = 1000.0
_NO_LOGGER = mark("How warm it was is not known: no logger of the book is called like the place where it is kept.")


@dataclass(frozen=True)
class Keeping:
    """What the storing of a bag is worth saying: each line, and whether it is in doubt."""

    lines: tuple[tuple[str, bool], ...]

    @property
    def doubts(self) -> list[str]:
        """What lies beyond the usual."""
        return [words for words, doubtful in self.lines if doubtful]


NOTHING_KNOWN = Keeping(())


def keeping_of(bag: ScionBag, nursery: Nursery, *, now: datetime) -> Keeping:
    """How long and how warm, held against what is usual; where nobody said whether it is in leaf, only what is known."""
    begin = _cut(bag, nursery)
    if begin is None or begin > now:
        return NOTHING_KNOWN
    days, warmth = min((now - begin) / timedelta(days=1), _LONGEST_DAYS), _warmth(bag, begin, now)
    if not bag.care:
        return Keeping(((_known(days, warmth, nursery), False),))
    stored = StoredSticks(bag.care != ScionBag.Care.DORMANT, float(round(days)), None if warmth is None else round(warmth, 1))
    lines = [(reason.words, reason.rating > Rating.GOOD) for reason in stored.reasons(limits_of(nursery))]
    return Keeping((*lines, *([(say(_NO_LOGGER), False)] if warmth is None else [])))


def _known(days: float, warmth: float | None, nursery: Nursery) -> str:
    if warmth is None:
        return say("Stored for {days:.0f} days.", days=days)
    return say("Stored for {days:.0f} days at {warmth}.", days=days, warmth=temperature_words(warmth, nursery.temperature_unit))


def _cut(bag: ScionBag, nursery: Nursery) -> datetime | None:
    if bag.cut_at is not None:
        return bag.cut_at
    return datetime.combine(bag.cut_on, time(12), nursery.zone) if bag.cut_on else None


def _warmth(bag: ScionBag, begin: datetime, now: datetime) -> float | None:
    """The mean of a logger that is called like the place where the bag is kept, since the cut; None where there is none."""
    sensor = Sensor.objects.filter(name__iexact=bag.stands.strip()).first() if bag.stands.strip() else None
    rows = load_readings(sensor, begin, now) if sensor else np.empty((0, 3))
    known = rows[~np.isnan(rows[:, 1]), 1]
    return float(known.mean()) if known.size else None
