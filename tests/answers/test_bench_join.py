"""At the bench: one line on how to set this scion on this stock, by the method of the day."""

from __future__ import annotations

from datetime import datetime

import pytest

from scionary.answers.bench_join import bench_advice
from scionary.book.commands import save_noun
from scionary.book.models import BenchDay, Cultivar, Method, Nursery, RootstockLot


@pytest.fixture
def bench(cultivar: Cultivar, lot: RootstockLot, now: datetime) -> BenchDay:
    method = Method.objects.get(joins="side_veneer")
    return save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "method": method, "lot": lot, "grafter": "Ada"}, now=now)


def test_the_line_says_how_to_set_the_scion(bench: BenchDay, nursery: Nursery) -> None:
    found = bench_advice(bench, 7.0, 3.0, nursery)
    assert found is not None
    assert found.fits
    assert found.words.startswith("Stock 7.0 mm, scion 3.0 mm. Set the scion on the middle of the cut and lean it")
    assert found.asked["grafter"] == "Ada"


def test_inches_are_said_to_who_reads_inches(bench: BenchDay, nursery: Nursery) -> None:
    nursery.length_unit = "in"
    found = bench_advice(bench, 6.35, 12.7, nursery)
    assert found is not None
    assert (found.fits, found.words[:29]) == (False, "Stock 1/4 in, scion 1/2 in. T")


def test_names_of_the_lot_and_the_cultivar_are_held_against_the_table(bench: BenchDay, nursery: Nursery, now: datetime) -> None:
    assert bench.lot
    assert bench.cultivar
    bench.lot.species, bench.cultivar.botanical = "Fagus sylvatica", "Acer palmatum 'Red Tarn'"
    found = bench_advice(bench, 7.0, 3.0, nursery)
    assert found is not None
    assert "Fagus sylvatica does not carry Acer palmatum 'Red Tarn'" in found.words


def test_a_method_of_which_the_way_is_not_known_is_not_advised_about(bench: BenchDay, nursery: Nursery, now: datetime) -> None:
    bench.method = save_noun(Method, {"name": "Our own trick"}, now=now)
    assert bench_advice(bench, 7.0, 3.0, nursery) is None
    bench.method = None
    assert bench_advice(bench, 7.0, 3.0, nursery) is None
