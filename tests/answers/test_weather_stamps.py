"""What the time of a row of weather stands for, and how rows of some hours become hours."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from scionary.answers.weather_import import WeatherReading, accept_weather, parted, preview_weather, read_weather_file
from scionary.book.models import Nursery, WeatherStation
from scionary.book.weather import COLUMNS, load_weather
from scionary.errors import BadValue
from scionary.season import clear_sky_radiation, sun_height

BEGIN = datetime(2026, 6, 1, tzinfo=UTC)
NOW = datetime(2026, 7, 1, tzinfo=UTC)
AIR, RAIN, SUN = (COLUMNS.index(name) for name in ("temperature_c", "rain_mm", "solar"))


def place():
    return Nursery(latitude_deg=54.2, longitude_deg=-2.5, time_zone="UTC")


def station(*, sun_moved_h=0.5, days=6, step_h=1, left_out=()):
    """A file under a clear sky whose sun is the mean of each step, stamped so much after its middle; rain of 0.3 mm a row."""
    lines = ["time,temperature (°C),rain (mm),solar (W/m²)"]
    for at in range(0, days * 24, step_h):
        when = BEGIN + timedelta(hours=at)
        parts = when.timestamp() - sun_moved_h * 3600 + (np.arange(6) / 6 - 5 / 12) * step_h * 3600
        sun = clear_sky_radiation(sun_height(54.2, -2.5, parts)).mean()
        if at not in left_out:
            lines.append(f"{when:%Y-%m-%d %H:%M},{10 + at % 24 / 2:.1f},0.3,{sun:.0f}")
    return "\n".join(lines).encode()


def read(data, nursery=None, **how):
    nursery = nursery or place()
    found = read_weather_file(data, "w.csv", nursery, WeatherReading(**how))
    return found, parted(found, nursery, NOW, all_foretold=False)[0]


def at(rows, column, hours):
    """What stands at so many hours after the beginning."""
    (value,) = rows[rows[:, 0] == BEGIN.timestamp() + hours * 3600, column]
    return value


@pytest.mark.parametrize(("moved_h", "meaning"), [(0.5, "mixed"), (-0.5, "begin"), (0.0, "moment")])
def test_the_sun_of_clear_days_tells_what_rows_stand_for_and_that_is_said(moved_h, meaning):
    found, _ = read(station(sun_moved_h=moved_h))
    assert found.understood.stands_for == meaning
    assert any("By the sun of" in words for words in found.understood.assumptions)


def test_a_clock_that_jumps_within_the_file_is_told_by_its_sun():
    head, *rows = station(days=10).decode().split("\n")
    late = [row.replace(row[:16], f"{datetime.fromisoformat(row[:16]) + timedelta(hours=1):%Y-%m-%d %H:%M}") for row in rows[121:]]
    found, _ = read("\n".join([head, *rows[:120], *late]).encode())
    assert found.understood.stands_for == "mixed"
    assert any("Its sun jumps by an hour within the file" in words for words in found.understood.assumptions)


def test_without_a_place_it_is_not_known_and_said():
    found, _ = read(station(), Nursery(time_zone="UTC"))
    assert found.understood.stands_for == "mixed"
    assert any("is not known; taken: air as it stood then" in words for words in found.understood.assumptions)


def test_a_clock_an_hour_and_a_half_wrong_is_asked_about():
    found, _ = read(station(sun_moved_h=2.0))
    assert any("Its sun stands +120 minutes from where it should: look at its time zone" in words for words in found.understood.assumptions)


@pytest.mark.parametrize(
    ("meaning", "air_h", "rain_h", "sun_h"),
    [("mixed", 0, 0, 0), ("end", -0.5, 0, 0), ("begin", 0.5, 1, 1), ("moment", 0, 0, 0.5)],
)
def test_air_goes_to_its_moment_and_sums_to_the_end_of_theirs(meaning, air_h, rain_h, sun_h):
    _, rows = read(station(), stands_for=meaning)
    _, as_written = read(station(), stands_for="mixed")
    assert at(rows, AIR, 36 + air_h) == 16.0
    assert at(rows, RAIN, 36 + rain_h) == 0.3
    assert at(rows, SUN, 36 + sun_h) == at(as_written, SUN, 36)


def test_what_was_told_is_no_assumption():
    found, _ = read(station(), stands_for="end")
    assert not any("stand for" in words for words in found.understood.assumptions)


def test_a_meaning_of_nobody_is_refused():
    with pytest.raises(BadValue, match="stands_for is 'noon'; allowed: mixed, end, begin, moment"):
        read(station(), stands_for="noon")


def test_three_hours_become_hours_and_keep_their_sums():
    found, rows = read(station(step_h=3, sun_moved_h=1.5))
    assert found.gaps == ()
    assert found.understood.stands_for == "mixed"
    assert [at(rows, AIR, hours) for hours in (33, 34, 35, 36)] == pytest.approx([14.5, 15.0, 15.5, 16.0])
    assert [at(rows, RAIN, hours) for hours in (34, 35, 36)] == pytest.approx([0.1, 0.1, 0.1])
    hours = np.array([at(rows, SUN, each) for each in (4, 5, 6)])
    clear = clear_sky_radiation(sun_height(54.2, -2.5, BEGIN.timestamp() + (np.array([4, 5, 6]) - 0.5) * 3600))
    assert hours == pytest.approx(clear, rel=0.1)
    assert hours.mean() == pytest.approx(found.solar[2], rel=1e-6)


def test_a_missing_row_of_three_hours_stays_a_gap():
    found, rows = read(station(step_h=3, sun_moved_h=1.5, left_out=(36,)))
    assert found.gaps == (("2026-06-02 09:00", "2026-06-02 15:00"),)
    noon = rows[np.abs(rows[:, 0] - BEGIN.timestamp() - 36 * 3600) < 1.5 * 3600]
    assert np.isnan(noon[:, AIR]).all()


def test_hours_that_go_on_by_three_hours_are_no_gap():
    late = station(step_h=3, sun_moved_h=1.5).split(b"\n")[17:]
    found, rows = read(b"\n".join([*station(days=2).split(b"\n"), *late]))
    assert found.gaps == ()
    assert at(rows, RAIN, 47) == 0.3
    assert at(rows, RAIN, 50) == pytest.approx(0.1)


@pytest.mark.django_db
def test_read_in_again_with_another_meaning_hours_do_not_stand_twice(nursery):
    for meaning in ("mixed", "end"):
        done = accept_weather(station(), "w.csv", now=NOW, how=WeatherReading(stands_for=meaning))
    assert "new" in done.words
    kept = load_weather(WeatherStation.objects.get(), "hour")
    air = kept[np.isfinite(kept[:, AIR]), 0]
    assert np.isin(air[1:-1] % 3600, 1800).all()
    assert np.isfinite(kept[:, SUN]).sum() == 144


@pytest.mark.django_db
def test_hours_in_two_rows_count_once(nursery):
    seen = preview_weather(station(), "w.csv", now=NOW, how=WeatherReading(stands_for="end"))
    done = accept_weather(station(), "w.csv", now=NOW, how=WeatherReading(stands_for="end"))
    assert (seen.recorded, done.new, done.known) == (144, 144, 0)


@pytest.mark.django_db
@pytest.mark.parametrize("meaning", ["mixed", "end", "begin", "moment"])
def test_a_file_of_so_many_rows_brings_so_many_hours_whatever_they_stand_for(nursery, meaning):
    accept_weather(station(days=2), "w.csv", now=NOW, how=WeatherReading(stands_for=meaning))
    again = accept_weather(station(days=3), "w.csv", now=NOW, how=WeatherReading(stands_for=meaning))
    assert "24 new hours" in again.words
