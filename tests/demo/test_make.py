"""The demo book as a whole."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from django.test import override_settings

from scionary.answers import kept
from scionary.answers.dome_model import learn_fits
from scionary.answers.dome_opening import opening_of
from scionary.answers.dome_outlook import outlook_of
from scionary.answers.domes import dome_answer
from scionary.answers.due import due
from scionary.answers.growing_year import growing_year
from scionary.book import queries
from scionary.book.commands import save_noun, start_book
from scionary.book.kinds import BESIDE, KINDS
from scionary.book.left_flags import NAME_FLAGS
from scionary.book.models import (
    Cultivar,
    Dome,
    Event,
    Graft,
    KeptAside,
    MotherTree,
    Nursery,
    Plant,
    RawFile,
    RootstockLot,
    Sensor,
    SensorDay,
    Wish,
)
from scionary.book.projection import columns, rebuild
from scionary.demo import DemoSummary, make_demo
from scionary.demo.tarn_bridge import PROTECTED, SOLD_AS, VARIETIES
from scionary.errors import BadValue, BookNotEmpty, Stopped
from scionary.names import botanical_name

TODAY = date(2026, 11, 25)
SOME_DAYS = [date(2026, 2, 10), date(2026, 7, 15), TODAY]


@dataclass
class Book:
    """What one demo book held, as plain values; the book itself is gone."""

    summary: DemoSummary
    truth: dict[str, Any]
    plants: list[dict[str, Any]]
    grafts: list[dict[str, Any]]
    kinds: Counter[str]
    latest: datetime
    standing: dict[str, int]
    due: list[str]
    rebuilt: bool
    lots: dict[str, tuple[int, int]]
    wished: list[tuple[int, date | None]]
    counts: dict[str, int]
    codes: list[int]
    raised: list[tuple[UUID, UUID]]
    domes_lack: dict[str, str]
    tomorrow: dict[str, bool]
    vent_steps: list[dict[str, Any]]


@pytest.fixture
def book_on(django_db_setup: None, django_db_blocker: Any) -> Any:
    """The demo book of a day; each is made once and read into plain values."""

    def made(today: date, again: int = 0) -> Book:
        with django_db_blocker.unblock():
            return _book(today, again)

    return made


@cache
def _book(today: date, again: int) -> Book:
    with transaction.atomic():
        summary = make_demo(today=today, now=datetime(today.year, today.month, today.day, 11, tzinfo=UTC))
        book = _look(summary, today)
        transaction.set_rollback(True)
    return book


def _look(summary: DemoSummary, today: date) -> Book:
    before = columns()
    plants, grafts = list(Plant.objects.order_by("id").values()), list(Graft.objects.order_by("id").values())
    standing = {dome.name: queries.plants_in(dome).filter(state__in=queries.STANDING).count() for dome in queries.domes_in_use()}
    tasks = [line.step for line in due(today=today).lines]
    rebuild()
    foretold = _foretold(today) if today == TODAY else ({}, {}, [])
    models = (Cultivar, Dome, Sensor, MotherTree, RawFile, SensorDay, KeptAside, Wish)
    return Book(
        summary=summary,
        truth=queries.nursery().demo_truth or {},
        plants=plants,
        grafts=grafts,
        kinds=Counter(Event.objects.values_list("kind", flat=True)),
        latest=Event.objects.exclude(kind="edited").latest("happened_at").happened_at,
        standing=standing,
        due=tasks,
        rebuilt=columns() == before,
        lots={lot.name: (lot.count or 0, lot.grafts.count()) for lot in RootstockLot.objects.all()},
        wished=list(Wish.objects.values_list("season", "by_when")),
        counts={model.__name__: model._default_manager.count() for model in models},
        codes=list(Plant.objects.values_list("code_number", flat=True)),
        raised=list(MotherTree.objects.exclude(raised_from=None).values_list("pk", "raised_from_id")),
        domes_lack=foretold[0],
        tomorrow=foretold[1],
        vent_steps=foretold[2],
    )


def _foretold(today: date) -> tuple[dict[str, str], dict[str, bool], list[dict[str, Any]]]:
    """What each dome's log lacks for a fit; whether its own log stands behind what tomorrow brings; the steps that open Dome 2."""
    nursery = queries.nursery()
    with TemporaryDirectory() as folder, override_settings(DATA_FOLDER=Path(folder)):
        kept.forget()
        lacks = {str(ident): found.lacks for ident, found in learn_fits().items()}
        domes = list(Dome.objects.all())
        outlooks = [(dome.name, outlook_of(dome, None, nursery, today=today)) for dome in domes]
        opening = opening_of(dome_answer(Dome.objects.get(name="Dome 2").pk, today=today), nursery, today=today)
        kept.forget()
    return (
        {dome.name: lacks[str(dome.pk)] for dome in domes},
        {name: outlook is not None and outlook.model.fit is not None and outlook.foretold for name, outlook in outlooks},
        opening.to_dict() if opening else [],
    )


def test_the_book_holds_about_four_hundred_grafts_of_twenty_four_cultivars(book_on: Any) -> None:
    book = book_on(TODAY)
    assert 410 <= book.summary.grafts <= 440
    assert book.summary.plants == len(book.plants) < book.summary.grafts == len(book.grafts)
    assert book.summary.cultivars == book.counts["Cultivar"] == len(VARIETIES) == 24
    assert book.summary.wishes == book.counts["Wish"] == 12
    assert (book.counts["Dome"], book.counts["Sensor"], book.counts["RawFile"]) == (6, 6, 11)
    assert book.summary.readings > 30_000
    assert book.counts["KeptAside"] == 0


def test_the_grafts_lie_in_two_past_growing_years_and_under_cover_today(book_on: Any) -> None:
    book = book_on(TODAY)
    years = Counter(growing_year(g["grafted_at"].date(), 47.2) for g in book.grafts)
    assert book.summary.seasons == (2025, 2026)
    assert set(years) == {2025, 2026, 2027}  # the autumn grafts under cover belong to the year that they will grow in
    assert min(years[year] for year in book.summary.seasons) >= 170
    assert 20 <= years[2027] <= 40


def test_every_dome_is_fitted_to_its_own_log_and_tomorrow_is_foretold_from_it(book_on: Any) -> None:
    book = book_on(TODAY)
    assert book.domes_lack == dict.fromkeys(["Bench case", "Dome 1", "Dome 2", "Dome 3", "Dome 4", "Long case"], "")
    assert all(book.tomorrow.values())


def test_the_dome_that_was_looked_at_is_opened_by_steps_from_its_own_log(book_on: Any) -> None:
    steps = book_on(TODAY).vent_steps
    opened = [step["open_pct"] for step in steps]
    assert len(opened) >= 2
    assert opened == sorted(opened)
    assert all("kPa of a leaf" in step["why"] for step in steps[:2])


def test_the_same_seed_and_day_give_the_same_book(book_on: Any) -> None:
    first, second = book_on(TODAY), book_on(TODAY, again=1)
    made_with_the_book = ("method_id", "pot_kind_id")  # rows that every new book begins with have ids of their own

    def plain(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
        return [{name: value for name, value in row.items() if name not in made_with_the_book} for row in rows]

    assert plain(first.plants) == plain(second.plants)
    assert plain(first.grafts) == plain(second.grafts)
    assert first.truth == second.truth
    assert first.kinds == second.kinds


def test_columns_are_what_a_rebuild_from_events_gives(book_on: Any) -> None:
    assert book_on(TODAY).rebuilt


def test_the_truth_is_kept_for_every_cultivar_and_graft(book_on: Any) -> None:
    book = book_on(TODAY)
    assert len(book.truth["long_run"]) == 24
    assert all(0 < chance[stage] < 1 for chance in book.truth["long_run"].values() for stage in ("firm", "growing", "in_leaf"))
    assert Counter(g["plant"] for g in book.truth["grafts"]) == Counter(str(g["plant_id"]) for g in book.grafts)
    wrong = sum("really" in g for g in book.truth["grafts"])
    assert 0.01 < wrong / len(book.grafts) < 0.06
    assert [f["kind"] for f in book.truth["faults"]] == ["overheated", "dry", "overheated", "dry"]


def test_what_was_written_agrees_with_the_truth_but_for_slips(book_on: Any) -> None:
    book = book_on(TODAY)
    reached = {g["plant"]: g["reached"] for g in book.truth["grafts"]}
    seen = [(g["firm"] == "yes", reached[str(g["plant_id"])] != "") for g in book.grafts if g["firm"] and not g["replaced"]]
    assert len(seen) > 300
    assert sum(said == really for said, really in seen) / len(seen) > 0.93
    sprung = [(g["in_leaf"] == "yes", reached[str(g["plant_id"])] == "in_leaf") for g in book.grafts if g["in_leaf"] and not g["replaced"]]
    assert len(sprung) > 100
    assert all(said == really for said, really in sprung)


def test_records_have_gaps_mistakes_and_one_that_is_open(book_on: Any) -> None:
    book = book_on(TODAY)
    states = Counter(p["state"] for p in book.plants)
    assert all(states[state] > 0 for state in ("alive", "waiting", "dead", "left", "missing"))
    assert sum(bool(p["disputed"]) for p in book.plants) == 1
    assert book.kinds["corrected"] >= 5
    assert any(p["name_status"] == "confirmed" for p in book.plants)
    assert set(book.kinds) == set(KINDS) - BESIDE  # pictures and answers to lines of Due are a grower's own


def test_nothing_is_recorded_before_it_was_grafted(book_on: Any) -> None:
    allowed = {"the scion is thicker than the stock", *NAME_FLAGS}
    assert {flag for p in book_on(TODAY).plants for flag in p["flags"]} <= allowed


def test_no_lot_gives_more_stocks_than_it_holds_and_no_code_is_given_twice(book_on: Any) -> None:
    book = book_on(TODAY)
    assert all(used <= count for count, used in book.lots.values())
    assert len(set(book.codes)) == len(book.codes)


@pytest.mark.parametrize("today", SOME_DAYS, ids=str)
def test_whatever_the_day_grafts_stand_under_cover_and_something_is_due(book_on: Any, today: date) -> None:
    book = book_on(today)
    assert set(book.standing) == {"Dome 1", "Dome 2", "Dome 3"}
    assert 18 <= sum(book.standing.values()) <= 26
    assert {"check", "vent"} <= set(book.due)
    assert book.latest.date() < today


@pytest.mark.parametrize("today", SOME_DAYS, ids=str)
def test_wishes_are_for_the_coming_growing_year(book_on: Any, today: date) -> None:
    for season, by_when in book_on(today).wished:
        assert season >= growing_year(today, 47.2)
        assert by_when is not None
        assert by_when > today + timedelta(days=180)


@pytest.mark.parametrize("variety", VARIETIES, ids=lambda v: v.spoken)
def test_botanical_names_are_in_form(variety: Any) -> None:
    name = botanical_name(variety.botanical)
    assert (name.cultivar, name.genus, name.warnings) == (variety.spoken, variety.genus, ())


@pytest.mark.django_db
def test_a_book_that_holds_something_is_refused(now: datetime) -> None:
    start_book(now=now)
    save_noun(Cultivar, {"spoken": "Red Tarn"}, now=now)
    with pytest.raises(BookNotEmpty, match="already holds cultivars"):
        make_demo(today=now.date(), now=now)
    assert (Cultivar.objects.count(), Plant.objects.count()) == (1, 0)


@pytest.mark.django_db
@pytest.mark.parametrize("stopped_at", [0.0, 0.3])
def test_stopping_keeps_nothing(now: datetime, stopped_at: float) -> None:
    said: list[str] = []

    def progress(fraction: float, word: str) -> bool:
        said.append(word)
        return fraction < stopped_at

    with pytest.raises(Stopped, match="as it was before"):
        make_demo(today=now.date(), now=now, progress=progress)
    assert said
    assert not Plant.objects.exists()
    assert not Cultivar.objects.exists()
    assert not Nursery.objects.exists()


@pytest.mark.django_db
def test_a_day_far_from_now_is_refused(now: datetime) -> None:
    with pytest.raises(BadValue, match="today is"):
        make_demo(today=now.date() - timedelta(days=30), now=now)


def test_labels_hang_in_sun_shade_or_where_nobody_said(book_on: Any) -> None:
    assert {plant["label_light"] for plant in book_on(TODAY).plants} == {"sun", "shade", ""}


def test_a_trade_name_and_a_protection_belong_to_cultivars_of_the_nursery() -> None:
    assert {*SOLD_AS, *PROTECTED} <= {variety.spoken for variety in VARIETIES}
    assert all(values["protected"] and values["protection_register"] for values in PROTECTED.values())


@pytest.mark.parametrize("today", SOME_DAYS, ids=str)
def test_one_mother_tree_grew_from_a_living_plant_and_gave_wood_when_that_was_old_enough(book_on: Any, today: date) -> None:
    book = book_on(today)
    ((tree, parent),) = book.raised
    (plant,) = [plant for plant in book.plants if plant["id"] == parent]
    own = [graft["grafted_at"] for graft in book.grafts if graft["plant_id"] == parent]
    taken = [graft["grafted_at"] for graft in book.grafts if graft["tree_id"] == tree]
    assert plant["state"] == "alive"
    assert taken
    assert min(taken) - max(own) > timedelta(days=300)


def test_blades_are_cleaned_between_grafts_and_now_and_then_changed(book_on: Any) -> None:
    assert book_on(TODAY).kinds["blade_cleaned"] > 20


def test_plants_were_set_apart_and_released_and_a_name_was_doubted_for_a_while(book_on: Any) -> None:
    book = book_on(TODAY)
    assert book.kinds["quarantined"] == book.kinds["released"] == 3
    assert book.kinds["name_doubted"] == book.kinds["name_doubt_ended"] == 1
    assert not any(plant["quarantined_at"] or plant["name_doubted_at"] for plant in book.plants)
