"""Trees, bags and lots that are set apart: what is open, what the bench says, what came in since."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from scionary.answers.bench import bench_answer
from scionary.answers.set_apart import apart_of, set_apart
from scionary.book.commands import Written, correct, save_noun, undo
from scionary.book.models import BenchDay, Cultivar, MotherTree, Nursery, RootstockLot, ScionBag
from scionary.book.record import Answer, NewEvent, record_events

pytestmark = pytest.mark.django_db

Write = Callable[..., Answer]


@pytest.fixture
def bench(cultivar: Cultivar, tree: MotherTree, lot: RootstockLot, now: datetime) -> Callable[..., BenchDay]:
    return lambda **more: save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "tree": tree, "lot": lot, **more}, now=now)


def test_what_begins_is_open_until_it_ends(tree: MotherTree, lot: RootstockLot, write: Write) -> None:
    write("quarantined", tree.key, days=1, reason="cankers")
    write("name_doubted", tree.key, days=2, reason="too red")
    write("quarantined", lot.key, days=1, reason="galls on the roots")
    write("released", lot.key, days=3)
    (key, found) = set_apart([tree.key, lot.key]).popitem()
    assert key == tree.key
    assert found.quarantine is not None
    assert found.doubt is not None
    assert (found.quarantine.payload["reason"], found.doubt.payload["reason"]) == ("cankers", "too red")
    write("released", tree.key, days=4)
    write("name_doubt_ended", tree.key, days=4)
    assert set_apart([tree.key, lot.key]) == {}


def test_undo_and_correction_are_respected(tree: MotherTree, write: Write, now: datetime) -> None:
    begun = write("quarantined", tree.key, days=1, reason="cankers")
    ended = write("released", tree.key, days=2)
    undo(ended.id, now=now + timedelta(days=3))
    correct(begun.id, {"reason": "scale insects"}, now=now + timedelta(days=3))
    found = set_apart([tree.key])[tree.key].quarantine
    assert found is not None
    assert found.payload["reason"] == "scale insects"
    undo(begun.id, now=now + timedelta(days=4))
    assert set_apart([tree.key]) == {}


def test_one_record_may_be_about_a_tree_and_its_plants(
    tree: MotherTree, lot: RootstockLot, graft: Callable[..., Written], now: datetime
) -> None:
    plants = graft(2, tree=tree.pk).plants
    record_events([NewEvent("quarantined", now, (tree.key, *(p.key for p in plants)), {"reason": "cankers"})], now=now)
    assert list(set_apart([tree.key, lot.key])) == [tree.key]
    assert set_apart([]) == {}


def test_the_bench_says_so_before_the_next_graft(bench: Callable[..., BenchDay], tree: MotherTree, lot: RootstockLot, write: Write) -> None:
    here = bench()
    assert not any("quarantine" in flag for flag in bench_answer(here).flags)
    write("quarantined", tree.key, reason="cankers")
    write("quarantined", lot.key, reason="galls")
    flags = bench_answer(here).flags
    assert flags[0].startswith("The old tree by the gate stands in quarantine since 2026-02-14: cankers. Before plants of it")
    assert flags[1].startswith("Stock lot 24-B stands in quarantine since 2026-02-14: galls.")


def test_the_bench_speaks_of_a_bag_s_tree_and_of_the_plant_that_it_grew_from(
    bench: Callable[..., BenchDay], graft: Callable[..., Written], tree: MotherTree, cultivar: Cultivar, write: Write, now: datetime
) -> None:
    parent = graft().plants[0]
    save_noun(MotherTree, {"raised_from": parent}, now=now, pk=tree.pk)
    bag = save_noun(ScionBag, {"name": "bag 1", "cultivar": cultivar, "tree": tree}, now=now)
    write("name_doubted", parent, reason="too red")
    write("name_doubted", bag.key, reason="mixed up")
    flags = bench_answer(bench(tree=None, bag=bag)).flags
    assert "The name of bag 1 is in doubt since 2026-02-14: mixed up." in flags
    assert "the old tree by the gate grew from Red Tarn 1: name in doubt." in flags


def test_plants_written_down_since_are_told_until_they_are_set_apart_too(
    graft: Callable[..., Written], tree: MotherTree, cultivar: Cultivar, nursery: Nursery, write: Write, now: datetime
) -> None:
    graft(tree=tree.pk)
    write("quarantined", tree.key, days=1, reason="cankers")
    bag = save_noun(ScionBag, {"name": "bag 1", "cultivar": cultivar, "tree": tree}, now=now)
    own, from_bag, lost = graft(days=2, tree=tree.pk).plants + graft(2, days=3, bag=bag.pk).plants
    graft(days=3)
    write("lost", lost, days=4)
    ((words, plants, count),) = apart_of(tree, nursery)
    assert words.startswith("The old tree by the gate stands in quarantine")
    assert (plants, count) == ([own, from_bag], 2)
    write("quarantined", own, days=5, reason="cankers")
    assert apart_of(tree, nursery)[0][1] == [from_bag]


def test_a_tree_that_is_not_set_apart_says_nothing(tree: MotherTree, graft: Callable[..., Written], nursery: Nursery) -> None:
    graft(tree=tree.pk)
    assert apart_of(tree, nursery) == []


def test_lots_of_records_about_others_cost_no_more_queries(
    tree: MotherTree, graft: Callable[..., Written], write: Write, django_assert_num_queries: Any
) -> None:
    for plant in graft(5, tree=tree.pk).plants:
        write("quarantined", plant, reason="cankers")
    with django_assert_num_queries(2):
        set_apart([tree.key])
