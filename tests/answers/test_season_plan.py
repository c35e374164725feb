"""The plan adds up what wishes need, names what is short, and lists what it assumes."""

from collections.abc import Callable
from datetime import date
from math import ceil
from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scionary.answers.bench import bench_answer, planned_grafts
from scionary.answers.rates import coming_draws
from scionary.answers.season_plan import accept_plan, add_wishes, season_plan
from scionary.book.commands import Written, save_noun
from scionary.book.models import BenchDay, Cultivar, Dome, Method, MotherTree, Nursery, RootstockLot, Wish
from scionary.book.record import Answer
from scionary.errors import Refused

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 5)


@pytest.fixture
def record(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    """Red Tarn: 15 of 20 in leaf."""
    for i, plant in enumerate(graft(20, days=-730).plants):
        write("scored", plant, sign="in_leaf", answer="yes" if i < 15 else "no", days=-270)


def test_a_wish_needs_more_grafts_than_dividing_by_the_rate_says(record: None, now: Any) -> None:
    add_wishes(["20 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    line = season_plan(today=TODAY).lines[0]
    assert line.by_rate == ceil(20 / 0.75)
    assert line.grafts is not None
    assert line.grafts > line.by_rate
    assert line.chance is not None
    assert line.chance >= 0.9 > (line.by_rate_chance or 1)


def test_a_wish_promises_at_least_so_many_and_says_what_is_likely(record: None, now: Any) -> None:
    add_wishes(["20 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    found = season_plan(today=TODAY)
    low, mid, _ = found.lines[0].takes or (0, 0, 0)
    assert found.lines[0].promise == (
        f"At least 20 nine years in ten, likely {mid} in leaf the next spring; one year in twenty {low} or fewer."
    )
    assert found.lines[0].stage_note == ""
    assert found.year_words == "Growing year 2026: autumn 2025 to autumn 2026."
    assert any("How far seasons and bench days lie apart is supposed" in line for line in found.assumed)


def test_a_wish_counted_when_firm_says_that_later_losses_are_not_in_it(
    graft: Callable[..., Written], write: Callable[..., Answer], now: Any
) -> None:
    for plant in graft(10).plants:
        write("scored", plant, sign="firm", answer="yes", days=31)
    add_wishes(["5 Red Tarn"], season=2027, today=TODAY, assurance=0.9, now=now)
    [line] = season_plan(today=TODAY).lines
    assert line.stage_note == "Counted when firm after the cover came off: what is lost before the next spring is not in it."


def test_the_chance_agrees_with_plain_simulation(record: None, cultivar: Cultivar, now: Any) -> None:
    add_wishes(["20 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    line = season_plan(today=TODAY).lines[0]
    draws, _ = coming_draws("in_leaf", [cultivar.pk])
    rng = np.random.default_rng(3)
    reached = np.mean([(rng.random(line.grafts) < p).sum() >= 20 for p in np.repeat(draws[:, 0], 10)])
    assert line.chance == pytest.approx(reached, abs=0.012)


def test_a_book_without_records_is_no_surer_than_one_with_a_few(
    graft: Callable[..., Written], write: Callable[..., Answer], now: Any
) -> None:
    add_wishes(["10 Lanthorn"], season=2027, today=TODAY, assurance=0.9, now=now)
    before = season_plan(today=TODAY)
    for plant, answer in zip(graft(3).plants, ("yes", "yes", "no"), strict=True):
        write("scored", plant, sign="firm", answer=answer, days=31)
    after = season_plan(today=TODAY)
    assert (before.lines[0].grafts or 0) > (after.lines[0].grafts or 0)
    assert any("a coming season, lot, day and dome may bring" in line for line in before.assumed)
    assert any("a coming season and day may bring" in line for line in after.assumed)
    assert "Not written down of any graft counted: lot and dome; the luck of these is not in the numbers." in after.assumed


def test_a_wish_that_names_a_method_has_that_method_s_chance(graft: Callable[..., Written], write: Callable[..., Answer], now: Any) -> None:
    good, poor, new = (save_noun(Method, {"name": name}, now=now) for name in ("good", "poor", "new"))
    for method, takes in ((good, 38), (poor, 6)):
        for i, plant in enumerate(graft(40, method=method.pk).plants):
            write("scored", plant, sign="firm", answer="yes" if i < takes else "no", days=31)
    [wish] = add_wishes(["10 Red Tarn"], season=2027, today=TODAY, assurance=0.9, now=now)
    grafts = {}
    for method in (good, poor, new):
        save_noun(Wish, {"method": method}, pk=wish.pk, now=now)
        found = season_plan(today=TODAY)
        grafts[method.name] = found.lines[0].grafts or 0
        assert any("No graft by “new” is counted yet" in line for line in found.assumed) is (method == new)
    assert grafts["good"] < grafts["new"]
    assert 2 * grafts["good"] < grafts["poor"]


def test_what_is_short_is_named_with_numbers(record: None, cultivar: Cultivar, dome: Dome, nursery: Nursery, now: Any) -> None:
    save_noun(Cultivar, {"botanical": "Acer palmatum 'Red Tarn'"}, pk=cultivar.pk, now=now)
    save_noun(RootstockLot, {"name": "26-A", "species": "Acer palmatum", "count": 10}, now=now)
    save_noun(MotherTree, {"name": "by the gate", "cultivar": cultivar, "sticks_a_season": 5}, now=now)
    save_noun(Nursery, {"bench_hours_a_week": 0.1}, pk=nursery.pk, now=now)
    add_wishes(["20 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    found = season_plan(today=TODAY)
    assert {shortage.what for shortage in found.shortages} == {"rootstocks", "sticks", "trays", "bench hours"}
    stocks = next(s for s in found.shortages if s.what == "rootstocks")
    assert (stocks.have, stocks.missing) == (10, found.lines[0].grafts - 10)


def test_what_is_not_known_is_assumed_and_said(nursery: Nursery, now: Any) -> None:
    add_wishes(["3 Merrybeck"], season=2026, today=TODAY, assurance=0.8, now=now)
    found = season_plan(today=TODAY)
    assert found.lines[0].counted == "none yet"
    assert any("sticks at hand are not known" in line for line in found.assumed)
    assert any("the luck that a coming season, lot, day and dome may bring" in line for line in found.assumed)


def test_two_wishes_for_one_cultivar_are_told_apart(nursery: Nursery, now: Any) -> None:
    add_wishes(["3 Merrybeck", "2 Merrybeck"], season=2026, today=TODAY, assurance=0.8, now=now)
    assert [line.name for line in season_plan(today=TODAY).lines] == ["Merrybeck", "Merrybeck, wish 2"]


def test_a_plan_taken_to_the_bench_is_what_the_bench_counts_against(record: None, cultivar: Cultivar, now: Any) -> None:
    add_wishes(["20 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    answer = season_plan(today=TODAY)
    accept_plan(answer, now=now)
    assert planned_grafts(2026) == {str(cultivar.pk): answer.lines[0].grafts}
    bench = save_noun(BenchDay, {"day": TODAY, "cultivar": cultivar}, now=now)
    assert bench_answer(bench).counter == f"0 of {answer.lines[0].grafts}"


def test_a_wish_that_cannot_be_read_writes_none_of_them(nursery: Nursery, now: Any) -> None:
    with pytest.raises(Refused, match="'Red Tarn' is no wish"):
        add_wishes(["3 Merrybeck", "Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    assert not Wish.objects.exists()


def test_an_empty_plan_says_so_and_cannot_be_taken(nursery: Nursery, now: Any) -> None:
    found = season_plan(today=TODAY)
    assert found.sentence == "No wishes for 2026 yet."
    with pytest.raises(Refused, match="no wish to plan for"):
        accept_plan(found, now=now)


def test_what_is_not_written_down_is_never_called_enough(nursery: Nursery, now: Any) -> None:
    add_wishes(["2 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    sentence = season_plan(today=TODAY).sentence
    told = "Not written down: stocks, scion wood, domes and hours at the bench; whether these are short cannot be told."
    assert sentence.endswith(f"for 1 wish. {told}")
    assert "Nothing" not in sentence


def test_what_is_short_does_not_hide_what_is_not_written_down(dome: Dome, now: Any) -> None:
    add_wishes(["1 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    told = "Not written down: stocks, scion wood and hours at the bench; whether these are short cannot be told."
    assert season_plan(today=TODAY).sentence.endswith(f"Nothing else is short. {told}")
    add_wishes(["90 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    assert season_plan(today=TODAY).sentence.endswith(f"1 thing short. {told}")


def test_scion_wood_of_some_cultivars_alone_is_said_so(tree: MotherTree, now: Any) -> None:
    add_wishes(["2 Red Tarn", "2 Lanthorn"], season=2026, today=TODAY, assurance=0.9, now=now)
    assert "scion wood of some cultivars" in season_plan(today=TODAY).sentence


def test_with_everything_written_down_nothing_is_short(
    cultivar: Cultivar, dome: Dome, tree: MotherTree, nursery: Nursery, now: Any
) -> None:
    save_noun(RootstockLot, {"name": "26-A", "count": 500}, now=now)
    save_noun(Nursery, {"bench_hours_a_week": 20}, pk=nursery.pk, now=now)
    add_wishes(["1 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    assert season_plan(today=TODAY).sentence.endswith("for 1 wish. Nothing is short.")


def test_this_year_s_grafts_are_said_to_wait(record: None, graft: Callable[..., Written], now: Any) -> None:
    graft(3)
    add_wishes(["2 Red Tarn"], season=2026, today=TODAY, assurance=0.9, now=now)
    assert season_plan(today=TODAY).waiting.startswith("3 grafts wait for spring:")
    assert season_plan(today=TODAY).to_dict()["waiting"]


def test_wishes_without_a_botanical_name_count_on_what_the_named_ones_leave(nursery: Nursery, now: Any) -> None:
    for number, name in enumerate(("27-A", "27-B"), start=1):
        save_noun(RootstockLot, {"name": name, "species": "Acer palmatum", "count": 100 * number}, now=now)
    save_noun(Cultivar, {"spoken": "Gold Scree", "botanical": "Acer palmatum 'Gold Scree'"}, now=now)
    add_wishes(["5 Gold Scree", "200 Orrery"], season=2026, today=TODAY, assurance=0.9, now=now)
    found = season_plan(today=TODAY)
    rows = {each.name: each for each in found.resources}
    assert rows["Acer stocks"].have == 300
    assert rows["Any stocks"].have == 300 - rows["Acer stocks"].needed
    assert "Stocks counted: 100 of 27-A and 200 of 27-B. A wish without a botanical name may use any of them." in found.assumed
    assert any(words.startswith("Rootstocks of any kind: ") for words in found.short)


def test_where_a_lot_was_never_counted_it_is_not_known_what_serves_any_wish(nursery: Nursery, now: Any) -> None:
    save_noun(RootstockLot, {"name": "27-A", "species": "Acer palmatum", "count": 100}, now=now)
    save_noun(RootstockLot, {"name": "27-B", "species": "Betula pendula"}, now=now)
    add_wishes(["5 Orrery"], season=2026, today=TODAY, assurance=0.9, now=now)
    assert {each.name: each.have for each in season_plan(today=TODAY).resources}["Any stocks"] is None


def test_many_wishes_ask_the_book_no_oftener_than_few(nursery: Nursery, now: Any) -> None:
    asked = []
    for names in (["2 First Moss", "2 Second Moss"], [f"2 Moss {letter * 3}" for letter in "ABCDEFGH"]):
        add_wishes(names, season=2026, today=TODAY, assurance=0.9, now=now)
        with CaptureQueriesContext(connection) as said:
            season_plan(today=TODAY)
        asked.append(len(said))
    assert asked[1] == asked[0]
