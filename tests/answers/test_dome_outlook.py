"""What a dome will do tomorrow, and the one thing to do about it."""

from datetime import timedelta

import numpy as np
import pytest

from answers.dome_in_book import NOW, TODAY, hours, keep_holed, keep_log, keep_weather
from scionary.answers import kept
from scionary.answers.dome_model import learn_fits, spec_of
from scionary.answers.dome_outlook import outlook_of
from scionary.answers.dome_weather import HOURS_READ
from scionary.book import queries
from scionary.book.commands import save_noun, write_event
from scionary.book.models import Dome, WeatherStation
from scionary.book.weather import store_weather

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _nothing_kept(tmp_path, settings):
    settings.DATA_FOLDER = tmp_path
    kept.forget()


def outlook(dome, nursery):
    dome = Dome.objects.get(pk=dome.pk)
    return outlook_of(dome, queries.dome_states([dome.pk]).get(dome.pk), nursery, today=TODAY)


def shaded(dome, percent):
    save_noun(Dome, {"shade_pct": percent}, now=NOW, pk=dome.pk)


def test_without_weather_nothing_is_foretold(nursery, dome):
    assert outlook(dome, nursery) is None


def test_a_bare_dome_is_too_hot_tomorrow_and_shade_comes_first(nursery, dome):
    keep_weather(sunny=800.0)
    shaded(dome, 0.0)
    found = outlook(dome, nursery)
    assert found.kind == "hot"
    assert found.sentence.startswith("On Sunday 21 June it will be too hot in Dome 1: shade off ")
    assert "vents" not in found.act
    assert "°C (" in found.why
    assert found.foretold
    assert "the forecast" in found.rests_on


def test_a_dull_day_asks_for_nothing(nursery, dome):
    keep_weather(sunny=60.0, warm=14.0)
    shaded(dome, 50.0)
    found = outlook(dome, nursery)
    assert found.kind == ""
    assert found.sentence.startswith("Nothing to do for ")
    assert HOURS_READ in found.assumed


def test_a_hole_in_tomorrows_daylight_is_said_and_never_taken_for_a_cool_day(nursery, dome):
    keep_holed(gone=(11, 12, 13, 14))
    shaded(dome, 70.0)
    found = outlook(dome, nursery)
    assert (found.kind, found.foretold) == ("unknown", True)
    assert found.sentence == "What Sunday 21 June brings to Dome 1 is not known: take it for a bright day."
    assert "Its weather lacks " in found.why
    told = found.to_dict()
    assert (told["chance_of_heat"], told["hottest_c"]) == (None, [None, None, None])
    assert told["unknown_hours"] >= 4.0


def test_a_hole_late_in_the_evening_leaves_the_days_heat_known(nursery, dome):
    keep_holed(gone=(21, 22, 23))
    shaded(dome, 0.0)
    assert outlook(dome, nursery).kind == "hot"


def test_a_dome_that_only_its_shade_keeps_cool_is_told_apart(nursery, dome):
    keep_weather(sunny=700.0, warm=15.0)
    shaded(dome, 90.0)
    found = outlook(dome, nursery)
    assert found.kind == "shade"
    assert "With its shade half off: up to " in found.why


def test_where_shade_is_not_enough_vents_come_second_and_then_another_place(nursery, dome):
    keep_weather(sunny=900.0, warm=27.0)
    shaded(dome, 75.0)
    found = outlook(dome, nursery)
    assert "then open" in found.act
    assert "move it out of the sun" in found.act


def test_its_own_log_narrows_the_range(nursery, dome):
    shaded(dome, 75.0)
    dome = Dome.objects.get(pk=dome.pk)
    spec, largest = spec_of(dome)
    keep_log(dome, spec, keep_weather(), largest_cm2=largest, opened=((10, 25.0), (8, 0.0), (6, 60.0), (2, 0.0)))
    width = [found.advice.now.hottest_c.high - found.advice.now.hottest_c.low for found in _without_and_with_log(dome, nursery)]
    assert width[1] < 0.5 * width[0]


def _without_and_with_log(dome, nursery):
    yield outlook(dome, nursery)
    learn_fits()
    yield outlook(dome, nursery)


def test_the_water_of_a_closed_dome_is_never_told_and_that_of_an_open_one_is(nursery, dome):
    keep_weather(sunny=100.0)
    write_event("vented", dome.key, {"open_pct": 0.0}, happened_at=NOW - timedelta(days=3), now=NOW)
    write_event("watered", dome.key, {"water_mm": 3.0}, happened_at=NOW - timedelta(days=1), now=NOW)
    found = outlook(dome, nursery)
    assert found.dry is None
    assert "Look weekly" in found.water_words
    write_event("vented", dome.key, {"open_pct": 100.0}, happened_at=NOW - timedelta(days=2), now=NOW)
    found = outlook(dome, nursery)
    assert found.dry is not None
    assert found.dry > NOW
    assert "before plants drink" in found.water_words
    assert found.kind == "dry"
    assert "top it up before" in found.sentence


@pytest.mark.parametrize(("days", "told"), [(9, True), (12, False)])
def test_water_that_was_written_down_longer_ago_than_ten_days_tells_nothing(nursery, dome, days, told):
    keep_weather(sunny=100.0)
    write_event("vented", dome.key, {"open_pct": 100.0}, happened_at=NOW - timedelta(days=13), now=NOW)
    write_event("watered", dome.key, {"water_mm": 6.0}, happened_at=NOW - timedelta(days=days), now=NOW)
    assert (outlook(dome, nursery).dry is not None) == told


def test_without_a_forecast_the_same_days_of_past_years_speak(nursery, dome):
    station = save_noun(WeatherStation, {"name": "by the beck", "read_at": NOW}, now=NOW)
    rows = [hours(NOW - timedelta(days=365 * back + 3), 24 * 8, sunny=800.0) for back in (2, 1)]
    store_weather(station, np.concatenate(rows), "hour")
    found = outlook(dome, nursery)
    assert not found.foretold
    assert found.years == 2
    assert "2 years" in found.rests_on
