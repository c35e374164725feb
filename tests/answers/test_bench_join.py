"""At the bench: one line on how to set this scion on this stock, by the method of the day."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from answers.test_weather_import import daily
from scionary.answers.bench_join import BenchAdvice, bench_advice
from scionary.answers.join_ask import effect_words
from scionary.answers.join_stems import join_stems
from scionary.answers.join_typed import read_ask
from scionary.answers.weather_import import accept_weather
from scionary.book.commands import save_noun
from scionary.book.models import BenchDay, Cultivar, Method, Nursery, RootstockLot
from scionary.union import METHODS, Stage


@pytest.fixture
def bench(cultivar: Cultivar, lot: RootstockLot, now: datetime) -> BenchDay:
    method = Method.objects.get(joins="side_veneer")
    return save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "method": method, "lot": lot, "grafter": "Ada"}, now=now)


def test_the_line_says_how_to_set_the_scion(bench: BenchDay, nursery: Nursery) -> None:
    found = bench_advice(bench, 7.0, 3.0, nursery)
    assert found is not None
    assert found.fits
    assert found.words.startswith("Stock 7.0 mm, scion 3.0 mm. Lean the scion by 1.4 mm over the middle of the cut")
    assert found.cuts[0] == "Cut the stock's side 20 mm long and 0.9 mm deep: through the bark, and 0.3 mm into the wood."
    assert found.line.startswith(f"Stock 7.0 mm, scion 3.0 mm. {' '.join(found.cuts)} Lean the scion by 1.4 mm")
    assert found.asked["grafter"] == "Ada"
    assert found.answer.reckoned == f"Reckoned for {bench.method}, a practised hand, and callus that bridges 0.5 mm."
    typed = {"stock": "7", "scion": "3", "grafter": "Ada"}
    asked, _ = read_ask(typed, nursery, today=bench.day)
    assert join_stems(asked, compare=False).sentence == found.answer.sentence


def test_inches_are_said_to_who_reads_inches(bench: BenchDay, nursery: Nursery) -> None:
    nursery.length_unit = "in"
    found = bench_advice(bench, 6.35, 12.7, nursery)
    assert found is not None
    assert (found.fits, found.words[:29]) == (False, "Stock 1/4 in, scion 1/2 in. T")
    assert (found.cuts, found.line) == ((), found.words)


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


def weathered(nursery: Nursery, until: date, *, high: float) -> None:
    """A record of even days from the shortest one on."""
    first = date(2025, 12, 21)
    at = datetime(until.year, until.month, until.day, 12, tzinfo=UTC)
    accept_weather(daily(first, (until - first).days + 1, low=high - 8.0, high=high), "even.csv", now=at, station="Beck")


def on(bench: BenchDay, day: date, way: str, nursery: Nursery) -> BenchAdvice:
    bench.day, bench.method = day, Method.objects.get(joins=way)
    found = bench_advice(bench, 7.0, 3.0, nursery)
    assert found is not None
    return found


def test_without_weather_the_stage_is_said_to_be_unknown_with_what_it_would_change(bench: BenchDay, nursery: Nursery) -> None:
    found = on(bench, date(2026, 2, 14), "side_veneer", nursery)
    assert found.stage_words.startswith(
        "What the stock is doing is not known: the book holds no weather of these days. It would change little"
    )
    assert "on a stock in growth" in found.stage_words
    assert found.asked["stage"] == "unknown"


@pytest.mark.parametrize(
    ("day", "high", "stage", "words"),
    [
        (date(2026, 2, 14), 4.0, Stage.DORMANT, "at rest"),
        (date(2026, 7, 20), 26.0, Stage.GROWTH_RIPENING, "with ripening growth"),
    ],
)
def test_the_warmth_so_far_says_what_the_stock_is_doing_that_day(
    bench: BenchDay, nursery: Nursery, day: date, high: float, stage: Stage, words: str
) -> None:
    weathered(nursery, day, high=high)
    found = on(bench, day, "side_veneer", nursery)
    assert found.answer.ask.stage is stage
    assert found.asked["stage"] == stage.value
    assert found.stage_words.startswith(f"The stock counts as one {words}, by the warmth outside (")
    assert "kept warm is further on" in found.stage_words


def test_bark_that_cannot_slip_that_day_is_told_at_the_bench(bench: BenchDay, nursery: Nursery) -> None:
    flap = save_noun(Method, {"name": "Under the bark", "joins": "side_inlay"}, now=datetime(2026, 2, 14, tzinfo=UTC))
    bench.method = flap
    bench.day = date(2026, 2, 14)
    before = bench_advice(bench, 7.0, 3.0, nursery)
    assert before is not None
    assert (before.fits, "try it first with the back of the blade" in " ".join(before.answer.cautions)) == (True, True)
    assert "the bark of a stock in growth parts from the wood, of one at rest and with turning leaves it does not" in before.stage_words
    weathered(nursery, bench.day, high=4.0)
    after = bench_advice(bench, 7.0, 3.0, nursery)
    assert after is not None
    assert (after.fits, "that of a stock at rest does not" in after.words) == (False, True)


def test_buds_that_may_be_swelling_and_a_record_that_ended_long_ago_leave_the_stage_open(bench: BenchDay, nursery: Nursery) -> None:
    weathered(nursery, date(2026, 3, 15), high=9.5)  # half a degree day a day: about 42 of the 150 or so that open buds
    near = on(bench, date(2026, 3, 15), "side_veneer", nursery)
    assert near.answer.ask.stage is None
    assert "is not sure: by the warmth outside it is most likely one at rest (79 of 100). It would change little" in near.stage_words
    late = on(bench, date(2026, 5, 1), "side_veneer", nursery)
    assert (late.answer.ask.stage, "no weather of these days" in late.stage_words) == (None, True)


def test_what_the_stage_changes_is_told_for_every_method(db: None) -> None:
    assert effect_words(METHODS["t_bud"]).startswith("It would change this: the bark of a stock in growth")
    assert effect_words(METHODS["cleft"]).endswith("in growth, with ripening growth and with turning leaves this method is unusual.")
