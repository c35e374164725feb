"""The blade at the bench: what cuts a day's grafts, and what does not."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from scionary.answers.bench import bench_answer
from scionary.answers.blade import DayLines, clean_blade, cleanings_of_day, day_lines
from scionary.book.commands import Written, correct, noon, save_noun, undo
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Nursery
from scionary.book.record import Answer
from scionary.errors import Refused

pytestmark = pytest.mark.django_db

Clean = Callable[..., Answer]


@pytest.fixture
def bench(cultivar: Cultivar, now: datetime) -> BenchDay:
    return save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "grafter": "Maren"}, now=now)


@pytest.fixture
def clean(nursery: Nursery, now: datetime) -> Clean:
    """Cleans a bench's blade so many minutes after `now`."""

    def write(bench: BenchDay, minutes: float, how: str = "changed") -> Answer:
        return clean_blade(bench, how, nursery=nursery, now=now + timedelta(minutes=minutes), event_id=uuid7())

    return write


@pytest.fixture
def at(graft: Callable[..., Written], bench: BenchDay) -> Callable[[float], Written]:
    """Writes down a graft so many minutes after `now`."""
    return lambda minutes: graft(days=minutes / 1440, bench=bench.pk)


def told(lines: DayLines) -> list[str]:
    return [plant.spoken if plant else str(cleaning and cleaning.words) for plant, cleaning in lines.lines]


def lines_of(bench: BenchDay, nursery: Nursery, most: int = 20) -> DayLines:
    return day_lines(bench, bench_answer(bench).made, nursery, most=most)


def test_a_cleaning_stands_between_the_grafts_before_and_after_it(bench: BenchDay, at: Any, clean: Clean, nursery: Nursery) -> None:
    at(1)
    clean(bench, 2, "disinfected")
    at(3)
    clean(bench, 4)
    assert told(lines_of(bench, nursery)) == ["Blade changed, 11:34", "Red Tarn 2", "Blade disinfected, 11:32", "Red Tarn 1"]


def test_an_undone_cleaning_cuts_nothing_and_a_corrected_one_moves(
    bench: BenchDay, at: Any, clean: Clean, nursery: Nursery, now: datetime
) -> None:
    at(1)
    gone, moved = clean(bench, 2), clean(bench, 2.5)
    at(3)
    undo(gone.id, now=now + timedelta(hours=1))
    correct(moved.id, {"happened_at": (now + timedelta(minutes=5)).isoformat()}, now=now + timedelta(hours=1))
    assert told(lines_of(bench, nursery)) == ["Blade changed, 11:35", "Red Tarn 2", "Red Tarn 1"]


def test_one_hand_s_blade_counts_at_every_bench_of_its_day_and_another_s_does_not(
    bench: BenchDay, clean: Clean, nursery: Nursery, cultivar: Cultivar, now: datetime
) -> None:
    for change, minutes in ({"grafter": "Maren"}, 1), ({"grafter": "Tobit"}, 2), ({"day": now.date() + timedelta(days=1)}, 3):
        values = {"day": now.date(), "cultivar": cultivar, "grafter": "Maren", **change}
        clean(save_noun(BenchDay, values, now=now), minutes)
    assert [cleaning.clock for cleaning in cleanings_of_day(bench, nursery)] == ["11:31"]


def test_grafts_of_an_earlier_day_have_no_order_and_no_cut(
    bench: BenchDay, graft: Callable[..., Written], clean: Clean, nursery: Nursery
) -> None:
    clean(bench, 2)
    graft(2, happened_at=noon(bench.day, nursery), bench=bench.pk)
    lines = lines_of(bench, nursery)
    assert told(lines) == ["Red Tarn 2", "Red Tarn 1"]
    assert [cleaning.words for cleaning in lines.aside] == ["Blade changed, 11:32"]


def test_a_cleaning_written_on_a_later_day_has_no_time_of_its_day(bench: BenchDay, at: Any, clean: Clean, nursery: Nursery) -> None:
    at(1)
    clean(bench, 2 * 1440)
    lines = lines_of(bench, nursery)
    assert told(lines) == ["Red Tarn 1"]
    assert [(cleaning.words, cleaning.at) for cleaning in lines.aside] == [("Blade changed", noon(bench.day, nursery))]


def test_cleanings_older_than_the_grafts_shown_are_left_out(bench: BenchDay, at: Any, clean: Clean, nursery: Nursery) -> None:
    clean(bench, 0)
    for minute in (1, 2, 4):
        at(minute)
    clean(bench, 3)
    assert told(lines_of(bench, nursery, most=2)) == ["Red Tarn 3", "Blade changed, 11:33", "Red Tarn 2"]
    assert told(lines_of(bench, nursery))[-1] == "Blade changed, 11:30"


def test_a_blade_is_changed_or_disinfected_and_nothing_else(bench: BenchDay, clean: Clean) -> None:
    with pytest.raises(Refused, match="how is 'licked'"):
        clean(bench, 1, "licked")
