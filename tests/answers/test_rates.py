"""Rates count grafts with a known outcome at a named stage, and say what they leave out."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

import pytest

from scionary.answers.outcomes import outcome
from scionary.answers.rates import coming_draws, counts, rates, usual_stage
from scionary.answers.stage_chain import stage_chain
from scionary.answers.take_model import take_model
from scionary.book import queries
from scionary.book.commands import Written, save_noun
from scionary.book.models import Cultivar, Dome, Graft, Method, Nursery, Plant, RootstockLot, Tally
from scionary.book.record import Answer, NewEvent, record_events
from scionary.errors import BadValue
from scionary.take import Rate as Kind

pytestmark = pytest.mark.django_db
Write = Callable[..., Answer]
Grafts = Callable[..., Written]


def two_devices_disagree(scored: UUID, plant: Plant, now: Any) -> None:
    """Two corrections of one event, neither written in knowledge of the other."""
    for answer in ("yes", "no"):
        payload = {"target": str(scored), "replace": {"answer": answer}}
        record_events([NewEvent("corrected", now, (plant.key,), payload)], now=now)


def test_two_of_three_says_little(graft: Grafts, write: Write) -> None:
    plants = graft(3).plants
    for plant, answer in zip(plants, ("yes", "yes", "no"), strict=True):
        write("scored", plant, sign="firm", answer=answer, days=31)
    assert rates("firm").sentence == "2 of 3, and that says little: 21 to 94 %."


def test_all_grafts_have_a_rate_in_the_long_run_and_one_next_season_beside_the_count(graft: Grafts, write: Write) -> None:
    for i, plant in enumerate(graft(40).plants):
        write("scored", plant, sign="firm", answer="yes" if i % 4 else "no", days=31)
    found = rates("firm")
    overall = [take_model("firm").fit.overall(kind) for kind in (Kind.LONG_RUN, Kind.NEXT_SEASON)]
    for words, one, kind in zip(found.whole_words, overall, ("in the long run", "next season"), strict=True):
        assert words == f"All grafts {kind}: {round(100 * one.mean)} %, {round(100 * one.low)} to {round(100 * one.high)} %."
    assert overall[1].high - overall[1].low > found.overall.high - found.overall.low
    assert "takes each graft as standing alone" in found.count_note


def test_a_graft_that_nobody_looked_at_is_neither_taken_nor_lost(graft: Grafts, write: Write) -> None:
    plants = graft(4).plants
    write("scored", plants[0], sign="firm", answer="yes", days=31)
    write("observed", plants[1], seen="missing", days=31)
    row = rates("firm").rows[0]
    assert (row.grafts, row.takes, row.unknown) == (1, 1, 3)
    assert any("3 grafts with no known outcome" in line for line in rates("firm").assumptions)


def test_a_lost_graft_counts_against_every_stage_that_it_did_not_reach(graft: Grafts, write: Write) -> None:
    plant = graft().plants[0]
    write("scored", plant, sign="firm", answer="yes", days=31)
    write("lost", plant, sign="shrivelled", days=90)
    row = Graft.objects.get()
    assert (
        outcome(row, "firm", queries.nursery()),
        outcome(row, "growing", queries.nursery()),
        outcome(row, "in_leaf", queries.nursery()),
    ) == (True, False, False)


def test_losses_do_not_count_before_the_stage_could_be_seen_on_the_others(graft: Grafts, write: Write) -> None:
    plants = graft(6).plants
    for plant in plants[:2]:
        write("lost", plant, days=20)
    assert (rates("in_leaf").overall.grafts, rates("in_leaf").overall.unknown) == (0, 6)
    for plant in plants[2:]:
        write("scored", plant, sign="in_leaf", answer="yes", days=460)
    assert (rates("in_leaf").overall.takes, rates("in_leaf").overall.grafts) == (4, 6)


def test_a_graft_only_looked_at_in_spring_says_nothing_of_the_stages_before(graft: Grafts, write: Write) -> None:
    plant = graft().plants[0]
    write("scored", plant, sign="in_leaf", answer="no", days=460)
    write("lost", plant, days=460)
    row = Graft.objects.get()
    assert (
        outcome(row, "firm", queries.nursery()),
        outcome(row, "growing", queries.nursery()),
        outcome(row, "in_leaf", queries.nursery()),
    ) == (None, None, False)


def test_a_day_whose_grafts_were_all_lost_counts_once_its_date_is_past(graft: Grafts, write: Write) -> None:
    for plant in graft(3).plants:
        write("lost", plant, days=20)
    assert rates("firm").overall.grafts == 0
    graft(1, days=40)
    assert (rates("firm").overall.takes, rates("firm").overall.grafts) == (0, 3)


def test_losses_wait_until_as_many_of_their_day_were_scored_as_stand_unscored(graft: Grafts, write: Write) -> None:
    plants = graft(8).plants
    for plant in plants[:2]:
        write("lost", plant, days=20)
    graft(1, days=60)  # the book goes on: firm could be seen for long
    assert (rates("firm").overall.grafts, rates("firm").overall.unknown) == (0, 9)
    for plant in plants[2:4]:
        write("scored", plant, sign="firm", answer="no", days=61)
    assert (rates("firm").overall.takes, rates("firm").overall.grafts) == (0, 2)
    write("scored", plants[4], sign="firm", answer="yes", days=61)
    assert (rates("firm").overall.takes, rates("firm").overall.grafts) == (1, 5)


def test_a_spring_that_nobody_scored_yet_does_not_count_the_winter_s_losses_alone(graft: Grafts, write: Write) -> None:
    plants = graft(6).plants
    for plant in plants:
        write("scored", plant, sign="growing", answer="yes", days=80)
    write("lost", plants[0], days=330)
    graft(1, days=480)
    assert rates("in_leaf").overall.grafts == 0
    assert not stage_chain().steps[-1].known


@pytest.mark.parametrize(
    ("sign", "answer", "days", "counted"),
    [
        ("firm", "yes", 20, None),  # a scion lives on its reserves for weeks
        ("firm", "yes", 21, True),
        ("growing", "no", 10, None),
        ("in_leaf", "yes", 100, None),  # leafing in its own year says nothing of the next
        ("in_leaf", "yes", 230, None),  # in October it still wears this year's leaves
        ("in_leaf", "no", 230, None),
        ("in_leaf", "yes", 330, True),
        ("in_leaf", "no", 280, None),  # November: every maple is bare
        ("in_leaf", "no", 460, False),
    ],
)
def test_what_cannot_be_told_yet_does_not_count(
    graft: Grafts, write: Write, sign: str, answer: str, days: int, counted: bool | None
) -> None:
    write("scored", graft().plants[0], sign=sign, answer=answer, days=days)
    assert outcome(Graft.objects.get(), sign, queries.nursery()) is counted


def test_a_coming_season_is_less_certain_than_the_long_run(graft: Grafts, write: Write) -> None:
    for i, plant in enumerate(graft(200).plants):
        write("scored", plant, sign="firm", answer="yes" if i % 2 else "no", days=31)
    long_run, coming = (rates("firm", kind=kind).rows[0] for kind in ("long_run", "next_season"))
    assert coming.high - coming.low > 1.2 * (long_run.high - long_run.low)
    assert abs(coming.mean - long_run.mean) < 0.02


def test_fillings_stand_by_dome_and_the_newest_first_and_days_the_newest_first(graft: Grafts, nursery: Nursery, now: Any) -> None:
    domes = {name: save_noun(Dome, {"name": name}, now=now).pk for name in ("Dome 2", "Dome 10")}
    for name, days in (("Dome 10", 0), ("Dome 2", -60), ("Dome 2", 330), ("Dome 2", 200)):
        graft(1, days=days, dome=domes[name])
    names = [row.name for row in counts("firm", "dome")[0]]
    assert [name.split(",")[0] for name in names] == ["Dome 2", "Dome 2", "Dome 2", "Dome 10"]
    keys = [row.key.rsplit(":", 1)[1] for row in counts("firm", "dome")[0]][:3]
    assert keys == sorted(keys, reverse=True)
    days = [row.key for row in counts("firm", "day")[0]]
    assert days == sorted(days, reverse=True)


def test_a_season_is_said_to_be_a_growing_year(graft: Grafts, write: Write) -> None:
    for plant in graft(3).plants:
        write("scored", plant, sign="firm", answer="yes", days=31)
    assert rates("firm", "season").year_words == "Growing year 2026: autumn 2025 to autumn 2026."
    assert rates("firm").year_words == ""


def test_a_factor_by_which_grafts_fall_as_by_another_has_the_same_rates(graft: Grafts, write: Write, dome: Dome) -> None:
    for days in (0, 400):
        for plant in graft(3, days=days, dome=dome.pk).plants:
            write("scored", plant, sign="firm", answer="yes", days=days + 31)
    by_day, by_season = (rates("firm", factor).rows for factor in ("dome", "season"))
    assert [(r.low, r.mean, r.high) for r in reversed(by_day)] == [(r.low, r.mean, r.high) for r in by_season]
    assert any("fall alike by season and by filling of a dome" in line for line in rates("firm").assumptions)


def test_a_method_that_all_grafts_have_has_the_chance_of_any_graft(graft: Grafts, write: Write, method: Method) -> None:
    for plant in graft(3, method=method.pk).plants:
        write("scored", plant, sign="firm", answer="yes", days=31)
    [row] = rates("firm", "method").rows
    assert (row.name, row.takes, row.grafts) == (str(method), 3, 3)
    assert 0.2 < row.low < row.mean < row.high < 1


def test_what_is_past_has_only_the_rate_for_comparing(graft: Grafts, write: Write) -> None:
    for plant in graft(3).plants:
        write("scored", plant, sign="firm", answer="yes", days=31)
    for factor in ("season", "day", "dome"):
        assert rates("firm", factor).kind == "reference"
        assert rates("firm", factor).ways == []
        with pytest.raises(BadValue, match=r"allowed: reference; a .* that is past has no other"):
            rates("firm", factor, "next_season")


def test_the_three_rates_of_the_best_known_level_stand_side_by_side(graft: Grafts, write: Write, now: Any) -> None:
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    for plant in [*graft(9).plants, *graft(4, cultivar=other.pk).plants]:
        write("scored", plant, sign="firm", answer="yes", days=31)
    found = rates("firm")
    assert found.example == "Red Tarn"
    for way in found.ways:
        row = next(row for row in rates("firm", kind=way.kind).rows if row.name == "Red Tarn")
        assert way.words == row.words
    assert [way.called for way in found.ways] == ["in the long run", "next season", "all else alike"]


def test_the_pull_is_told_by_the_row_that_is_pulled_furthest(graft: Grafts, write: Write, now: Any) -> None:
    for name, count in (("Red Tarn", 12), ("Ash Gill", 10), ("Lanthorn", 1)):
        kind = Cultivar.objects.filter(spoken=name).first() or save_noun(Cultivar, {"spoken": name}, now=now)
        for plant in graft(count, cultivar=kind.pk).plants:
            write("scored", plant, sign="firm", answer="no" if name == "Lanthorn" else "yes", days=31)
    found = rates("firm")
    row = next(row for row in found.rows if row.name == "Lanthorn")
    assert found.pull.startswith(f"Lanthorn: 0 of 1 took, yet its chance is put at {round(row.mean * 100)} %, because 1 graft says little")


def test_a_row_that_is_hardly_pulled_is_not_called_pulled(graft: Grafts, write: Write, now: Any) -> None:
    for at, name in enumerate(("Red Tarn", "Ash Gill", "Lanthorn")):
        kind = Cultivar.objects.filter(spoken=name).first() or save_noun(Cultivar, {"spoken": name}, now=now)
        for i, plant in enumerate(graft(30, cultivar=kind.pk, days=at).plants):
            write("scored", plant, sign="firm", answer="yes" if i < 20 else "no", days=at + 31)
    assert rates("firm").pull == ""


def test_what_was_measured_is_assumed_in_words(graft: Grafts, write: Write) -> None:
    for at, plant in enumerate(
        [*graft(15, scion_mm=3.0, stock_mm=6.0).plants, *graft(10, scion_mm=6.0, stock_mm=6.0).plants, *graft(5).plants]
    ):
        write("scored", plant, sign="firm", answer="yes" if at % 2 else "no", days=31)
    lines = rates("firm").assumptions
    assert (
        "Measured and taken into account: how thick the scion is against its stock (of 25 of 30 grafts). "
        "A graft without a measurement is taken as average in it." in lines
    )
    assert any(line.startswith("Coming grafts are taken as average in what was measured") for line in lines)
    assert not any("ratio is missing" in line or "vpd_kpa" in line for line in lines)
    assert any("0.8 by cultivar; 0.5 by season" in line for line in lines)


def test_an_unknown_kind_of_rate_is_refused_with_the_choices(nursery: Any) -> None:
    with pytest.raises(BadValue, match="long_run, next_season, reference"):
        rates("firm", kind="usual")


def test_grafts_count_and_not_plants(graft: Grafts, write: Write, cultivar: Cultivar) -> None:
    plant = graft().plants[0]
    write("scored", plant, sign="firm", answer="no", days=31)
    write("regrafted", plant, cultivar=cultivar.pk, days=40)
    write("scored", plant, sign="firm", answer="yes", days=75)
    row = rates("firm").rows[0]
    assert (row.grafts, row.takes) == (2, 1)


def test_a_disputed_outcome_is_left_out(graft: Grafts, write: Write, now: Any) -> None:
    plant = graft().plants[0]
    scored = write("scored", plant, sign="firm", answer="unsure", days=31)
    two_devices_disagree(scored.id, plant, now)
    assert outcome(Graft.objects.get(), "firm", queries.nursery()) is None


def test_leaves_of_its_own_year_say_nothing_in_the_south_either(graft: Grafts, write: Write, nursery: Any, now: Any) -> None:
    save_noun(Nursery, {"latitude_deg": -37.0}, pk=nursery.pk, now=now)
    plant = graft(days=-180).plants[0]  # August: the winter of the growing year 2025
    write("scored", plant, sign="in_leaf", answer="yes", days=70)  # April: leaves of that year
    assert outcome(Graft.objects.get(), "in_leaf", queries.nursery()) is None
    write("scored", plant, sign="in_leaf", answer="yes", days=250)  # October
    assert outcome(Graft.objects.get(), "in_leaf", queries.nursery()) is True


def test_tallies_from_before_the_book_count_at_their_stage(cultivar: Cultivar, now: Any) -> None:
    save_noun(Tally, {"cultivar": cultivar, "season": 2024, "grafts": 10, "takes": 8, "stage": "in_leaf"}, now=now)
    save_noun(Tally, {"cultivar": cultivar, "season": 2025, "grafts": 4, "takes": 1}, now=now)
    found = rates("in_leaf")
    assert (found.rows[0].grafts, found.rows[0].takes, found.unknown_stage) == (14, 9, 4)
    assert (rates("firm").rows[0].grafts, rates("firm").rows[0].takes) == (4, 1)
    assert [row.name for row in rates("in_leaf", "season").rows] == ["2024", "2025"]


def test_grafts_counted_twice_in_one_row_count_once(cultivar: Cultivar, now: Any) -> None:
    row = {"cultivar": cultivar, "season": 2024, "grafts": 12, "source": "old.csv row 2"}
    save_noun(Tally, {**row, "takes": 9}, now=now)
    save_noun(Tally, {**row, "takes": 8, "stage": "in_leaf"}, now=now)
    assert (rates("in_leaf").rows[0].grafts, rates("in_leaf").rows[0].takes) == (12, 8)
    assert (rates("firm").rows[0].grafts, rates("firm").rows[0].takes) == (12, 9)


def test_the_usual_stage_is_the_latest_of_which_something_took(graft: Grafts, write: Write) -> None:
    plant = graft().plants[0]
    assert usual_stage() == "firm"
    write("scored", plant, sign="in_leaf", answer="yes", days=460)
    assert usual_stage() == "in_leaf"


def test_records_that_name_no_stage_make_none_the_usual_one(cultivar: Cultivar, now: Any) -> None:
    save_noun(Tally, {"cultivar": cultivar, "season": 2024, "grafts": 40, "takes": 30}, now=now)
    assert usual_stage() == "firm"
    save_noun(Tally, {"cultivar": cultivar, "season": 2025, "grafts": 4, "takes": 3, "stage": "growing"}, now=now)
    assert usual_stage() == "growing"


def test_a_lot_with_a_season_of_its_own_is_said_to_hold_its_luck(graft: Grafts, write: Write, lot: RootstockLot, now: Any) -> None:
    other, third = (save_noun(RootstockLot, {"name": name}, now=now) for name in ("25-A", "26-A"))
    for days, one in ((0, lot), (400, other)):
        for plant in graft(30, days=days, lot=one.pk).plants:
            write("scored", plant, sign="firm", answer="yes", days=days + 31)
    graft(1, days=800, lot=third.pk)
    said = "Each stock lot has its own season, whose luck stays in its rates: their ranges are too narrow for another one."
    assert [said in rates("firm", "lot", kind).assumptions for kind in ("long_run", "next_season", "reference")] == [True, True, False]
    assert said not in rates("firm", "cultivar").assumptions
    known, new = (next(row for row in rates("firm", "lot").rows if row.name == name) for name in ("24-B", "26-A"))
    model = take_model("firm")
    season = model.fit.rates("season", Kind.LONG_RUN).new_level
    assert (new.mean, new.low, new.high) == (season.mean, season.low, season.high)
    assert new.low < known.low


def test_a_thin_record_is_pulled_towards_the_others(graft: Grafts, write: Write, now: Any) -> None:
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    for plant in graft(20).plants:
        write("scored", plant, sign="firm", answer="yes", days=31)
    write("scored", graft(cultivar=other.pk).plants[0], sign="firm", answer="no", days=31)
    ash, red = rates("firm").rows
    assert (ash.name, red.name) == ("Ash Gill", "Red Tarn")
    assert 0.2 < ash.mean < red.mean


def test_draws_cover_a_cultivar_without_record(graft: Grafts, write: Write, cultivar: Cultivar, now: Any) -> None:
    new = save_noun(Cultivar, {"spoken": "Merrybeck"}, now=now)
    for plant in graft(20).plants:
        write("scored", plant, sign="firm", answer="yes", days=31)
    draws, counted = coming_draws("firm", [cultivar.pk, new.pk])
    assert draws.shape == (4000, 2)
    assert counted[new.pk].grafts == 0
    assert draws[:, 1].std() > draws[:, 0].std()


@pytest.mark.parametrize(("stage", "factor", "said"), [("rooted", "cultivar", "stage is 'rooted'"), ("firm", "moon", "factor is 'moon'")])
def test_an_unknown_stage_or_factor_is_refused_with_the_choices(nursery: Any, stage: str, factor: str, said: str) -> None:
    with pytest.raises(BadValue, match=said):
        counts(stage, factor)


def test_an_empty_book_has_no_rates_and_says_so(nursery: Any) -> None:
    found = rates()
    assert found.rows == []
    assert found.sentence == "No graft has a known outcome at this stage yet."
