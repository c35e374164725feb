"""The weather around a dome: what of the station's reaches it, and when hours to come count as foretold."""

from datetime import timedelta

import numpy as np
import pytest

from answers.dome_in_book import NOW, hours, keep_weather
from scionary.answers.dome_weather import HOUR_S, around, coming, midnight_of
from scionary.book.commands import save_noun
from scionary.book.models import WeatherStation
from scionary.book.weather import COLUMNS, store_weather

pytestmark = pytest.mark.django_db


def test_three_tenths_of_the_stations_wind_reach_a_dome(nursery):
    keep_weather()
    found = around(nursery, NOW - timedelta(days=2), NOW)
    assert found.wind_m_s == pytest.approx(0.3 * 2.0)


def test_each_hour_of_a_station_half_an_hour_off_the_full_hours_of_utc_is_used_once(nursery):
    rows = keep_weather(now=NOW + timedelta(minutes=30))
    found = around(nursery, NOW - timedelta(days=2), NOW)
    at = np.isin(found.time_s, rows[:, 0])
    assert at.sum() >= 48
    assert found.temperature_c[at] == pytest.approx(rows[np.isin(rows[:, 0], found.time_s), COLUMNS.index("temperature_c")])


def test_an_hours_sun_stands_at_the_middle_of_the_hour_that_ends_with_it(nursery):
    rows = keep_weather()
    found = around(nursery, NOW - timedelta(days=2), NOW)
    at = np.isin(found.time_s, rows[:, 0] - HOUR_S / 2)
    assert found.solar_w_m2[at] == pytest.approx(rows[np.isin(rows[:, 0] - HOUR_S / 2, found.time_s), COLUMNS.index("solar")])


@pytest.mark.parametrize(("missing", "foretold"), [(4, True), (6, False)])
def test_a_forecast_that_lacks_more_than_a_tenth_of_its_hours_gives_way_to_past_years(nursery, missing, foretold):
    station = save_noun(WeatherStation, {"name": "by the beck", "read_at": NOW}, now=NOW)
    begin = midnight_of(NOW.date(), nursery)
    end = begin + timedelta(days=2)
    past = hours(begin - timedelta(days=368), 24 * 6)
    here = hours(begin - timedelta(days=1), 24 * 4)
    gone = (here[:, 0] - begin.timestamp()) / HOUR_S
    store_weather(station, np.concatenate([past, here[~((gone >= 30) & (gone < 30 + missing))]]), "hour")
    stretches, told = coming(nursery, begin, end)
    assert (len(stretches), told) == (1, foretold)
