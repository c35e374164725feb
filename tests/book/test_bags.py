"""A bag of scions comes into the book with the record of its cutting, or not at all."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from scionary.answers.cuttings import bags_held, cutting_undone, standing_cut
from scionary.book.bags import Cut, cut_scions
from scionary.book.commands import undo
from scionary.book.ids import uuid7
from scionary.book.models import Event, MotherTree, Nursery, ScionBag
from scionary.errors import Refused

pytestmark = pytest.mark.django_db


def test_the_bag_has_its_cutting_and_a_code_of_its_own(nursery: Nursery, tree: MotherTree, now: datetime) -> None:
    cuts = [cut_scions(Cut(tree, sticks, now, care="stalks_left", stands="cool box"), nursery, now=now) for sticks in (12, 5)]
    bag = ScionBag.objects.get(pk=cuts[0].bag.pk)
    event = Event.objects.get(pk=cuts[0].event)
    assert (bag.name, bag.sticks, bag.care, bag.stands, bag.cut_at) == ("Red Tarn, 14 Feb 11:30", 12, "stalks_left", "cool box", now)
    assert event.payload == {"sticks": 12, "care": "stalks_left", "stands": "cool box", "code_number": bag.code_number}
    assert {subject.key for subject in event.subjects.all()} == {tree.key, bag.key}
    assert cuts[1].bag.name == "Red Tarn, 14 Feb 11:30 (2)"
    assert cuts[1].bag.code_number != bag.code_number is not None


def test_the_same_cut_sent_twice_is_written_once(nursery: Nursery, tree: MotherTree, now: datetime) -> None:
    ident = uuid7()
    first, again = (cut_scions(Cut(tree, 12, now), nursery, now=now, event_id=ident) for _ in range(2))
    assert first.bag == again.bag
    assert (ScionBag.objects.count(), Event.objects.filter(kind="scions_cut").count()) == (1, 1)


def test_a_cut_known_to_the_day_has_no_time(nursery: Nursery, tree: MotherTree, now: datetime) -> None:
    bag = cut_scions(Cut(tree, 3, now - timedelta(days=2), exact=False), nursery, now=now).bag
    assert (bag.name, bag.cut_at, bag.cut_on) == ("Red Tarn, 12 Feb 2026", None, datetime(2026, 2, 12).date())


@pytest.mark.parametrize("wrong", [{"sticks": 0}, {"care": "boiled"}, {"name": "spoken for"}, {"stands": "x" * 121}])
def test_what_cannot_be_leaves_neither_bag_nor_record(nursery: Nursery, tree: MotherTree, now: datetime, wrong: dict[str, object]) -> None:
    cut_scions(Cut(tree, 1, now, name="Spoken for"), nursery, now=now)
    with pytest.raises(Refused):
        cut_scions(Cut(**{"tree": tree, "sticks": 4, "happened_at": now, **wrong}), nursery, now=now)  # type: ignore[arg-type]
    assert (ScionBag.objects.count(), Event.objects.filter(kind="scions_cut").count()) == (1, 1)


def test_a_bag_whose_cutting_is_undone_holds_no_wood_and_comes_back_with_it(nursery: Nursery, tree: MotherTree, now: datetime) -> None:
    done = cut_scions(Cut(tree, 12, now), nursery, now=now)
    assert bags_held(nursery, today=now.date()) == [(done.bag, 12)]
    correction = undo(done.event, now=now)
    assert bags_held(nursery, today=now.date()) == []
    assert cutting_undone(done.bag)
    undo(correction.id, now=now)
    assert standing_cut(done.bag) == done.event
    assert not cutting_undone(done.bag)
