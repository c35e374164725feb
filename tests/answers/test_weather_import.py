"""A weather file is looked at first, then read in: what is over is the record, what lies ahead the forecast."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import numpy as np
import pytest

from scionary.answers.weather import demand_of, longitude_of, site_weather
from scionary.answers.weather_import import WeatherReading, accept_weather, preview_weather
from scionary.book.commands import save_noun
from scionary.book.models import Event, Nursery, RawFile, WeatherMonth, WeatherStation
from scionary.errors import BadFile

pytestmark = pytest.mark.django_db


def daily(first: date, count: int, *, low: float = 9.0, high: float = 21.0, rain: float = 0.0) -> bytes:
    rows = [f"{first + timedelta(days=at)},{high},{low},{rain}" for at in range(count)]
    return "\n".join(["date,tmax (°C),tmin (°C),rain (mm)", *rows]).encode()


def hourly(first: datetime, count: int) -> bytes:
    rows = [f"{first + timedelta(hours=at):%Y-%m-%d %H:%M},{8 + at % 24 / 2},{80},{0.1},{1.5},{100}" for at in range(count)]
    return "\n".join(["time,temperature (°C),humidity (%),rain (mm),wind (m/s),solar (W/m²)", *rows]).encode()


def test_looking_writes_nothing_and_says_where_it_would_go(nursery: Nursery, now: datetime) -> None:
    seen = preview_weather(daily(date(2026, 2, 1), 20), "by_the_beck.csv", now=now)
    assert (seen.station, seen.station_is_new, seen.recorded, seen.foretold) == ("by the beck", True, 13, 7)
    assert "foretold: 7" in seen.words
    assert not WeatherStation.objects.exists()


def test_a_days_file_becomes_record_and_forecast_by_today(nursery: Nursery, now: datetime) -> None:
    done = accept_weather(daily(date(2026, 2, 1), 20), "beck.csv", now=now, station="By the beck")
    assert (done.new, done.foretold) == (13, 7)
    weather = site_weather(nursery)
    assert weather is not None
    assert (weather.last_recorded, weather.last, weather.recorded) == (date(2026, 2, 13), date(2026, 2, 20), 13)
    assert RawFile.objects.get().kind == "weather"
    assert WeatherMonth.objects.count() == 2


def test_the_same_file_again_changes_nothing_and_is_said(nursery: Nursery, now: datetime) -> None:
    data = daily(date(2026, 2, 1), 10)
    accept_weather(data, "beck.csv", now=now)
    assert any("This very file was read in on" in words for words in preview_weather(data, "beck.csv", now=now).warnings)
    again = accept_weather(data, "beck.csv", now=now)
    assert (again.new, again.known) == (0, 10)


def test_a_whole_file_may_be_a_forecast(nursery: Nursery, now: datetime) -> None:
    accept_weather(daily(date(2026, 2, 1), 10), "beck.csv", now=now, how=WeatherReading(forecast=True))
    weather = site_weather(nursery)
    assert weather is not None
    assert (weather.recorded, weather.dates.size) == (0, 10)


def test_days_without_a_file_stand_between_record_and_forecast_as_unknown(nursery: Nursery, now: datetime) -> None:
    accept_weather(daily(date(2026, 2, 1), 5, rain=2.0), "a.csv", now=now, station="Beck")
    accept_weather(daily(date(2026, 2, 14), 3, rain=4.0), "b.csv", now=now)
    weather = site_weather(nursery)
    assert weather is not None
    assert weather.dates.size == 16
    np.testing.assert_array_equal(weather.rain_mm[[4, 13]], [2.0, 4.0])
    assert np.isnan(weather.rain_mm[5:13]).all()


def test_hours_give_days_and_the_full_equation(nursery: Nursery, now: datetime) -> None:
    accept_weather(hourly(datetime(2026, 2, 8), 24 * 10), "hours.csv", now=now)
    weather = site_weather(nursery)
    assert weather is not None
    row = weather.at(date(2026, 2, 10))
    assert row is not None
    assert (weather.temperature_max_c[row], weather.temperature_min_c[row]) == (19.5, 8.0)
    assert weather.rain_mm[row] == pytest.approx(2.4)
    assert weather.solar_mj_m2[row] == pytest.approx(8.64)
    assert set(demand_of(weather, nursery).method[1:6]) == {2}
    assert weather.last_recorded == date(2026, 2, 13)  # today is not over
    assert weather.dates[0] == np.datetime64("2026-02-08")


def test_a_file_that_cannot_be_read_is_refused_with_what_to_do(nursery: Nursery, now: datetime) -> None:
    with pytest.raises(BadFile, match="date"):
        accept_weather(b"a,b\n1,2\n", "beck.csv", now=now)
    assert not WeatherStation.objects.exists()
    assert not Event.objects.exclude(kind="edited").exists()


def test_without_a_longitude_the_clock_stands_for_it(nursery: Nursery, now: datetime) -> None:
    assert longitude_of(nursery) == 15.0
    assert longitude_of(save_noun(Nursery, {"longitude_deg": -122.3}, now=now, pk=nursery.pk)) == -122.3
