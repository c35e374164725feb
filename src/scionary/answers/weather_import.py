"""Reading a weather file into the book: first a look at what it holds, then its readings; what lies ahead is a forecast."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

import numpy as np
from django.db import transaction

from scionary.answers.offers import accepted_before, check_size, keep_accepted, offered
from scionary.answers.weather import station_in_use
from scionary.answers.weather_stamps import laid_rows, settled
from scionary.answers.words import plural, short_day
from scionary.answers.works import LastStep, Progress, tell
from scionary.book import queries
from scionary.book.commands import save_noun
from scionary.book.models import Nursery, WeatherStation
from scionary.book.patience import patiently
from scionary.book.weather import COLUMNS, Rows, count_times, store_weather
from scionary.files.problems import Problem, unread_words
from scionary.files.weather import WeatherFile, read_weather
from scionary.files.weather_columns import QUANTITIES
from scionary.files.weather_numbers import UNITS
from scionary.language import forms, mark, say

__all__ = [
    "UNITS",
    "WeatherReading",
    "accept_weather",
    "parted",
    "preview_weather",
    "quantity_words",
    "read_weather_file",
    "weather_import",
]
KIND = "weather"
_PARTS = {
    "date": mark("date"),
    "clock": mark("time of day"),
    "year": mark("year"),
    "month": mark("month"),
    "day": mark("day"),
    "hour": mark("hour"),
    "station": mark("station"),
}
_DAY = np.timedelta64(1, "D")


def quantity_words(name: str) -> str:
    """What a column holds, in words."""
    return say({**_PARTS, **QUANTITIES}.get(name, name))


@dataclass(frozen=True)
class WeatherReading:
    """How the person wants a file read: what is empty is found in the file or asked for. `forecast`: all of it is foretold."""

    time_zone: str = ""
    columns: Mapping[str, str | int] | None = None
    units: Mapping[str, str] | None = None
    date_order: str | None = None
    of_station: str | None = None
    sheet: str | None = None
    forecast: bool = False
    stands_for: str = ""  # of hours: what the time of a row stands for, as in `weather_stamps.STANDS_FOR`


@dataclass(frozen=True)
class WeatherPreview:
    """What a file holds and where it would go; nothing is written yet."""

    file: WeatherFile
    station: str
    station_is_new: bool
    recorded: int
    foretold: int
    warnings: tuple[str, ...]

    @property
    def words(self) -> str:
        """2026-01-01 to 2026-03-01: 60 days. No gap. 53 of them recorded, 7 foretold."""
        if not self.foretold:
            return self.file.words()
        return say(
            "{said} Recorded: {recorded:,}; foretold: {foretold:,}.", said=self.file.words(), recorded=self.recorded, foretold=self.foretold
        )

    @property
    def problems(self) -> tuple[Problem, ...]:
        return self.file.problems

    def to_dict(self) -> dict[str, Any]:
        told = {"recorded": self.recorded, "foretold": self.foretold, "warnings": list(self.warnings), "words": self.words}
        return {**self.file.to_dict(), "goes_to": self.station, "station_is_new": self.station_is_new, **told}


@dataclass(frozen=True)
class WeatherResult:
    """What came into the book."""

    station_id: UUID
    station: str
    new: int
    known: int
    foretold: int
    words: str
    problems: int
    warnings: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        return {**vars(self), "station_id": str(self.station_id), "warnings": list(self.warnings)}


def read_weather_file(data: bytes, name: str, nursery: Nursery, how: WeatherReading | None = None) -> WeatherFile:
    """The file as it is understood at this nursery."""
    how = how or WeatherReading()
    check_size(data, name)
    zone = how.time_zone or nursery.time_zone
    told = {"columns": how.columns, "units": how.units, "date_order": how.date_order, "station": how.of_station, "sheet": how.sheet}
    return settled(read_weather(data, name=name, time_zone=zone, **told), nursery, how.stands_for)  # type: ignore[arg-type]


def preview_weather(data: bytes, name: str, *, now: datetime, station: str = "", how: WeatherReading | None = None) -> WeatherPreview:
    """Look at a weather file: days or hours, gaps, problems by line, how it was understood."""
    nursery = queries.nursery()
    read = read_weather_file(data, name, nursery, how)
    found, called = _station(station, name)
    recorded, foretold = parted(read, nursery, now, all_foretold=bool(how and how.forecast))
    return WeatherPreview(read, called, found is None, count_times(recorded), count_times(foretold), _warnings(data, read, nursery))


def accept_weather(
    data: bytes,
    name: str,
    *,
    now: datetime,
    station: str = "",
    how: WeatherReading | None = None,
    who: str = "",
    progress: Progress | None = None,
) -> WeatherResult:
    """Read a weather file into the book, all or nothing; a station that is new is made."""
    tell(progress, 0.05, say("reading the file"))
    nursery = queries.nursery()
    read = read_weather_file(data, name, nursery, how)
    tell(progress, 0.7, say("writing the readings"))
    return _write(read, data, station, nursery, now=now, who=who, all_foretold=bool(how and how.forecast))


def weather_import(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    """The work "import weather". Arguments: sha256 of an offered file, station, who, and `how` as in `WeatherReading`."""
    data, name = offered(arguments["sha256"])
    nursery = queries.nursery()
    how = WeatherReading(**arguments.get("how", {}))
    tell(progress, 0.05, say("reading the file"))
    read = read_weather_file(data, name, nursery, how)
    tell(progress, 0.7, say("writing the readings"))
    given = {"now": now, "who": arguments.get("who", ""), "all_foretold": how.forecast}
    return lambda: _write(read, data, arguments.get("station", ""), nursery, **given).to_dict()


@patiently
def _write(read: WeatherFile, data: bytes, station: str, nursery: Nursery, *, now: datetime, who: str, all_foretold: bool) -> WeatherResult:
    recorded, foretold = parted(read, nursery, now, all_foretold=all_foretold)
    with transaction.atomic():
        found, called = _station(station, read.name)
        warnings = _warnings(data, read, nursery)
        values = {"name": called, "read_at": now, **({"forecast_read_at": now} if len(foretold) else {})}
        kept = save_noun(WeatherStation, values, now=now, pk=found.pk if found else None, who=who)
        new = store_weather(kept, recorded, read.step) if len(recorded) else 0
        if len(foretold):
            store_weather(kept, foretold, read.step, forecast=True)
        keep_accepted(data, read.name, KIND, now=now)
    one, many = forms("new day", "new days") if read.step == "day" else forms("new hour", "new hours")
    words = f"{called}: {plural(new, one, many)}"
    told = count_times(recorded)
    if told > new:
        words = say("{words}; {known} stood in the book before", words=words, known=told - new)
    if len(foretold):
        words = say("{words}; foretold until {day}", words=words, day=short_day(read.dates[-1].astype(object)))
    return WeatherResult(kept.pk, called, new, told - new, count_times(foretold), f"{words}.", len(read.problems), warnings)


def _station(typed: str, file: str) -> tuple[WeatherStation | None, str]:
    """The station that is meant and its name: as named, else the one in use, else a new one called after the file."""
    called = " ".join(typed.split())
    if called:
        found = WeatherStation.objects.filter(name__iexact=called).first()
        return found, found.name if found else called
    used = station_in_use()
    if used is not None:
        return used, used.name
    stem = " ".join(file.rpartition(".")[0].replace("_", " ").split())[:80] or say("Weather station")
    return WeatherStation.objects.filter(name__iexact=stem).first(), stem


def parted(read: WeatherFile, nursery: Nursery, now: datetime, *, all_foretold: bool) -> tuple[Rows, Rows]:
    """Rows that are recorded and rows that lie ahead; a day is recorded once it is over."""
    hourly = read.step == "hour"
    if hourly:
        rows = laid_rows(read, nursery)
    else:
        named = {"time_s": read.dates.astype("datetime64[s]").astype(np.float64)}
        rows = np.column_stack([named[name] if name in named else getattr(read, name) for name in COLUMNS])
    today = np.datetime64(now.astimezone(nursery.zone).date(), "D")
    ahead = rows[:, 0] > now.timestamp() if hourly else read.dates >= today
    ahead = ahead | all_foretold
    known = np.isfinite(rows[:, 1:]).any(axis=1)
    return rows[known & ~ahead], rows[known & ahead]


def _warnings(data: bytes, read: WeatherFile, nursery: Nursery) -> tuple[str, ...]:
    """What a person should look at before relying on the file."""
    told = [*filter(None, [*read.understood.assumptions, unread_words(read.understood.unread)])]
    before = accepted_before(data, KIND)
    if before is not None:
        day = short_day(before.received_at.astimezone(nursery.zone).date())
        told.append(say("This very file was read in on {day}.", day=day))
    if nursery.latitude_deg is None:
        told.append(say("The book does not know where the nursery lies: without a latitude there is no day length and no water balance."))
    return tuple(told)
