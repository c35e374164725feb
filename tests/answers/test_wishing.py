"""Wishes: added, changed, taken away and brought back."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from scionary.answers.wishing import save_wish, seasons_wished, take_away, taken_away, wish_called
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Event, Nursery, Wish
from scionary.errors import UnknownSubject

pytestmark = pytest.mark.django_db


def values(**more: Any) -> dict[str, Any]:
    return {"cultivar": "Red Tarn", "wanted": 12, "season": 2027, "assurance": 0.9, **more}


def test_a_wish_sent_twice_is_added_once_with_its_new_cultivar(nursery: Nursery, now: datetime) -> None:
    ident = uuid7()
    for wanted in (12, 20):
        save_wish(values(wanted=wanted), now=now, ident=ident)
    assert Wish.objects.get().wanted == 12
    assert Cultivar.objects.get().spoken == "Red Tarn"


def test_a_changed_wish_keeps_what_it_was(nursery: Nursery, now: datetime) -> None:
    wish = save_wish(values(), now=now, ident=uuid7())
    save_wish(values(wanted=20, cultivar="Ash Gill"), now=now, ident=wish.pk, change=True)
    assert (wish_called(wish.pk).wanted, str(wish_called(wish.pk).cultivar)) == (20, "Ash Gill")
    edits = Event.objects.filter(kind="edited", subjects__key=wish.key).order_by("id")
    assert [edit.payload["after"]["wanted"] for edit in edits] == [12, 20]


def test_a_wish_taken_away_can_come_back(nursery: Nursery, now: datetime) -> None:
    wish = save_wish(values(), now=now, ident=uuid7())
    take_away(wish.pk, away=True, now=now)
    assert taken_away(2027) == [wish]
    assert taken_away(2028) == []
    assert seasons_wished(2026) == [2026]
    take_away(wish.pk, away=False, now=now)
    assert taken_away(2027) == []
    assert seasons_wished(2026, 2027) == [2026, 2027]


def test_a_wish_of_nobody_is_told(nursery: Nursery) -> None:
    with pytest.raises(UnknownSubject, match="no such wish"):
        wish_called(uuid7())
