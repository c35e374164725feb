"""What a page of a large book shows is held while nothing changes: found anew after a record, a reading, or something learned."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from typing import Any

import numpy as np
import pytest

from scionary.answers import kept, take_model
from scionary.answers.due import due
from scionary.answers.learned import at_hand
from scionary.book.commands import Written, save_noun
from scionary.book.models import Dome, Plant, Sensor
from scionary.book.readings import store_readings
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db


@pytest.fixture
def large(graft: Callable[..., Written], dome: Dome, monkeypatch: Any) -> Iterator[list[int]]:
    """A book that counts as large; gives the numbers that were found, one each time anything is found anew."""
    monkeypatch.setattr(take_model, "QUICK_GRAFTS", 2)
    graft(4, days=-40, dome=dome.pk)
    with take_model.without_waiting():
        yield []


def ask(found: list[int]) -> int:
    def find() -> int:
        found.append(len(found))
        return found[-1]

    return at_hand("a count", "today", find)


def test_what_is_at_hand_is_found_once_while_nothing_changes(large: list[int]) -> None:
    assert [ask(large) for _ in range(3)] == [0, 0, 0]


def test_a_record_lets_go_of_it(large: list[int], write: Callable[..., Answer]) -> None:
    ask(large)
    write("observed", Plant.objects.all()[0])
    assert ask(large) == 1


def test_a_reading_lets_go_of_it(large: list[int], dome: Dome, now: datetime) -> None:
    sensor = save_noun(Sensor, {"name": "Gull", "dome": dome}, now=now)
    ask(large)
    for more in range(2):  # the second replaces the day in its place
        at = now.timestamp() + 60 * np.arange(5.0 + more)
        store_readings(sensor, np.column_stack([at, np.full(len(at), 20.0), np.full(len(at), 90.0)]))
        assert ask(large) == more + 1


def test_what_was_learned_lets_go_of_it(large: list[int]) -> None:
    ask(large)
    kept.kept("something", 1, "a subject", "content", lambda: 1)
    assert ask(large) == 1


def test_whoever_can_wait_is_told_anew(large: list[int]) -> None:
    token = take_model._may_wait.set(True)
    assert [ask(large), ask(large)] == [0, 1]
    take_model._may_wait.reset(token)


def test_due_of_a_large_book_is_as_when_found_anew(large: list[int], now: datetime, write: Callable[..., Answer], dome: Dome) -> None:
    today = now.date()
    before = due(today=today).to_dict()
    assert due(today=today).to_dict() == before
    write("watered", dome)
    held = due(today=today + timedelta(days=1)).to_dict()
    token = take_model._may_wait.set(True)
    assert due(today=today + timedelta(days=1)).to_dict() == held != before
    take_model._may_wait.reset(token)
