"""What grafts were lost of."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from scionary.answers.losses import losses
from scionary.book.commands import Written, undo
from scionary.book.models import Nursery

pytestmark = pytest.mark.django_db


def test_an_empty_book_has_lost_nothing(nursery: Nursery) -> None:
    assert losses().to_dict() == {"lost": 0, "signs": [], "causes": []}


def test_the_commonest_come_first_and_what_was_not_written_down_is_said(
    graft: Callable[..., Written], write: Callable[..., object]
) -> None:
    first, second, third, _ = graft(4).plants
    write("lost", first, days=20, sign="shrivelled", cause="dried out")
    write("lost", second, days=21, sign="shrivelled")
    write("lost", third, days=22, sign="black")
    found = losses()
    assert found.lost == 3
    assert found.signs == [("shrivelled", 2), ("black", 1)]
    assert found.causes == [("not written down", 2), ("dried out", 1)]


def test_a_loss_that_is_undone_does_not_count(graft: Callable[..., Written], write: Callable[..., object], now: datetime) -> None:
    event = write("lost", graft(1).plants[0], days=20)
    undo(event.id, now=now + timedelta(days=21))  # type: ignore[attr-defined]
    assert losses().lost == 0
