"""Two sensors in one dome: read as one where they agree, told apart where they do not."""

from typing import Any

import numpy as np
import pytest

from scionary.answers.air import air_of_dome
from scionary.book.commands import save_noun
from scionary.book.models import Dome, Nursery, Sensor
from scionary.book.readings import store_readings

pytestmark = pytest.mark.django_db


def days(now: Any, count: int = 7, seed: int = 1) -> Any:
    times = np.arange(now.timestamp() - count * 86400, now.timestamp(), 600.0)
    rng = np.random.default_rng(seed)
    day = np.sin((times % 86400 / 86400 - 0.25) * 2 * np.pi)
    return np.column_stack([times, 20 + 3 * day + rng.normal(0, 0.1, len(times)), 94 - 4 * day + rng.normal(0, 0.3, len(times))])


@pytest.fixture
def store(dome: Dome, now: Any) -> Any:
    def write(name: str, rows: Any) -> Sensor:
        sensor = save_noun(Sensor, {"name": name, "dome": dome}, now=now)
        store_readings(sensor, rows)
        return sensor

    return write


def test_sensors_that_agree_are_read_as_one_and_fill_each_others_gaps(store: Any, dome: Dome, nursery: Nursery, now: Any) -> None:
    first = days(now)
    store("A", np.delete(first, slice(300, 400), axis=0))
    store("B", days(now, seed=2))
    found = air_of_dome(dome, nursery, end=now)
    assert found is not None
    assert found.report is not None
    assert found.beside is not None
    assert found.beside.sentences == ("A and B agree, and are read as one.",)
    assert found.sensors == "A and B"
    assert found.report.hours_unknown < 0.5
    assert not found.beside.doubt


def test_a_second_sensor_elsewhere_is_named_and_left_out(store: Any, dome: Dome, nursery: Nursery, now: Any) -> None:
    store("A", days(now))
    other = days(now, seed=3)
    other[:, 1] = 12 + np.random.default_rng(4).normal(0, 4, len(other))
    store("B", other)
    found = air_of_dome(dome, nursery, end=now)
    assert found is not None
    assert found.beside is not None
    assert found.report is not None
    assert found.beside.sentences[0] == "A and B do not move alike in temperature: is one the log of another dome?"
    assert found.beside.sentences[-1] == "They are not read as one: what follows is A alone."
    assert found.sensors == "A"
    assert found.report.temperature_c.mean == pytest.approx(20, abs=0.5)


def test_a_steady_difference_is_said_in_the_persons_unit(store: Any, dome: Dome, nursery: Nursery, now: Any) -> None:
    store("A", days(now))
    warm = days(now, seed=2)
    warm[:, 1] += 1.5
    store("B", warm)
    nursery.temperature_unit = "F"
    found = air_of_dome(dome, nursery, end=now)
    assert found is not None
    assert found.beside is not None
    assert found.beside.sentences == ("A reads 2.7 °F below B in temperature, steadily: a salt test tells which is right.",)
    assert found.to_dict()["beside"]["temperature"]["likeness"] == "offset"  # type: ignore[index]


def test_the_sensor_that_drifted_is_named(store: Any, dome: Dome, nursery: Nursery, now: Any) -> None:
    store("A", days(now, 14))
    drifting = days(now, 14, seed=2)
    drifting[:, 2] -= np.linspace(0, 12, len(drifting))
    store("B", drifting)
    found = air_of_dome(dome, nursery, end=now)
    assert found is not None
    assert found.beside is not None
    assert found.beside.sentences[0].startswith("B likely drifted by ")
    assert "in humidity: its nights moved" in found.beside.sentences[0]


def test_a_second_sensor_that_was_silent_changes_nothing(store: Any, dome: Dome, nursery: Nursery, now: Any) -> None:
    store("A", days(now))
    save_noun(Sensor, {"name": "B", "dome": dome}, now=now)
    found = air_of_dome(dome, nursery, end=now)
    assert found is not None
    assert (found.beside, found.sensors) == (None, "A")
