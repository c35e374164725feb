"""Who stood in a dome during a stretch of its air, and how old the unions were."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from scionary.answers.air_stood import stood_by_stretch
from scionary.book.commands import save_noun, write_event
from scionary.book.models import Dome, Plant

pytestmark = pytest.mark.django_db


@pytest.fixture
def stood(dome: Dome, now: datetime) -> Callable[..., Any]:
    """Who stood in Dome 1 between two days after `now`."""

    def look(begin: float, end: float) -> Any:
        return stood_by_stretch(dome, [(now + timedelta(days=begin), now + timedelta(days=end))])[0]

    return look


def test_plants_are_named_with_the_ages_of_their_unions(graft: Any, dome: Dome, stood: Any) -> None:
    graft(2, days=-14, dome=dome.pk)
    graft(1, days=-9, dome=dome.pk)
    found = stood(0, 0.5)
    assert found.words == "3 plants stood there, unions 9 to 14 days old."
    assert found.names == "Red Tarn 1, Red Tarn 2 and Red Tarn 3"
    assert found.to_dict()["union_ages_days"] == [14, 14, 9]


def test_who_was_moved_out_before_or_grafted_later_did_not_stand_there(graft: Any, dome: Dome, stood: Any, write: Any) -> None:
    out, _ = graft(2, days=-30, dome=dome.pk).plants
    write("moved", out, days=-10, stands="the bench")
    graft(1, days=5, dome=dome.pk)
    assert stood(0, 1).names == "Red Tarn 2"
    assert stood(-20, -19).names == "Red Tarn 1 and Red Tarn 2"


def test_who_was_moved_in_stood_there_from_then_on(plant: Plant, dome: Dome, stood: Any, write: Any) -> None:
    write("moved", plant, days=3, dome=dome.pk, place=4)
    assert stood(1, 2).words == "Nothing stood there."
    assert stood(4, 5).words == "1 plant stood there, unions 4 days old."


def test_a_plant_that_was_lost_and_not_moved_stands_there_no_longer(graft: Any, dome: Dome, stood: Any, write: Any) -> None:
    (lost,) = graft(1, days=-20, dome=dome.pk).plants
    write("lost", lost, days=-2)
    assert stood(-5, -4).names == "Red Tarn 1"
    assert stood(0, 1).plants == ()


def test_an_undone_move_did_not_happen(plant: Plant, dome: Dome, stood: Any, write: Any, now: datetime) -> None:
    moved = write("moved", plant, days=1, dome=dome.pk)
    moment = now + timedelta(days=2)
    write_event("corrected", plant.key, {"target": str(moved.id)}, happened_at=moment, now=moment)
    assert stood(3, 4).plants == ()


def test_a_plant_grafted_again_has_a_young_union(graft: Any, dome: Dome, stood: Any, write: Any) -> None:
    (again,) = graft(1, days=-60, dome=dome.pk).plants
    write("regrafted", again, days=-3, cultivar=again.cultivar_id)
    assert stood(0, 1).ages == (3,)


def test_another_dome_s_plants_are_not_counted(graft: Any, dome: Dome, stood: Any, now: datetime) -> None:
    other = save_noun(Dome, {"name": "Dome 2"}, now=now)
    graft(1, days=-9, dome=other.pk)
    assert stood(0, 1).plants == ()


def test_without_a_dome_nobody_is_looked_for(now: datetime) -> None:
    assert stood_by_stretch(None, [(now, now)]) == {}
