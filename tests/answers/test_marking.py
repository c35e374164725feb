"""Quarantine and doubt for a whole set: who gets the mark, and what becomes of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from scionary.answers.contact_map import Way
from scionary.answers.marking import Mark, Marked, mark_set, reasons, would_change
from scionary.answers.set_apart import set_apart
from scionary.answers.spread import USUAL, Ask, SpreadQuestion, spread
from scionary.answers.undoing import undo_all
from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Event, MotherTree, Nursery, Plant, RootstockLot
from scionary.errors import Refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def mark(nursery: Nursery, tree: MotherTree, now: datetime) -> Callable[..., Marked]:
    """Marks all that the old tree's wood went into."""

    def write(wanted: Mark, reason: str = "cankers", *, days: float = 10, **more: Any) -> Marked:
        ask = Ask.SICKNESS if wanted in (Mark.QUARANTINE, Mark.RELEASE) else Ask.NAME
        moment = now + timedelta(days=days)
        given = {"nursery": nursery, "happened_at": moment, "now": moment, "who": "Maren", **more}
        return mark_set(SpreadQuestion(f"tree:{tree.pk.hex}", ask, ways=USUAL[Ask.NAME]), wanted, reason, **given)

    return write


@pytest.fixture
def five(graft: Callable[..., Written], tree: MotherTree, write: Callable[..., Any]) -> list[Plant]:
    """Five grafts of the old tree: two stand, one is missing, one is lost, one was sold."""
    plants = graft(5, tree=tree.pk).plants
    write("observed", plants[2], days=1, seen="missing")
    write("lost", plants[3], days=1)
    write("left", plants[4], days=1, how="sale")
    return plants


def columns(plants: list[Plant], name: str) -> list[bool]:
    return [getattr(Plant.objects.get(pk=plant.pk), name) is not None for plant in plants]


def test_quarantine_is_said_of_all_that_stand_here_and_of_the_tree(five: list[Plant], mark: Any, tree: MotherTree) -> None:
    done = mark(Mark.QUARANTINE)
    assert (done.plants, done.others, len(done.events)) == (3, (tree.key,), 1)
    assert columns(five, "quarantined_at") == [True, True, True, False, False]
    assert Plant.objects.get(pk=five[0].pk).quarantine_reason == "cankers"
    assert set_apart([tree.key])[tree.key].quarantine is not None
    released = mark(Mark.RELEASE, "looked at twice", days=20)
    assert (released.plants, released.others) == (3, (tree.key,))
    assert not any(columns(five, "quarantined_at"))
    assert set_apart([tree.key]) == {}


def test_doubt_is_also_written_of_what_was_sold(five: list[Plant], mark: Any) -> None:
    assert mark(Mark.DOUBT, "redder than its tree").plants == 4
    assert columns(five, "name_doubted_at") == [True, True, True, False, True]
    assert mark(Mark.END_DOUBT, "seen in leaf", days=20).plants == 4


def test_what_has_the_mark_keeps_its_own_reason(five: list[Plant], mark: Any, write: Any) -> None:
    write("quarantined", five[1], days=2, reason="scale insects")
    assert mark(Mark.QUARANTINE).plants == 2
    assert Plant.objects.get(pk=five[1].pk).quarantine_reason == "scale insects"
    with pytest.raises(Refused, match="nothing left"):
        mark(Mark.QUARANTINE, days=11)


def test_undone_at_once_it_is_gone_from_all(five: list[Plant], mark: Any, tree: MotherTree, now: datetime) -> None:
    undo_all(mark(Mark.QUARANTINE).events, now=now + timedelta(days=11))
    assert not any(columns(five, "quarantined_at"))
    assert set_apart([tree.key]) == {}


def test_sent_twice_it_is_written_once(five: list[Plant], mark: Any) -> None:
    ident = uuid7()
    assert mark(Mark.QUARANTINE, event_id=ident).plants == 3
    assert mark(Mark.QUARANTINE, event_id=ident) == Marked(0, (), ())
    assert Event.objects.filter(kind="quarantined").count() == 1


def test_many_are_written_in_parts_all_or_none(
    graft: Callable[..., Written], tree: MotherTree, mark: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    graft(7, tree=tree.pk)
    monkeypatch.setattr("scionary.answers.marking._SUBJECTS", 3)
    with pytest.raises(Refused, match="stopped"):
        mark(Mark.QUARANTINE, progress=lambda fraction, word: fraction < 0.5)
    assert not Event.objects.filter(kind="quarantined").exists()
    told: list[str] = []
    done = mark(Mark.QUARANTINE, progress=lambda fraction, word: told.append(word))
    assert (done.plants, len(done.events), told) == (7, 3, ["1 of 3", "2 of 3", "3 of 3"])


def test_a_tree_that_grew_from_one_of_them_is_set_apart_too(
    graft: Callable[..., Written], tree: MotherTree, mark: Any, cultivar: Cultivar, now: datetime
) -> None:
    plant = graft(1, tree=tree.pk).plants[0]
    young = save_noun(MotherTree, {"name": "the young tree", "cultivar": cultivar, "raised_from": plant}, now=now)
    assert mark(Mark.QUARANTINE).others == tuple(sorted([tree.key, young.key]))


def test_without_a_reason_or_above_the_limit_nothing_is_written(five: list[Plant], mark: Any, nursery: Nursery, tree: MotherTree) -> None:
    with pytest.raises(Refused, match="no reason"):
        mark(Mark.DOUBT, "  ")
    with pytest.raises(Refused, match=r"3 plants at once; the page takes 2.*scionary spread"):
        mark(Mark.QUARANTINE, most=2)
    answer = spread(SpreadQuestion(f"tree:{tree.pk.hex}", ways=USUAL[Ask.NAME]), nursery)
    assert would_change(answer, Mark.QUARANTINE) == Marked(3, (tree.key,), ())
    assert reasons(answer, Mark.RELEASE) == {}


def test_a_mark_fits_what_is_feared(five: list[Plant], nursery: Nursery, tree: MotherTree, now: datetime) -> None:
    given: dict[str, Any] = {"nursery": nursery, "happened_at": now, "now": now}
    for ask, mark in ((Ask.SICKNESS, Mark.DOUBT), (Ask.SICKNESS, Mark.END_DOUBT), (Ask.NAME, Mark.QUARANTINE), (Ask.NAME, Mark.RELEASE)):
        with pytest.raises(Refused, match="is about a"):
            mark_set(SpreadQuestion(f"tree:{tree.pk.hex}", ask), mark, "red", **given)
    assert not Event.objects.filter(kind__in=[mark.value for mark in Mark]).exists()


def test_only_what_stands_for_one_reason_is_ended(five: list[Plant], mark: Any, write: Any, tree: MotherTree, nursery: Nursery) -> None:
    write("quarantined", five[1], days=2, reason="scale insects")
    mark(Mark.QUARANTINE)
    with pytest.raises(Refused, match="several reasons stand in this set: “cankers” and “scale insects”"):
        mark(Mark.RELEASE, "clean", days=20)
    answer = spread(SpreadQuestion(f"tree:{tree.pk.hex}", ways=USUAL[Ask.NAME]), nursery)
    assert reasons(answer, Mark.RELEASE) == {"cankers": Marked(2, (tree.key,), ()), "scale insects": Marked(1, (), ())}
    assert mark(Mark.RELEASE, "clean", days=20, of="cankers").plants == 2
    assert columns(five, "quarantined_at") == [False, True, False, False, False]
    with pytest.raises(Refused, match="nothing left"):
        mark(Mark.RELEASE, "clean", days=21, of="cankers")


def test_a_set_that_grew_since_it_was_shown_is_looked_at_again(
    five: list[Plant], mark: Any, graft: Callable[..., Written], tree: MotherTree
) -> None:
    graft(1, tree=tree.pk, days=2)
    with pytest.raises(Refused, match="has changed since you looked: it is 4 plants and 1 mother tree now"):
        mark(Mark.QUARANTINE, shown=4)
    assert not Event.objects.filter(kind="quarantined").exists()
    assert mark(Mark.QUARANTINE, shown=5).plants == 4


def test_looking_back_what_it_came_from_is_set_apart_too(
    five: list[Plant], nursery: Nursery, tree: MotherTree, lot: RootstockLot, graft: Callable[..., Written], now: datetime
) -> None:
    plant = graft(1, tree=tree.pk, lot=lot.pk).plants[0]
    question = SpreadQuestion(f"plant:{plant.pk.hex}", back=True, ways=(Way.WOOD, Way.STOCK))
    done = mark_set(question, Mark.QUARANTINE, "galls", nursery=nursery, happened_at=now, now=now)
    assert (done.plants, set(done.others)) == (1, {tree.key, lot.key})


def test_one_event_holds_a_whole_page_of_plants_so_that_one_undo_takes_it_back(
    graft: Callable[..., Written], tree: MotherTree, mark: Any, now: datetime
) -> None:
    graft(450, tree=tree.pk)
    done = mark(Mark.QUARANTINE)
    assert (done.plants, len(done.events)) == (450, 1)
    undo_all(done.events, now=now + timedelta(days=11))
    assert not Plant.objects.exclude(quarantined_at=None).exists()
