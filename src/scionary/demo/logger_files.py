"""Logger files of the demo, as bytes in the forms that loggers give: other separators, units and dates, and faults."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from scionary.demo.air import Air, Spell, dome_air
from scionary.demo.care import vents_set
from scionary.demo.seasons import Filling, past_fillings, present_fillings
from scionary.demo.station import Days, invented_days
from scionary.demo.tarn_bridge import CASES, NURSERY, Case
from scionary.demo.truth import AirFault, air_faults

RECENT_DAYS, PAST_DAYS = 40, 34  # PAST_DAYS: the closed month of a past summer


@dataclass(frozen=True)
class LoggerText:
    """One file of one sensor."""

    name: str
    sensor: str
    data: bytes


def logger_files(today: date, seed: int = 20) -> dict[str, bytes]:
    """The demo's logger files by name: the last forty days of domes in use, and one past summer's healing month of all domes."""
    return {file.name: file.data for file in logger_texts(today, seed)}


def logger_texts(today: date, seed: int) -> Iterator[LoggerText]:
    """Each file with the sensor that wrote it, oldest first."""
    past, present = past_fillings(today, seed), present_fillings(today, seed)
    faults = air_faults(past, present, today)
    last_summer = {f.dome: f for f in past if f.leafy}
    days = invented_days(today, seed)
    now = {f.dome: f for f in present}
    for case in CASES:
        filling = last_summer[case.name]
        yield _text(case, filling, days, filling.day, filling.day + timedelta(days=PAST_DAYS), faults, seed)
    for case in (c for c in CASES if c.name in now):
        yield _text(case, now[case.name], days, today - timedelta(days=RECENT_DAYS), today, faults, seed)


def _text(case: Case, filling: Filling, days: Days, first: date, last: date, faults: list[AirFault], seed: int) -> LoggerText:
    zone = ZoneInfo(NURSERY["time_zone"])
    begin, end = _midnight(first, zone), _midnight(last, zone)
    vents = [(moment, percent) for moment, percent in vents_set(filling, zone, seed) if moment < end]
    spells = [_spell(fault, zone) for fault in faults if fault.dome == case.name and first <= fault.begin < last]
    write, step_min, spoil = _FORMS[case.sensor]
    air = dome_air(case, days, begin, end, step_min, vents=vents, spells=spells, seed=seed)
    name = f"{case.sensor.lower().replace(' ', '-')}_{first.isoformat()}.csv"
    return LoggerText(name, case.sensor, write(*spoil(air), zone))


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(), tzinfo=zone)


def _spell(fault: AirFault, zone: ZoneInfo) -> Spell:
    """The hours of a fault: an afternoon, or from Friday night to Sunday night."""
    if fault.kind == "overheated":
        return Spell(
            fault.kind, datetime.combine(fault.begin, time(12, 30), tzinfo=zone), datetime.combine(fault.end, time(17, 30), tzinfo=zone)
        )
    return Spell(fault.kind, _midnight(fault.begin, zone), datetime.combine(fault.end, time(21), tzinfo=zone))


Rows = tuple[Air, list[int]]  # the air, and which rows to write in which order


def _with_gap(air: Air) -> Rows:
    """The battery was out for nine hours."""
    missing = _span(air, 12.4, 9)
    return air, [row for row in range(air.time_s.size) if row not in missing]


def _written_twice(air: Air) -> Rows:
    """Two hours were written twice, and for most of a day the sensor read 100 %."""
    humidity = air.relative_humidity_pct.copy()
    humidity[list(_span(air, 16.0, 20))] = 100.0
    twice = _span(air, 8.5, 2)
    rows = [*range(twice.stop), *twice, *range(twice.stop, air.time_s.size)]
    return Air(air.time_s, air.temperature_c, humidity), rows


def _stuck(air: Air) -> Rows:
    """For nine hours the sensor showed the very same values, below saturation."""
    span = list(_span(air, 18.2, 9))
    temperature, humidity = air.temperature_c.copy(), air.relative_humidity_pct.copy()
    temperature[span], humidity[span] = temperature[span[0]], 92.4
    return Air(air.time_s, temperature, humidity), list(range(air.time_s.size))


def _span(air: Air, after_days: float, hours: float) -> range:
    step_s = float(air.time_s[1] - air.time_s[0])
    first = int(after_days * 86_400 / step_s)
    return range(first, first + int(hours * 3600 / step_s))


def _local(air: Air, rows: list[int], zone: ZoneInfo) -> list[datetime]:
    return [datetime.fromtimestamp(float(air.time_s[row]), UTC).astimezone(zone) for row in rows]


def _with_offset(air: Air, rows: list[int], zone: ZoneInfo) -> bytes:
    """Commas, dates as in ISO 8601 with the offset from UTC."""
    lines = ["time,temperature_c,relative_humidity_pct"]
    for row, moment in zip(rows, _local(air, rows, zone), strict=True):
        lines.append(f"{moment.isoformat(timespec='seconds')},{air.temperature_c[row]:.1f},{air.relative_humidity_pct[row]:.1f}")
    return _joined(lines)


def _with_decimal_commas(air: Air, rows: list[int], zone: ZoneInfo) -> bytes:
    """Semicolons, decimal commas, day.month.year and two lines of preamble."""
    lines = ["Logger type;TH-2", "Interval;10 min", "Date;Time;Temperature (°C);Humidity (%)"]
    for row, moment in zip(rows, _local(air, rows, zone), strict=True):
        readings = f"{air.temperature_c[row]:.1f};{air.relative_humidity_pct[row]:.1f}".replace(".", ",")
        lines.append(f"{moment:%d.%m.%Y;%H:%M};{readings}")
    return _joined(lines)


def _in_fahrenheit(air: Air, rows: list[int], zone: ZoneInfo) -> bytes:
    """Tabs and °F."""
    lines = ["No.\tDate Time\tTemp (°F)\tRH (%)"]
    fahrenheit = np.round(air.temperature_c * 1.8 + 32.0, 1)
    for number, (row, moment) in enumerate(zip(rows, _local(air, rows, zone), strict=True), start=1):
        lines.append(f"{number}\t{moment:%Y-%m-%d %H:%M}\t{fahrenheit[row]:.1f}\t{air.relative_humidity_pct[row]:.1f}")
    return _joined(lines)


def _joined(lines: list[str]) -> bytes:
    return ("\r\n".join(lines) + "\r\n").encode()


_Write = Callable[[Air, list[int], ZoneInfo], bytes]
_FORMS: dict[str, tuple[_Write, int, Callable[[Air], Rows]]] = {
    "Logger 1": (_with_offset, 10, _with_gap),
    "Logger 2": (_with_decimal_commas, 10, _written_twice),
    "Logger 3": (_in_fahrenheit, 15, _stuck),
    "Logger 4": (_with_offset, 15, _stuck),
    "Logger 5": (_in_fahrenheit, 15, _written_twice),
    "Logger 6": (_with_decimal_commas, 10, _with_gap),
}
