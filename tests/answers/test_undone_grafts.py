"""Undone grafts are found and can be brought back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from scionary.answers.undone_grafts import count_undone, undone_grafts
from scionary.book.commands import Written, correct, undo
from scionary.book.models import Cultivar, Plant
from scionary.names import code_of

Graft = Callable[..., Written]


def test_what_stands_is_not_listed(graft: Graft, now: datetime) -> None:
    written = graft(2)
    correct(written.events[0], {"scion_mm": 5.0}, now=now)
    assert (undone_grafts(10), count_undone()) == ([], 0)


def test_an_undone_graft_is_listed_with_its_name_code_and_undo(graft: Graft, cultivar: Cultivar, now: datetime) -> None:
    written = graft(3)
    later = now + timedelta(hours=2)
    answer = undo(written.events[1], now=later)
    (found,) = undone_grafts(10)
    assert (found.event, found.spoken, found.code, found.undone_by) == (written.events[1], "Red Tarn 2", code_of(1), (answer.id,))
    assert (found.grafted_at, found.undone_at) == (now, later)


def test_undoing_its_undo_brings_it_back(graft: Graft, now: datetime) -> None:
    written = graft()
    undo(written.events[0], now=now)
    assert not Plant.objects.exists()
    for ident in undone_grafts(10)[0].undone_by:
        undo(ident, now=now)
    assert undone_grafts(10) == []
    assert Plant.objects.get().spoken == "Red Tarn 1"


def test_the_last_made_stand_first_and_the_rest_is_counted(graft: Graft, now: datetime) -> None:
    for day in range(3):
        undo(graft(days=day).events[0], now=now + timedelta(days=3))
    assert [found.grafted_at for found in undone_grafts(2)] == [now + timedelta(days=2), now + timedelta(days=1)]
    assert count_undone() == 3
