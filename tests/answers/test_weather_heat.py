"""Heat since the shortest day: of a record that ends before today, as far as it goes."""

from datetime import UTC, date, datetime, timedelta

import pytest

from scionary.answers.weather import site_weather
from scionary.answers.weather_import import WeatherReading, accept_weather
from scionary.answers.weather_report import heat_year

pytestmark = pytest.mark.django_db


@pytest.fixture
def until(nursery):
    """Days of 15 °C from the winter of 2024 on, the last on a given day; and what heat is said of 10 June 2026."""

    def words(last):
        days = (last - date(2024, 12, 1)).days + 1
        lines = [f"{date(2024, 12, 1) + timedelta(days=day)},20,10" for day in range(days)]
        data = "\n".join(["date,tmax °C,tmin °C", *lines]).encode()
        accept_weather(data, "w.csv", now=datetime(2026, 6, 10, 8, tzinfo=UTC), how=WeatherReading())
        return heat_year(site_weather(nursery), nursery, date(2026, 6, 10))

    return words


def test_up_to_today_it_is_beside_the_usual(until):
    assert until(date(2026, 6, 10)).words == "1720 °C d over 5 °C since 21 December; 1720 is usual by today."


def test_a_record_that_ended_days_ago_is_told_as_far_as_it_goes(until):
    assert (
        until(date(2026, 6, 2)).words == "1640 °C d over 5 °C since 21 December until 2 June, where the record ends; 1640 is usual by then."
    )


def test_a_record_that_ended_before_the_shortest_day_tells_nothing_of_this_year(until):
    assert until(date(2025, 12, 1)) is None
