"""One fit a stage, remembered by what the records say; a large book is fitted beside the pages."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from django.test import Client

from scionary.answers import take_model as module
from scionary.answers.early_signs import waiting_chances
from scionary.answers.rates import rates
from scionary.answers.take_model import TakeModel, learn, take_model, without_waiting
from scionary.book import queries
from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Event, Job, MotherTree, Nursery, RootstockLot, Sensor
from scionary.book.readings import store_readings
from scionary.book.record import Answer
from scionary.errors import BadValue, Stopped

pytestmark = pytest.mark.django_db
Write = Callable[..., Answer]
Grafts = Callable[..., Written]


def grafts_with_ends(graft: Grafts, write: Write, takes: int, total: int, *, days: int = 0, **more: Any) -> None:
    for i, plant in enumerate(graft(total, days=days, **more).plants):
        write("scored", plant, sign="firm", answer="yes" if i < takes else "no", days=days + 31)


def small_is_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "QUICK_GRAFTS", 2)


def test_the_model_knows_tree_lot_season_day_and_filling(
    graft: Grafts, write: Write, tree: MotherTree, lot: RootstockLot, dome: Dome, now: Any
) -> None:
    other = save_noun(MotherTree, {"name": "the young tree", "cultivar": tree.cultivar}, now=now)
    for days, source in ((0, tree), (3, other), (400, tree)):
        grafts_with_ends(graft, write, 3, 4, days=days, tree=source.pk, lot=lot.pk, dome=dome.pk)
    model = take_model("firm")
    assert set(model.fit.cells.factors) == {"cultivar", "tree", "lot", "season", "day", "dome"} - set(model.alias)
    assert int(model.fit.cells.grafts.sum()) == 12
    assert len(model.fit.cells.level_names("day")) == 3
    assert len(model.fit.cells.level_names(model.alias.get("dome", ("dome",))[0])) == 2  # days three apart are one filling


def test_what_changes_no_result_is_not_fitted_again(graft: Grafts, write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    grafts_with_ends(graft, write, 2, 3)
    before = take_model("firm")
    monkeypatch.setattr("scionary.take.fit_take", None)
    write("observed", queries.plants()[0], seen="unchanged", days=40)
    assert take_model("firm").content == before.content


def test_a_new_name_is_shown_without_another_fit(
    graft: Grafts, write: Write, cultivar: Cultivar, monkeypatch: pytest.MonkeyPatch, now: Any
) -> None:
    grafts_with_ends(graft, write, 2, 3)
    take_model("firm")
    monkeypatch.setattr("scionary.take.fit_take", None)
    save_noun(Cultivar, {"spoken": "Red Tarn of the gate"}, pk=cultivar.pk, now=now)
    assert take_model("firm").names["cultivar"][str(cultivar.pk)] == "Red Tarn of the gate"


def test_what_falls_alike_later_is_another_model(graft: Grafts, write: Write, dome: Dome) -> None:
    for days in (0, 400):
        grafts_with_ends(graft, write, 2, 3, days=days)
    before = take_model("firm")
    for event in Event.objects.filter(kind="grafted"):
        write("corrected", event.subjects.get(key__startswith="plant:").key, target=str(event.pk), replace={"dome": str(dome.pk)}, days=500)
    after = take_model("firm")
    assert ("dome" in before.alias, "dome" in after.alias) == (False, True)
    assert before.content != after.content


def test_readings_that_come_without_an_event_are_seen(graft: Grafts, write: Write, dome: Dome, now: Any) -> None:
    for days in (0, 60):
        grafts_with_ends(graft, write, 6, 11, days=days, dome=dome.pk)
    sensor = save_noun(Sensor, {"name": "by the door", "dome": dome}, now=now)
    hours = np.arange(24 * 74)
    rows = np.column_stack([now.timestamp() + 3600.0 * hours, np.full(hours.size, 18.0), 60.0 + 30.0 * (hours < 24 * 30)])
    store_readings(sensor, rows)
    before = take_model("firm")
    assert before.fit.cells.scales["vpd_kpa"].measured == 22
    between = rows[:48] + np.array([1800.0, 0.0, 0.0])
    between[:, 2] = 20.0
    store_readings(sensor, between)
    assert take_model("firm").content != before.content


def test_a_page_of_a_large_book_shows_the_last_fit_and_says_so(
    graft: Grafts, write: Write, monkeypatch: pytest.MonkeyPatch, client: Client
) -> None:
    grafts_with_ends(graft, write, 3, 4)
    first = take_model("firm")
    small_is_large(monkeypatch)
    grafts_with_ends(graft, write, 0, 4, days=60)
    with without_waiting():
        shown = take_model("firm")
        words = rates("firm").behind
    assert (shown.content, shown.behind) == (first.content, True)
    assert words == "What was written down lately is still being worked into these rates."
    assert words in client.get("/findings/?stage=firm").content.decode()
    assert take_model("firm").content != first.content  # who may wait gets the records as they are


def test_the_work_beside_the_pages_brings_the_fit_up_to_date(
    graft: Grafts, write: Write, monkeypatch: pytest.MonkeyPatch, now: Any
) -> None:
    grafts_with_ends(graft, write, 3, 4)
    take_model("firm")
    small_is_large(monkeypatch)
    grafts_with_ends(graft, write, 0, 4, days=60)
    told: list[float] = []
    learn({}, lambda share, word: told.append(share) is None, now)()
    with without_waiting():
        shown: TakeModel = take_model("firm")
    assert int(shown.fit.cells.grafts.sum()) == 8
    assert not shown.behind
    assert told == sorted(told)


def test_another_book_in_the_same_folder_lends_no_fit(
    graft: Grafts, write: Write, monkeypatch: pytest.MonkeyPatch, nursery: Nursery
) -> None:
    grafts_with_ends(graft, write, 3, 4)
    mine = take_model("firm")
    small_is_large(monkeypatch)
    grafts_with_ends(graft, write, 0, 4, days=60)
    with without_waiting():
        assert take_model("firm").content == mine.content
        Nursery.objects.filter(pk=nursery.pk).update(id=uuid7())  # from here on this is another person's book
        assert take_model("firm").content != mine.content


def test_the_work_can_be_stopped(graft: Grafts, write: Write, monkeypatch: pytest.MonkeyPatch, now: Any) -> None:
    grafts_with_ends(graft, write, 3, 4)
    small_is_large(monkeypatch)
    with pytest.raises(Stopped):
        learn({}, lambda share, word: False, now)


def test_something_written_has_a_large_book_learned_from_once(
    graft: Grafts, client: Client, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Callable[..., Any]
) -> None:
    plants = graft(4).plants
    small_is_large(monkeypatch)
    for plant in plants[:2]:
        with django_capture_on_commit_callbacks(execute=True):
            answer = client.post(f"/plants/{plant.pk}/write/suckers_rubbed/", {"event_id": str(uuid7()), "on": "2026-02-20"})
        assert answer.status_code < 400, answer.content.decode()
    assert Job.objects.filter(work="learn from results").count() == 1


def test_an_empty_book_has_what_was_supposed(nursery: Any, cultivar: Cultivar) -> None:
    model = take_model("firm")
    assert len(model.fit.cells) == 0
    assert model.place("cultivar", str(cultivar.pk)) is None
    assert waiting_chances([]) == {}


def test_an_unknown_stage_is_refused_with_the_choices(nursery: Any) -> None:
    with pytest.raises(BadValue, match="firm, growing, in_leaf"):
        take_model("rooted")
