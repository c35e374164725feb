"""What is dated while the graft still stood closed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from scionary.answers.early import AFTER_HEALING, still_closed
from scionary.book.commands import Written, save_noun
from scionary.book.models import Method, Nursery, Plant

pytestmark = pytest.mark.django_db


def flags(plant: Plant, nursery: Nursery, moment: datetime, kind: str = "headed_back") -> list[str]:
    return still_closed(kind, [Plant.objects.get(pk=plant.pk)], moment, nursery)


@pytest.mark.parametrize("kind", sorted(AFTER_HEALING))
def test_what_belongs_to_later_is_flagged_in_the_closed_days(plant: Plant, nursery: Nursery, now: datetime, kind: str) -> None:
    told = ["Red Tarn 1: still under the cover by the method on that day; is the date right?"]
    assert flags(plant, nursery, now + timedelta(days=30), kind) == told
    assert flags(plant, nursery, now + timedelta(days=31), kind) == []


def test_what_is_done_under_the_cover_is_not_flagged(plant: Plant, nursery: Nursery, now: datetime) -> None:
    for kind in ("watered", "scored", "lost", "moved"):
        assert flags(plant, nursery, now + timedelta(days=3), kind) == []


def test_the_closed_days_are_those_of_the_method(graft: Callable[..., Written], method: Method, nursery: Nursery, now: datetime) -> None:
    save_noun(Method, {"closed_days": 45}, now=now, pk=method.pk)
    plant = graft(1, method=method.pk).plants[0]
    assert flags(plant, nursery, now + timedelta(days=44))
    assert not flags(plant, nursery, now + timedelta(days=45))


def test_a_graft_of_some_day_of_a_month_is_not_judged(graft: Callable[..., Written], nursery: Nursery, now: datetime) -> None:
    plant = graft(1, precision="month").plants[0]
    assert flags(plant, nursery, now + timedelta(days=3)) == []


def test_the_last_graft_of_the_day_counts(plant: Plant, nursery: Nursery, write: Callable[..., object], now: datetime) -> None:
    write("regrafted", plant, days=100)
    assert flags(plant, nursery, now + timedelta(days=90)) == []
    assert flags(plant, nursery, now + timedelta(days=110))
