"""What salt tests found of a logger: kept with it, added from their day on, and weighed by a fit."""

from datetime import timedelta

import numpy as np
import pytest

from scionary.answers.air import air_of
from scionary.answers.salt_tests import holding_test, keep_salt_test, load_tested, logger_called, offsets_of, offsets_said
from scionary.book.commands import save_noun
from scionary.book.models import Event, Sensor
from scionary.book.readings import load_readings, store_readings
from scionary.dome import SaltTest
from scionary.errors import Refused

pytestmark = pytest.mark.django_db


def found(offset_pct, doubt_pct=0.4):
    return SaltTest(offset_pct, doubt_pct, 75.5, 75.5 - offset_pct, 20.0, 24)


@pytest.fixture
def sensor(dome, now):
    row = save_noun(Sensor, {"name": "Logger 1", "dome": dome}, now=now)
    times = np.arange(now.timestamp() - 6 * 86_400.0, now.timestamp(), 3600.0)
    moist = np.where(np.arange(times.size) % 24 == 0, 100.0, 92.0 + np.sin(times / 9000.0))
    store_readings(row, np.column_stack([times, np.full(times.size, 20.0) + np.cos(times / 9000.0), moist]))
    return row


def again(sensor):
    return Sensor.objects.get(pk=sensor.pk)


def test_what_a_test_found_is_added_from_its_day_on_and_stored_readings_stay(sensor, nursery, now):
    keep_salt_test(sensor, found(2.5), now.astimezone(nursery.zone).date() - timedelta(days=3), now=now)
    raw, tested = load_readings(sensor), load_tested(again(sensor), nursery)
    added = np.round(tested[:, 2] - raw[:, 2], 6)
    assert set(added[:60]) == {0.0}
    assert set(added[-60:]) == {0.0, 2.5}
    assert (added[raw[:, 2] == 100.0] == 0.0).all()  # a sensor at its end says only "at least"
    assert (tested[:, :2] == raw[:, :2]).all()


def test_a_newer_test_takes_over_from_its_day_and_one_of_the_same_day_takes_its_place(sensor, nursery, now):
    today = now.astimezone(nursery.zone).date()
    keep_salt_test(sensor, found(1.0), today - timedelta(days=3), now=now)
    keep_salt_test(again(sensor), found(-2.0), today - timedelta(days=1), now=now)
    keep_salt_test(again(sensor), found(-3.0), today - timedelta(days=1), now=now)
    assert [each.offset_pct for each in offsets_of(again(sensor))] == [1.0, -3.0]
    added = np.round(load_tested(again(sensor), nursery)[:, 2] - load_readings(sensor)[:, 2], 6)
    assert [float(value) for value in dict.fromkeys(added[added != 0.0].tolist())] == [1.0, -3.0]
    assert Event.objects.filter(kind="edited", payload__noun="sensor").count() == 4


def test_the_air_says_what_was_added(sensor, nursery, now):
    assert air_of(sensor, nursery, end=now).salt == ""
    keep_salt_test(sensor, found(2.5), now.astimezone(nursery.zone).date() - timedelta(days=3), now=now)
    assert air_of(again(sensor), nursery, end=now).salt.startswith("Added to humidity after a salt test: Logger 1 +2.5 % since ")
    before = now - timedelta(days=10)
    assert offsets_said([again(sensor)], before) == ""


def test_a_fit_takes_a_test_only_where_it_holds_for_all_of_the_log(sensor, nursery, now):
    day = now.astimezone(nursery.zone) - timedelta(days=3)
    keep_salt_test(sensor, found(2.5, 0.6), day.date(), now=now)
    assert holding_test(again(sensor), day - timedelta(days=1)) is None
    holds = holding_test(again(sensor), day + timedelta(days=1))
    assert (holds.offset_pct, holds.doubt_pct) == (2.5, 0.6)


def test_a_logger_that_nobody_knows_is_refused_with_those_that_there_are(sensor):
    assert logger_called(" logger 1 ") == sensor
    with pytest.raises(Refused, match=r"no logger that is called Logger 9.*Logger 1"):
        logger_called("Logger 9")
