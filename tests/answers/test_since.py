"""What was written about since a look: what a page holds of all else still holds, and is what a fresh look finds."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from scionary.answers.since import Since, only_plants
from scionary.book.commands import Written, correct, save_noun, undo
from scionary.book.models import Dome, Event, Method, Plant
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db


@pytest.fixture
def since(graft: Callable[..., Written]) -> Since:
    """A look at a book with some plants."""
    graft(3)
    looked = Since()
    assert looked.changed() is None
    assert looked.changed() == frozenset()
    return looked


def test_a_graft_tells_of_its_plant_and_dome_and_leaves_its_method_alone(
    since: Since, graft: Callable[..., Written], dome: Dome, method: Method
) -> None:
    since.changed()
    plant = graft(dome=dome.pk, method=method.pk).plants[0]
    changed = since.changed()
    assert changed == {plant.key, dome.key}
    assert only_plants(changed) == {plant.pk}


def test_an_edited_method_may_change_everything(since: Since, method: Method, now: datetime) -> None:
    save_noun(Method, {"closed_days": 40}, now=now, pk=method.pk)
    changed = since.changed()
    assert changed == {method.key}
    assert only_plants(changed) is None


def test_what_is_undone_or_put_right_tells_of_the_plants_that_it_was_about(
    since: Since, write: Callable[..., Answer], now: datetime
) -> None:
    first, second, _ = Plant.objects.order_by("pk")
    seen = write("scored", first, sign="firm", answer="yes", days=31)
    since.changed()
    undone = undo(seen.id, now=now)
    assert since.changed() == {first.key}
    undo(undone.id, now=now)
    assert since.changed() == {first.key}
    correct(Event.objects.get(kind="grafted", subjects__key=second.key).pk, {"note": "by the door"}, now=now)
    assert only_plants(since.changed() or frozenset()) == {second.pk}


def test_a_correction_that_names_other_subjects_tells_of_those_of_its_target_too(
    since: Since, write: Callable[..., Answer], now: datetime
) -> None:
    from scionary.book.record import NewEvent, record_events

    first, second, _ = Plant.objects.order_by("pk")
    seen = write("scored", first, sign="firm", answer="yes", days=31)
    since.changed()
    record_events([NewEvent("corrected", now, (second.key,), {"target": str(seen.id)})], now=now)
    assert since.changed() == {first.key, second.key}


def test_an_undone_edit_changes_no_row(since: Since, method: Method, now: datetime) -> None:
    from scionary.book.record import NewEvent, record_events

    save_noun(Method, {"closed_days": 40}, now=now, pk=method.pk)
    since.changed()
    edit = Event.objects.filter(kind="edited", subjects__key=method.key).order_by("-id")[0]
    record_events([NewEvent("corrected", now, (method.key,), {"target": str(edit.pk)})], now=now)
    assert since.changed() == frozenset()


def test_very_much_at_once_is_looked_at_anew(since: Since, graft: Callable[..., Written], monkeypatch: Any) -> None:
    from scionary.answers import since as module

    monkeypatch.setattr(module, "_TOO_MANY", 3)
    graft(5)
    assert since.changed() is None
