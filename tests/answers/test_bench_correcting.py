"""A whole bench day put right or taken back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from scionary.answers.bench import bench_called
from scionary.answers.bench_correcting import DayChange, change_words, correct_day, grafts_of, more_written, undo_day
from scionary.answers.bench_setting import graft_here
from scionary.book.commands import correct_many, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Dome, Event, Graft, Method, MotherTree, Nursery, Plant
from scionary.errors import Refused

pytestmark = pytest.mark.django_db

DAY = date(2026, 2, 14)


@pytest.fixture
def bench(cultivar: Cultivar, dome: Dome, tree: MotherTree, nursery: Nursery, now: datetime) -> BenchDay:
    made = save_noun(BenchDay, {"day": DAY, "cultivar": cultivar, "dome": dome, "tree": tree}, now=now)
    graft_here(made, 3, stock_mm=None, scion_mm=None, nursery=nursery, now=now, event_id=uuid7())
    return bench_called(made.pk)


def _correct(bench: BenchDay, change: DayChange, nursery: Nursery, now: datetime) -> list[str]:
    return correct_day(bench, change, nursery=nursery, now=now + timedelta(hours=1)).words


def test_date_dome_method_and_lot_of_all_grafts_are_corrected(bench: BenchDay, method: Method, nursery: Nursery, now: datetime) -> None:
    change = DayChange(date(2026, 2, 10), dome="Dome 2", lot="25-A", method=method)
    assert _correct(bench, change, nursery, now) == []
    for graft in grafts_of(bench):
        assert (graft.grafted_at.date(), str(graft.dome), str(graft.lot), graft.method) == (date(2026, 2, 10), "Dome 2", "25-A", method)
    assert Event.objects.filter(kind="corrected").count() == 3
    fresh = bench_called(bench.pk)
    assert (fresh.day, str(fresh.dome), str(fresh.lot), fresh.cultivar) == (date(2026, 2, 10), "Dome 2", "25-A", bench.cultivar)


def test_another_cultivar_finds_free_numbers_and_takes_the_tree_off(bench: BenchDay, nursery: Nursery, now: datetime) -> None:
    lanthorn = save_noun(Cultivar, {"spoken": "Lanthorn"}, now=now)
    other = save_noun(BenchDay, {"day": DAY, "cultivar": lanthorn}, now=now)
    graft_here(other, 2, stock_mm=None, scion_mm=None, nursery=nursery, now=now, event_id=uuid7())
    words = _correct(bench, DayChange(cultivar="Lanthorn"), nursery, now)
    assert sorted(plant.spoken for plant in Plant.objects.all()) == [f"Lanthorn {i}" for i in range(1, 6)]
    assert words[0] == "the old tree by the gate is a Red Tarn: it no longer counts as their mother tree."
    assert set(Graft.objects.values_list("tree", flat=True)) == {None}
    assert bench_called(bench.pk).tree is None


def test_what_would_change_is_said_and_nothing_written(bench: BenchDay, nursery: Nursery) -> None:
    change = DayChange(date(2026, 2, 10), dome="Dome 2", cultivar="Red Tarn")
    assert change_words(bench, change, nursery) == ["Dome 1 → Dome 2", "2026-02-14 → 2026-02-10"]
    assert change_words(bench, DayChange(DAY, dome="dome 1"), nursery) == []
    assert not Event.objects.filter(kind="corrected").exists()


def test_all_corrections_are_undone_together(bench: BenchDay, nursery: Nursery, now: datetime) -> None:
    done = correct_day(bench, DayChange(dome="Dome 2"), nursery=nursery, now=now)
    correct_many([(ident, None) for ident in done.events], now=now)
    assert {str(graft.dome) for graft in grafts_of(bench)} == {"Dome 1"}


def test_a_tree_of_another_cultivar_is_refused_and_nothing_is_written(bench: BenchDay, nursery: Nursery, now: datetime) -> None:
    lanthorn = save_noun(Cultivar, {"spoken": "Lanthorn"}, now=now)
    save_noun(MotherTree, {"name": "by the well", "cultivar": lanthorn}, now=now)
    with pytest.raises(Refused, match="by the well is a Lanthorn, not a Red Tarn"):
        _correct(bench, DayChange(tree="by the well", dome="Dome 9"), nursery, now)
    assert not Dome.objects.filter(name="Dome 9").exists()


def test_a_bench_day_undone_leaves_no_plant_and_can_come_back(bench: BenchDay, now: datetime, write: Callable[..., object]) -> None:
    write("watered", Plant.objects.order_by("running_number")[0], days=1)
    assert more_written(bench) == 1
    done = undo_day(bench, now=now + timedelta(days=2))
    assert not Plant.objects.exists()
    assert undo_day(bench, now=now + timedelta(days=2)).answers == []
    correct_many([(ident, None) for ident in done.events], now=now + timedelta(days=3))
    assert Plant.objects.count() == 3
