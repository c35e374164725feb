"""What a weather file alone says of a site: no book is asked, and none is written."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np

from scionary.answers.weather import SiteWeather, joined_weather
from scionary.answers.weather_import import WeatherReading, parted, read_weather_file
from scionary.answers.weather_report import FrostReport, HeatYear, Holding, Winter, chill_winters, frost_report, heat_year, holding
from scionary.book.models import Nursery, WeatherStation
from scionary.book.weather import COLUMNS
from scionary.errors import BadFile
from scionary.files.weather import WeatherFile
from scionary.language import say


@dataclass(frozen=True, eq=False)
class FileReport:
    """A weather file with the year that it tells of."""

    file: WeatherFile
    weather: SiteWeather
    holding: Holding
    heat: HeatYear | None
    frost: FrostReport | None
    chill: list[Winter]

    @property
    def whole(self) -> bool:
        """Whether every row was understood, and no day of the record is without its temperatures."""
        return not (self.file.problems or self.file.conflicts or self.holding.gaps)

    def rain_by_year(self) -> list[tuple[int, float, int]]:
        """Year, rain in mm, days of it without a figure."""
        years = self.weather.dates.astype("datetime64[Y]").astype(int) + 1970
        rain = self.weather.rain_mm
        if np.isnan(rain).all():
            return []
        return [(int(y), float(np.nansum(rain[years == y])), int(np.isnan(rain[years == y]).sum())) for y in np.unique(years)]

    def to_dict(self) -> dict[str, Any]:
        frost = self.frost
        return {
            **self.file.to_dict(),
            "holds": self.holding.words,
            "heat": {"words": self.heat.words, "years": self.heat.years} if self.heat else None,
            "frost": {"words": frost.words, "years": frost.dates.to_dict()} if frost else None,
            "chill": [winter.to_dict() for winter in self.chill],
            "rain": [{"year": year, "mm": round(mm, 1), "days_missing": missing} for year, mm, missing in self.rain_by_year()],
        }


def report_of_file(data: bytes, name: str, nursery: Nursery, *, now: datetime, how: WeatherReading | None = None) -> FileReport:
    """The report of a file; `nursery` says where it is, and may stand in no book."""
    read = read_weather_file(data, name, nursery, how)
    rows = parted(read, nursery, now, all_foretold=bool(how and how.forecast))
    none = np.empty((0, len(COLUMNS)))
    days, hours = (rows, (none, none)) if read.step == "day" else ((none, none), rows)
    weather = joined_weather(WeatherStation(name=name), days, hours, nursery)
    if weather is None:
        raise BadFile(say("no row holds a value that can be."), where=name, remedy=say("Look at the columns and the units."))
    today: date = min(now.astimezone(nursery.zone).date(), weather.last)
    known = not np.isnan(weather.temperature_max_c).all()
    return FileReport(
        read,
        weather,
        holding(weather),
        heat_year(weather, nursery, today) if known else None,
        frost_report(weather, nursery, today) if known else None,
        chill_winters(weather, nursery, today) if known else [],
    )
