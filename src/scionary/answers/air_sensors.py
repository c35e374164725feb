"""Two sensors of one dome in words: read as one where they agree, and which is not to be trusted where they do not."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.answers.salt_tests import load_tested
from scionary.answers.words import day_soon
from scionary.book.models import Nursery, Sensor
from scionary.dome import Likeness, Pair, Readings, SensorPair, Which, compare_sensors, merge_sensors, order_readings
from scionary.language import say

_LOOK_BACK_DAYS = 30  # so many days before the span are held against each other too: a drift is slow; project default
Rows = npt.NDArray[np.float64]


@dataclass(frozen=True)
class SensorsSaid:
    """What two sensors say of each other; `merged` when they are read as one."""

    names: str
    merged: bool
    sentences: tuple[str, ...]
    pair: SensorPair

    @property
    def doubt(self) -> bool:
        """Whether a person should look at the sensors."""
        good = (Likeness.AGREE, Likeness.TOO_LITTLE)
        return self.pair.temperature.likeness not in good or self.pair.humidity.likeness not in good

    def to_dict(self) -> dict[str, Any]:
        return {
            "names": self.names,
            "read_as_one": self.merged,
            "sentences": list(self.sentences),
            "hours_both": self.pair.hours_both,
            "temperature": _plain(self.pair.temperature),
            "humidity": _plain(self.pair.humidity),
        }


def held_against(
    first: Sensor, second: Sensor, rows: Rows, begin: datetime, end: datetime, nursery: Nursery
) -> tuple[Rows, SensorsSaid | None]:
    """The readings of a span, of both sensors where they are read as one; None when the second wrote nothing then."""
    others = load_tested(second, nursery, begin, end)
    if not len(others):
        return rows, None
    since = begin - timedelta(days=_LOOK_BACK_DAYS)
    pair = compare_sensors(*(readings_of(load_tested(sensor, nursery, since, end)) for sensor in (first, second)))
    said = sensors_said(first.name, second.name, pair, nursery)
    return (rows_of(merge_sensors(readings_of(rows), readings_of(others))) if said.merged else rows), said


def sensors_said(first: str, second: str, pair: SensorPair, nursery: Nursery) -> SensorsSaid:
    """Two sensors in words: what they agree on, and what to do where they do not."""
    names = say("{first} and {second}", first=first, second=second)
    if not pair.hours_both:
        return SensorsSaid(names, True, (say("{names} never wrote at the same time: nothing can be compared.", names=names),), pair)
    sentences = [
        _sentence(quantity, found, names, first, second, nursery)
        for quantity, found in ((say("temperature"), pair.temperature), (say("humidity"), pair.humidity))
    ]
    kept = [sentence for sentence in sentences if sentence]
    if not pair.same_air:
        kept.append(say("They are not read as one: what follows is {first} alone.", first=first))
    return SensorsSaid(names, pair.same_air, tuple(kept) or (say("{names} agree, and are read as one.", names=names),), pair)


def _sentence(quantity: str, found: Pair, names: str, first: str, second: str, nursery: Nursery) -> str:
    """What one quantity says; empty where all is well."""
    words = {"names": names, "quantity": quantity}
    if found.likeness is Likeness.SWAPPED:
        day = day_soon(datetime.fromtimestamp(found.swapped_s, nursery.zone))
        return say("{names} seem to have changed places on {day}, by their {quantity}: look which hangs where.", **words, day=day)
    if found.likeness is Likeness.UNLIKE:
        return say("{names} do not move alike in {quantity}: is one the log of another dome?", **words)
    if found.likeness is Likeness.OFFSET:
        apart = _apart(found.difference, quantity, nursery)
        return say(
            "{first} reads {apart} {second} in {quantity}, steadily: a salt test tells which is right.",
            **words,
            first=first,
            second=second,
            apart=apart,
        )
    if found.likeness is Likeness.DRIFT:
        return _drift(found, quantity, names, first, second, nursery)
    return ""


def _drift(found: Pair, quantity: str, names: str, first: str, second: str, nursery: Nursery) -> str:
    size = _size(found.change, quantity, nursery)
    if found.moved is Which.UNKNOWN:
        return say(
            "{names} drifted apart by {size} in {quantity}, and it is not plain which of them moved: test both.",
            names=names,
            size=size,
            quantity=quantity,
        )
    name = first if found.moved is Which.FIRST else second
    return say(
        "{name} likely drifted by {size} in {quantity}: its nights moved, the other's stood.", name=name, size=size, quantity=quantity
    )


def _apart(difference: float, quantity: str, nursery: Nursery) -> str:
    size = _size(difference, quantity, nursery)
    return say("{size} above", size=size) if difference > 0 else say("{size} below", size=size)


def _size(difference: float, quantity: str, nursery: Nursery) -> str:
    if quantity == say("humidity"):
        return f"{abs(difference):.0f} %"
    scale = 1.8 if nursery.temperature_unit == "F" else 1.0
    return f"{abs(difference) * scale:.1f} °{nursery.temperature_unit}"


def readings_of(rows: Rows) -> Readings:
    """Stored rows of time, temperature and humidity as the engine takes them."""
    return order_readings(rows[:, 0], rows[:, 1], rows[:, 2])


def rows_of(readings: Readings) -> Rows:
    """The engine's readings as rows of time, temperature and humidity."""
    return np.column_stack([readings.time_s, readings.temperature_c, readings.relative_humidity_pct])


def _plain(found: Pair) -> dict[str, Any]:
    numbers = {name: getattr(found, name) for name in ("difference", "change", "swapped_s", "shared")}
    known = {name: None if np.isnan(value) else value for name, value in numbers.items()}
    return {"likeness": str(found.likeness), "moved": str(found.moved), "days": found.days, **known}
