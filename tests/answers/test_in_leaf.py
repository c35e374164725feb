"""When a name can have been seen to be right in leaf: never of a lost plant, a fresh graft, or a bare one that never grew."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from scionary.answers.in_leaf import check_leaf, confirm_right
from scionary.book import queries
from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import Event, Nursery, Plant
from scionary.book.record import Answer
from scionary.errors import Refused

pytestmark = pytest.mark.django_db
SUMMER, WINTER, NEXT_YEAR = (datetime(*day, 12, tzinfo=UTC) for day in ((2026, 7, 1), (2027, 1, 5), (2027, 12, 1)))


def told(plant: Plant, moment: datetime, *, day_said: bool = True) -> list[str]:
    return check_leaf([queries.plant(plant.pk)], moment, queries.nursery(), now=NEXT_YEAR, day_said=day_said)


def test_in_summer_a_plant_that_grew_is_confirmed_without_a_word(plant: Plant, write: Callable[..., Answer]) -> None:
    write("scored", plant, days=60, sign="growing", answer="yes")
    assert told(plant, SUMMER, day_said=False) == []


def test_one_that_nobody_saw_growing_is_confirmed_and_that_is_said(plant: Plant) -> None:
    assert told(plant, SUMMER) == ["Red Tarn 1: never written down as growing or in leaf by that day"]


def test_a_lost_plant_is_refused_from_that_day_on(plant: Plant, write: Callable[..., Answer]) -> None:
    write("scored", plant, days=60, sign="growing", answer="yes")
    write("lost", plant, days=150)
    assert told(plant, SUMMER) == []
    with pytest.raises(Refused, match="Red Tarn 1 was recorded as lost on 14 Jul 2026"):
        told(plant, SUMMER + timedelta(days=40))


@pytest.mark.parametrize("days", [-2000, 0, 20])
def test_a_scion_shows_no_leaf_of_its_own_for_three_weeks(graft: Callable[..., Written], days: int) -> None:
    plant = graft(days=100).plants[0]  # 25 May 2026
    with pytest.raises(Refused, match="was grafted on 25 May 2026: no leaf of that graft tells its name"):
        told(plant, datetime(2026, 5, 25, 12, tzinfo=UTC) + timedelta(days=days))


def test_after_three_weeks_it_may_show_one(graft: Callable[..., Written]) -> None:
    assert len(told(graft(days=100).plants[0], datetime(2026, 6, 15, 12, tzinfo=UTC))) == 1


def test_a_graft_known_to_the_month_may_be_older(graft: Callable[..., Written]) -> None:
    assert len(told(graft(days=100, precision="month").plants[0], datetime(2026, 6, 5, 12, tzinfo=UTC))) == 1


def test_while_trees_stand_bare_the_day_must_be_said(plant: Plant, write: Callable[..., Answer]) -> None:
    write("scored", plant, days=60, sign="growing", answer="yes")
    with pytest.raises(Refused, match="Say on which day you saw it in leaf"):
        told(plant, WINTER, day_said=False)
    assert told(plant, WINTER) == ["trees do not stand in leaf on 5 Jan 2027"]


def test_a_bare_tree_that_never_grew_is_refused(plant: Plant, write: Callable[..., Answer]) -> None:
    write("scored", plant, days=400, sign="in_leaf", answer="yes")  # after that day
    with pytest.raises(Refused, match="Red Tarn 1 was never written down as growing or in leaf by 5 Jan 2027"):
        told(plant, WINTER)


def test_a_later_word_on_a_sold_plant_is_taken_and_said(plant: Plant, write: Callable[..., Answer]) -> None:
    write("scored", plant, days=60, sign="growing", answer="yes")
    write("left", plant, days=70, how="sale")
    assert told(plant, SUMMER) == ["Red Tarn 1: no longer here on that day, so this is a later word on the name"]


def test_sent_again_it_is_not_asked_anew_and_written_once(plant: Plant, nursery: Nursery, write: Callable[..., Answer]) -> None:
    ident = uuid7()
    given: dict[str, Any] = {"happened_at": SUMMER, "now": SUMMER, "event_id": ident}
    assert confirm_right([queries.plant(plant.pk)], {}, nursery, **given).flags
    write("lost", plant, days=120)
    assert confirm_right([queries.plant(plant.pk)], {}, nursery, **given).answers[0].status == "repeated"
    assert Event.objects.filter(kind="name_confirmed").count() == 1


def test_a_name_that_was_inferred_after_that_day_stays_inferred_and_that_is_said(
    plant: Plant, nursery: Nursery, write: Callable[..., Answer]
) -> None:
    write("scored", plant, days=60, sign="growing", answer="yes")
    write("name_inferred", plant, days=200, chance=0.6)
    done = confirm_right([queries.plant(plant.pk)], {}, nursery, happened_at=SUMMER, now=WINTER, event_id=uuid7())
    assert done.flags == ["Red Tarn 1: inferred, doubted or grafted again after that day, so the name stays as it was"]


def test_a_day_to_come_is_refused(plant: Plant, nursery: Nursery) -> None:
    with pytest.raises(Refused, match="1 Jul 2026 is still to come"):
        confirm_right([queries.plant(plant.pk)], {}, nursery, happened_at=SUMMER, now=SUMMER - timedelta(days=1), event_id=uuid7())
    assert not Event.objects.filter(kind="name_confirmed").exists()
