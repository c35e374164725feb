"""Tables of what weather stations wrote: one a station and step, recorded and forecast."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime
from operator import itemgetter
from typing import Any

from scionary.book.models import WeatherStation
from scionary.book.weather import COLUMNS, load_weather

Columns = Mapping[str, Callable[[Any], Any]]


def weather_tables() -> Iterator[tuple[str, Columns, list[Any]]]:
    """Each table by its name, with its columns and rows; days are days as they were written, hours moments."""
    for number, station in enumerate(WeatherStation.objects.filter(months__isnull=False).distinct(), 1):
        name = "".join(c if c.isalnum() else "-" for c in station.name)[:40]
        for step in ("day", "hour"):
            rows = [(kind, *row) for kind in (False, True) for row in load_weather(station, step, forecast=kind).tolist()]
            if rows:
                yield f"weather-{number}-{name}-{step}", _columns(step), rows


def _columns(step: str) -> Columns:
    shown = {column.replace("_", " "): _known(at) for at, column in enumerate(COLUMNS[1:], 2)}
    return {"day" if step == "day" else "time": _day if step == "day" else _moment, "forecast": itemgetter(0), **shown}


def _moment(row: Any) -> datetime:
    return datetime.fromtimestamp(row[1], UTC)


def _day(row: Any) -> str:
    return _moment(row).date().isoformat()


def _known(at: int) -> Callable[[Any], Any]:
    return lambda row: None if row[at] != row[at] else row[at]
