"""How sticks in a bag were kept: how long, how warm, and what is usual."""

from datetime import timedelta

import numpy as np
import pytest

from scionary.answers.bag_keeping import keeping_of
from scionary.book.commands import save_noun
from scionary.book.models import ScionBag, Sensor
from scionary.book.readings import store_readings

pytestmark = pytest.mark.django_db


@pytest.fixture
def bag(cultivar, now):
    """Writes a bag down that was cut so many days ago."""

    def cut(days, care=ScionBag.Care.DORMANT, stands="Cold frame"):
        values = {"name": f"bag of {days} days", "cultivar": cultivar, "cut_at": now - timedelta(days=days), "care": care, "stands": stands}
        return save_noun(ScionBag, values, now=now)

    return cut


def logged(now, temperature_c, name="cold frame"):
    sensor = save_noun(Sensor, {"name": name}, now=now)
    times = now.timestamp() - 3600.0 * np.arange(24 * 20, 0, -1)
    store_readings(sensor, np.column_stack([times, np.full(times.size, temperature_c), np.full(times.size, 95.0)]))


def test_dormant_sticks_of_two_weeks_are_as_usual_and_how_warm_is_not_known_without_a_logger(bag, nursery, now):
    found = keeping_of(bag(14), nursery, now=now)
    assert found.lines[0][0].startswith("Stored for 14 days; at most ")
    assert found.doubts == []
    assert found.lines[-1][0].startswith("How warm it was is not known")


def test_a_logger_called_like_the_place_tells_how_warm(bag, nursery, now):
    logged(now, 9.0)
    found = keeping_of(bag(14), nursery, now=now)
    assert [words.split(";")[0] for words in found.doubts] == ["Stored at 9 °C"]


def test_leafy_sticks_keep_for_days_only(bag, nursery, now):
    logged(now, 3.0)
    found = keeping_of(bag(12, care=ScionBag.Care.STALKS_LEFT), nursery, now=now)
    assert [words.split(";")[0] for words in found.doubts] == ["Stored for 12 days"]


def test_where_nobody_said_whether_it_is_in_leaf_nothing_is_judged(bag, nursery, now):
    logged(now, 9.0)
    assert keeping_of(bag(12, care=""), nursery, now=now).lines == (("Stored for 12 days at 9 °C.", False),)


def test_a_bag_of_unknown_age_says_nothing(cultivar, nursery, now):
    assert keeping_of(save_noun(ScionBag, {"name": "old", "cultivar": cultivar}, now=now), nursery, now=now).lines == ()
