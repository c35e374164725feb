"""Fixtures that every folder of tests may use: a moment, a started book, and makers of its nouns and events."""

from __future__ import annotations

import gc
import os
import signal
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, settings

from nursery_clock import today_at_nursery
from scionary.answers.growing_year import in_leaf_season
from scionary.book.commands import GraftSetup, Written, save_noun, start_book, write_event, write_grafts
from scionary.book.models import Cultivar, Dome, Event, Method, MotherTree, Nursery, Plant, RootstockLot, Trial
from scionary.book.projection import columns, rebuild
from scionary.book.record import Answer
from served import rebuilt_after

settings.register_profile("short", deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
settings.register_profile("long", deadline=None, max_examples=2_000, print_blob=True, suppress_health_check=list(HealthCheck))
settings.load_profile(os.environ.get("SCIONARY_HYPOTHESIS", "short"))

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # in the background of a shell: what tests start would not hear Ctrl+C either
    signal.signal(signal.SIGINT, signal.default_int_handler)

NOW = datetime(2026, 2, 14, 10, 30, tzinfo=UTC)


def pytest_collection_finish() -> None:
    """What was read in for the tests stays to the end: the collector of garbage need not look at all of it again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 25, 50)


@pytest.fixture(autouse=True)
def _columns_equal_a_rebuild(request: pytest.FixtureRequest) -> Iterator[None]:
    """On every book that a test makes, the columns are what a rebuild from events alone gives.

    Short form: of the tests beside the record's own, one in three is looked at, always the same ones. Long form: SCIONARY_REBUILD=all.
    """
    uses_book = request.node.get_closest_marker("django_db") or {"db", "transactional_db"} & set(request.fixturenames)
    name = request.node.nodeid
    looked_at = "tests/book/" in name or rebuilt_after(name)
    if not uses_book or not looked_at:
        yield
        return
    request.getfixturevalue("db")
    yield
    if Event.objects.exclude(kind="edited").exists():
        before = columns()
        rebuild()
        assert columns() == before


@pytest.fixture
def now() -> datetime:
    return NOW


@pytest.fixture
def nursery(db: None, now: datetime) -> Nursery:
    """A started book: the nursery with its pot kinds and methods."""
    return start_book(now=now, name="Tarn Bridge", latitude_deg=47.2, altitude_m=610.0, time_zone="Europe/Zurich")


@pytest.fixture
def cultivar(nursery: Nursery, now: datetime) -> Cultivar:
    return save_noun(Cultivar, {"spoken": "Red Tarn"}, now=now)


@pytest.fixture
def dome(nursery: Nursery, now: datetime) -> Dome:
    return save_noun(Dome, {"name": "Dome 1", "stands": "north window"}, now=now)


@pytest.fixture
def lot(nursery: Nursery, now: datetime) -> RootstockLot:
    return save_noun(RootstockLot, {"name": "24-B", "count": 60, "diameter_mm": 7.0}, now=now)


@pytest.fixture
def tree(cultivar: Cultivar, now: datetime) -> MotherTree:
    return save_noun(MotherTree, {"name": "the old tree by the gate", "cultivar": cultivar, "sticks_a_season": 40}, now=now)


@pytest.fixture
def method(nursery: Nursery) -> Method:
    return Method.objects.get(name="Side graft, leafy, summer")


@pytest.fixture
def graft(cultivar: Cultivar, now: datetime) -> Callable[..., Written]:
    """Writes down grafts of Red Tarn, one unless told otherwise; further words are those of `GraftSetup`."""

    def write(count: int = 1, *, days: float = 0, device: str = "", who: str = "", places: tuple[int, ...] = (), **more: Any) -> Written:
        setup = GraftSetup(**{"cultivar": cultivar.pk, "happened_at": now + timedelta(days=days), **more})
        return write_grafts(setup, count, now=now + timedelta(days=max(days, 0)), device=device, who=who, places=places)

    return write


@pytest.fixture
def plant(graft: Callable[..., Written]) -> Plant:
    return graft().plants[0]


@pytest.fixture
def write(nursery: Nursery, now: datetime) -> Callable[..., Answer]:
    """Writes one event so many days after `now`: write("scored", plant, sign="firm", answer="yes", days=31)."""

    def write_one(kind: str, subject: Plant | Dome | str, *, days: float = 0, who: str = "", device: str = "", **payload: Any) -> Answer:
        key = subject if isinstance(subject, str) else subject.key
        moment = now + timedelta(days=days)
        plain = {name: str(value) if isinstance(value, UUID) else value for name, value in payload.items()}
        return write_event(kind, key, plain, happened_at=moment, now=max(now, moment), who=who, device=device)

    return write_one


@pytest.fixture
def in_leaf(nursery: Nursery) -> None:
    """The nursery lies where trees stand in leaf today."""
    _on_the_side(nursery, in_leaf=True)


@pytest.fixture
def out_of_leaf(nursery: Nursery) -> None:
    """The nursery lies where trees stand bare today."""
    _on_the_side(nursery, in_leaf=False)


def _on_the_side(nursery: Nursery, *, in_leaf: bool) -> None:
    today = today_at_nursery()
    latitude = next(degrees for degrees in (47.2, -37.0) if in_leaf_season(today, degrees) is in_leaf)
    save_noun(Nursery, {"latitude_deg": latitude}, now=timezone.now(), pk=nursery.pk)


@pytest.fixture
def trial(dome: Dome, now: datetime) -> Callable[..., Trial]:
    """Keeps a trial of two films on four places of Dome 1, from the day of `now` on; further words are columns."""

    def keep(**more: Any) -> Trial:
        block = {"dome": str(dome.pk), "name": dome.name, "filling": 1, "places": [1, 2, 3, 4], "arms": [0, 1, 1, 0]}
        begins: date = now.date()
        values = {"name": "Film or rubber", "arms": ["film", "rubber"], "begins_on": begins, "made_at": now, "seed": 20, "layout": [block]}
        return save_noun(Trial, {**values, **more}, now=now)

    return keep
