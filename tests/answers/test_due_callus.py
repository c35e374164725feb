"""A first look by the callus clock, in Due: from about which day, between which, and only until somebody has looked."""

from datetime import timedelta

import numpy as np
import pytest

from scionary.answers.due import due
from scionary.book.commands import save_noun, write_event
from scionary.book.models import Sensor
from scionary.book.readings import store_readings

pytestmark = pytest.mark.django_db


@pytest.fixture
def warm(graft, dome, method, now):
    """Writes what a logger saw at one temperature since the graft so many days ago."""

    def since(days, temperature_c):
        made = graft(2, dome=dome.pk, method=method.pk, days=-days)
        sensor = save_noun(Sensor, {"name": "Logger 1", "dome": dome}, now=now)
        times = np.arange(now.timestamp() - days * 86_400.0, now.timestamp(), 1800.0)
        rows = np.column_stack([times, np.full(times.size, temperature_c) + 0.2 * np.cos(times), np.full(times.size, 96.0)])
        store_readings(sensor, rows)
        return made.plants

    return since


def looks(lines):
    return [line for line in lines if line.step == "look"]


def test_a_warm_dome_is_looked_at_before_the_methods_month_is_over(warm, now):
    warm(24, 24.5)
    found = due(today=now.date())
    (line,) = looks(found.lines)
    assert line.what.startswith("Dome 1: a first look at its unions is worth while from about ")
    assert 20 <= (line.when - (now - timedelta(days=24)).date()).days <= 24
    assert line.why.startswith("Between ")
    assert "leave it closed" in line.why
    assert "assumption" in line.rests_on
    assert line.event is None


def test_a_look_that_lies_within_the_week_stands_among_what_comes(warm, now):
    warm(18, 24.5)
    found = due(today=now.date())
    assert looks(found.lines) == []
    (line,) = looks(found.ahead)
    assert now.date() < line.when <= now.date() + timedelta(days=7)


def test_a_cool_dome_waits_for_the_methods_own_date(warm, now):
    warm(24, 15.0)
    found = due(today=now.date())
    assert looks([*found.lines, *found.ahead]) == []


def test_once_all_were_looked_at_it_is_not_asked_again(warm, now):
    for plant in warm(29, 24.5):
        write_event("scored", plant.key, {"sign": "firm", "answer": "no"}, happened_at=now - timedelta(hours=1), now=now)
    assert looks(due(today=now.date()).lines) == []
