"""The table behind a dome's curve: a row a day or an hour, lowest and highest, hours outside the limits and unknown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from scionary.answers.air import AirAnswer
from scionary.answers.air_edges import midnight
from scionary.answers.words import weekday_date
from scionary.book.models import Nursery
from scionary.dome import Stretches, order_readings, stretches_of
from scionary.language import say
from scionary.units import fahrenheit_from_celsius

_DAY_H = 24
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class AirRow:
    """One piece of time: its name, lowest and highest in words, hours too hot, too dry and not known."""

    begin: datetime
    end: datetime
    name: str
    temperature: str
    humidity: str
    hot_h: float
    dry_h: float
    unknown_h: float

    @property
    def words(self) -> str:
        """Sat 14 Feb: 17 to 24 °C, 88 to 97 %."""
        return say("{name}: {temperature}, {humidity}", name=self.name, temperature=self.temperature, humidity=self.humidity)


def air_rows(air: AirAnswer, nursery: Nursery, *, hours: int = _DAY_H) -> list[AirRow]:
    """A row for every so many hours of the span that was asked for, also where nothing was written."""
    if air.report is None:
        return []
    readings = order_readings(air.readings[:, 0], air.readings[:, 1], air.readings[:, 2])
    stretches = stretches_of(readings, hold_s=air.limits.hold_s(readings.interval_s))
    return [_row(begin, end, air, stretches, nursery, hours) for begin, end in _pieces(air, nursery, hours)]


def _pieces(air: AirAnswer, nursery: Nursery, hours: int) -> Iterator[tuple[datetime, datetime]]:
    """Pieces of the span; days begin at the nursery's own midnight, whatever its clock does on them."""
    begin = air.begin
    while begin < air.end:
        if hours == _DAY_H:
            end = midnight(begin, nursery, days=1)
        else:
            end = datetime.fromtimestamp(begin.timestamp() + hours * 3600, nursery.zone)
        yield begin, min(end, air.end)
        begin = end


def _row(begin: datetime, end: datetime, air: AirAnswer, stretches: Stretches, nursery: Nursery, hours: int) -> AirRow:
    low, high = begin.timestamp(), end.timestamp()
    rows = air.readings[(air.readings[:, 0] >= low) & (air.readings[:, 0] < high)]
    held = np.maximum(np.minimum(stretches.to_s, high) - np.maximum(stretches.from_s, low), 0.0) / 3600.0
    temperature, humidity = stretches.temperature_c, stretches.relative_humidity_pct
    known = held[~np.isnan(temperature) & ~np.isnan(humidity)].sum()
    local = begin.astimezone(nursery.zone)
    return AirRow(
        begin,
        end,
        weekday_date(local)
        if hours == _DAY_H
        else say("{day}, {begin} to {end}", day=weekday_date(local), begin=_clock(local), end=_clock(end.astimezone(nursery.zone))),
        _span(rows[:, 1], f"°{nursery.temperature_unit}", fahrenheit=nursery.temperature_unit == "F"),
        _span(rows[:, 2], "%"),
        float(held[temperature > air.limits.heat_limit_c].sum()),
        float(held[humidity < air.limits.humidity_low_pct].sum()),
        max(float((high - low) / 3600.0 - known), 0.0),
    )


def _clock(moment: datetime) -> str:
    return f"{moment:%H:%M}"


def _span(values: npt.NDArray[np.float64], unit: str, *, fahrenheit: bool = False) -> str:
    known = values[~np.isnan(values)]
    if not len(known):
        return say("not known")
    low, high = (fahrenheit_from_celsius(float(each)) if fahrenheit else float(each) for each in (known.min(), known.max()))
    if round(low) == round(high):
        return f"{low:.0f} {unit}"
    return say("{low:.0f} to {high:.0f} {unit}", low=low, high=high, unit=unit)


def span_hours(days: float) -> int:
    """How long a row is, so that a person can read the table: an hour of one day, else a day."""
    return 1 if timedelta(days=days) <= timedelta(days=1) else _DAY_H
