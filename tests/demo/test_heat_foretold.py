"""The demo's overheated afternoons, in which a shade cloth had slipped, are flagged the day before."""

from datetime import date, datetime, timedelta

import numpy as np
import pytest
from django.utils import timezone

from scionary.answers import kept
from scionary.answers.dome_model import learn_fits
from scionary.answers.dome_outlook import outlook_of
from scionary.answers.weather_import import accept_weather
from scionary.book.commands import save_noun
from scionary.book.models import Dome, Nursery, Sensor
from scionary.book.readings import store_readings
from scionary.demo.logger_files import logger_texts
from scionary.demo.seasons import past_fillings, present_fillings
from scionary.demo.station import invented_days, station_texts
from scionary.demo.tarn_bridge import CASES, NURSERY
from scionary.demo.truth import air_faults
from scionary.files.loggers import read_logger

pytestmark = pytest.mark.django_db
SUMMER, WINTER, SEED = date(2026, 7, 20), date(2026, 11, 25), 20


def hot_afternoons(today):
    faults = air_faults(past_fillings(today, SEED), present_fillings(today, SEED), today)
    return [(fault.dome, fault.begin) for fault in faults if fault.kind == "overheated"]


@pytest.fixture
def sited(nursery, now, tmp_path, settings):
    """Writes the demo's station and its domes down, as the demo does on a day."""
    settings.DATA_FOLDER = tmp_path
    kept.forget()

    def on(today):
        place = {name: NURSERY[name] for name in ("latitude_deg", "longitude_deg", "time_zone")}
        row = save_noun(Nursery, place, now=now, pk=nursery.pk)
        at = datetime.combine(today, datetime.min.time(), row.zone) + timedelta(hours=8)
        for text in station_texts(today, SEED):
            accept_weather(text.data, text.name, now=at)
        for case in CASES:
            save_noun(Dome, {"name": case.name, **case.made_of}, now=now)
        return Nursery.objects.get()

    return on


def foretold(dome, day, nursery):
    return outlook_of(Dome.objects.get(name=dome), None, nursery, today=day - timedelta(days=1))


def log_until(dome, day, nursery, today):
    """What the dome's logger had written by midnight before the day; the vents stood closed."""
    case = next(case for case in CASES if case.name == dome)
    sensor = save_noun(Sensor, {"name": case.sensor, "dome_id": Dome.objects.get(name=dome).pk}, now=timezone.now())
    last = [text for text in logger_texts(today, SEED) if text.sensor == case.sensor][-1]
    read = read_logger(last.data, name=last.name, time_zone=nursery.time_zone)
    before = read.time_s < datetime.combine(day, datetime.min.time(), nursery.zone).timestamp()
    store_readings(sensor, np.column_stack([read.time_s, read.temperature_c, read.relative_humidity_pct])[before])


def test_overheated_afternoons_of_summer_are_flagged_the_day_before_and_a_cool_dull_day_is_not(sited):
    nursery, hot = sited(SUMMER), hot_afternoons(SUMMER)
    assert len(hot) == 2
    for dome, day in hot:
        flagged = foretold(dome, day, nursery)
        assert flagged.kind == "shade"
        assert flagged.day == day
        assert flagged.slipped.hottest_c.value > 30.0
        assert "see that the shade of " in flagged.sentence
    days = invented_days(SUMMER, SEED)
    late = slice(-40, -8)  # recorded, not foretold
    dull = days.dates[late][(days.solar_mj_m2 + days.highest_c)[late].argmin()].astype(object)
    assert foretold(hot[0][0], dull, nursery).kind == ""


def test_that_of_winter_is_flagged_once_the_domes_own_log_has_told_how_much_sun_it_takes_up(sited):
    nursery = sited(WINTER)
    dome, day = hot_afternoons(WINTER)[-1]
    assert foretold(dome, day, nursery).kind == ""  # a dome in general would stay cool enough
    log_until(dome, day, nursery, WINTER)
    learn_fits()
    flagged = foretold(dome, day, nursery)
    assert flagged.model.fit is not None
    assert flagged.kind == "shade"
    assert flagged.slipped.hottest_c.value > 30.0
