"""Undoing a bag that plants were grafted from: it is asked about, and nothing more is grafted from it."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from scionary.answers.bench_setting import BenchSetting, set_bench
from scionary.answers.cuttings import standing_cut
from scionary.book.bags import Cut, cut_scions
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Event, Graft, MotherTree, Nursery, ScionBag
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def bag(nursery: Nursery, tree: MotherTree) -> ScionBag:
    return cut_scions(Cut(tree, 12, timezone.now()), nursery, now=timezone.now()).bag


@pytest.fixture
def bench(nursery: Nursery, bag: ScionBag) -> BenchDay:
    """A bench that is set on the bag, with two grafts."""
    now = timezone.now()
    setting = BenchSetting("Red Tarn", now.astimezone(nursery.zone).date(), dome="Dome 1", bag=bag.name)
    return set_bench(setting, count=2, nursery=nursery, now=now, ident=uuid7()).bench


def undo(client: Client, bag: ScionBag, **more: str) -> Any:
    return client.post("/undo/", {"event": str(standing_cut(bag)), "next": "/bench/yard/", **more})


def test_the_undo_asks_and_names_the_grafts(client: Client, bag: ScionBag, bench: BenchDay) -> None:
    asked = undo(client, bag)
    assert asked.status_code == 200
    page = check_page(asked)
    assert f"2 grafts were made from {bag.name}: Red Tarn 1 and Red Tarn 2." in page
    assert standing_cut(bag) is not None  # nothing is undone yet
    assert undo(client, bag, sure="yes").status_code == 303
    assert standing_cut(bag) is None
    assert Graft.objects.filter(bag=bag).count() == 2


def test_a_bag_that_nothing_was_grafted_from_is_undone_at_once(client: Client, bag: ScionBag) -> None:
    assert undo(client, bag).status_code == 303
    assert standing_cut(bag) is None


def test_the_next_graft_from_it_is_refused_until_the_bench_is_changed(client: Client, bag: ScionBag, bench: BenchDay) -> None:
    undo(client, bag, sure="yes")
    address = f"/bench/{bench.pk}/"
    page = check_page(client.get(address))
    assert "no bag of this book any more" in page
    assert "Next graft" not in page
    assert client.get("/bench/new/", {"bag": str(bag.pk)}).context["form"].initial.get("bag") != bag.name
    response = client.post(f"{address}graft/", {"event_id": str(uuid7())})
    assert response.status_code == 422
    assert f"The cutting of {bag.name} was undone." in response.content.decode()
    assert Event.objects.filter(kind="grafted").count() == 2
    change = check_page(client.get(f"{address}change/"))
    assert f'value="{bag.name}"' not in change.split("<datalist")[0]
    given = {"cultivar": "Red Tarn", "day": bench.day.isoformat(), "dome": "Dome 1"}
    assert client.post(f"{address}change/", {**given, "bag": bag.name}).status_code == 422
    assert client.post(f"{address}change/", given).status_code == 303
    assert client.post(f"{address}graft/", {"event_id": str(uuid7())}).status_code == 303
    assert Event.objects.filter(kind="grafted").count() == 3


def test_a_cutting_brought_back_is_grafted_from_again(client: Client, bag: ScionBag, bench: BenchDay) -> None:
    undo(client, bag, sure="yes")
    undoing = Event.objects.get(kind="corrected", payload__replace__isnull=True)
    client.post("/undo/", {"event": str(undoing.pk)})
    assert client.post(f"/bench/{bench.pk}/graft/", {"event_id": str(uuid7())}).status_code == 303
