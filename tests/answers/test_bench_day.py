"""From what is typed at the bench to grafts in the book."""

from datetime import date
from typing import Any

import pytest

from scionary.answers.bench import bench_answer, stocks_left
from scionary.answers.bench_day import BenchWords, write_bench_day
from scionary.book.models import BenchDay, Cultivar, Dome, Event, Graft, Nursery, RootstockLot
from scionary.errors import BadValue, UnknownSubject

pytestmark = pytest.mark.django_db
TODAY = date(2026, 2, 14)


def test_a_name_and_a_number_are_enough(nursery: Nursery, now: Any) -> None:
    written = write_bench_day(BenchWords("Red Tarn", 3, TODAY), nursery, now=now)
    assert [plant.spoken for plant in written.plants] == ["Red Tarn 1", "Red Tarn 2", "Red Tarn 3"]
    assert len({plant.code_number for plant in written.plants}) == 3


def test_new_names_of_dome_and_lot_are_added(nursery: Nursery, now: Any) -> None:
    words = BenchWords("Red Tarn", 2, TODAY, dome="Dome 1", lot="26-A", method="side graft", stock="1/4 in", scion="3,1")
    write_bench_day(words, nursery, now=now)
    graft = Graft.objects.select_related("dome", "lot", "method")[0]
    assert (str(graft.dome), str(graft.lot), str(graft.method)) == ("Dome 1", "26-A", "Side graft, leafy, summer")
    assert (graft.stock_mm, graft.scion_mm) == (pytest.approx(6.35), pytest.approx(3.1))


def test_a_bench_day_counts_what_was_made_on_it(nursery: Nursery, now: Any) -> None:
    write_bench_day(BenchWords("Red Tarn", 2, TODAY), nursery, now=now)
    found = bench_answer(BenchDay.objects.get())
    assert (found.counter, found.next_spoken) == ("2 made", "Red Tarn 3")


def test_more_grafts_than_stocks_are_written_down_and_flagged(nursery: Nursery, lot: RootstockLot, now: Any) -> None:
    RootstockLot.objects.filter(pk=lot.pk).update(count=2)
    written = write_bench_day(BenchWords("Red Tarn", 3, TODAY, lot="24-b"), nursery, now=now)
    assert len(written.plants) == 3
    assert any("1 more are grafted than it held" in flag for flag in written.flags)
    lot.refresh_from_db()
    assert stocks_left(lot) == -1


def test_a_scion_thicker_than_the_stock_is_flagged(nursery: Nursery, now: Any) -> None:
    written = write_bench_day(BenchWords("Red Tarn", 1, TODAY, stock="3", scion="5"), nursery, now=now)
    assert written.flags == ["the scion is thicker than the stock"]


@pytest.mark.parametrize(
    ("words", "error", "said"),
    [
        (BenchWords("Red Tarn", 1, TODAY, stock="thick"), BadValue, "length is 'thick'"),
        (BenchWords("Red Tarn", 1, TODAY, method="whip"), UnknownSubject, "no method is called 'whip'"),
        (BenchWords("Red Tarn", 1, TODAY, dome="Dome 7", tree="nowhere"), UnknownSubject, "no mother tree"),
    ],
)
def test_what_cannot_be_read_writes_nothing(nursery: Nursery, now: Any, words: BenchWords, error: type[Exception], said: str) -> None:
    before = Event.objects.count()
    with pytest.raises(error, match=said):
        write_bench_day(words, nursery, now=now)
    assert (Event.objects.count(), Cultivar.objects.count(), Dome.objects.count()) == (before, 0, 0)
