"""Undoing what was written, once."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from uuid import UUID

import pytest

from scionary.answers.undoing import stands, subjects_of, undo_once, undone_of
from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, Plant
from scionary.book.record import Answer
from scionary.errors import UnknownSubject

pytestmark = pytest.mark.django_db

Write = Callable[..., Answer]


def correction_of(event: UUID) -> UUID:
    return Event.objects.get(kind="corrected", target=event).pk


def test_a_second_undo_changes_nothing(plant: Plant, write: Write, now: datetime) -> None:
    lost = write("lost", plant, days=1)
    assert undo_once(lost.id, now=now + timedelta(days=2))
    assert not undo_once(lost.id, now=now + timedelta(days=3))
    assert Event.objects.filter(kind="corrected").count() == 1
    assert Plant.objects.get().state == "waiting"


def test_an_undoing_can_be_undone_and_then_the_event_stands_again(plant: Plant, write: Write, now: datetime) -> None:
    lost = write("lost", plant, days=1)
    undo_once(lost.id, now=now + timedelta(days=2))
    assert not stands(lost.id)
    assert undone_of([plant.key]) == {lost.id}
    undo_once(correction_of(lost.id), now=now + timedelta(days=3))
    assert stands(lost.id)
    assert Plant.objects.get().state == "dead"


def test_only_plants_and_domes_are_subjects_that_can_be_undone(graft: Callable[..., Written], dome: Dome) -> None:
    written = graft(1, dome=dome.pk)
    assert set(subjects_of(written.events[0])) == {written.plants[0].key, dome.key}


def test_what_the_book_does_not_hold_does_not_stand_and_cannot_be_undone(plant: Plant, now: datetime) -> None:
    assert not stands(uuid7())
    with pytest.raises(UnknownSubject, match="holds no such record"):
        undo_once(uuid7(), now=now)
