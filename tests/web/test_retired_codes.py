"""A label that hangs on the wrong plant: its own is gone, two carry one code, or it comes from elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client

from scionary.book.commands import Written, correct
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Event, Nursery, Plant
from scionary.names import code_of, grouped
from web.rendered import check_page

pytestmark = pytest.mark.django_db


def code(plant: Plant) -> str:
    return code_of(plant.code_number or 0)


@pytest.fixture
def bench(client: Client, nursery: Nursery) -> BenchDay:
    client.post("/bench/new/", {"cultivar": "Ash Gill", "day": "2026-02-14", "event_id": str(uuid7())})
    return BenchDay.objects.get()


@pytest.mark.parametrize(
    ("kind", "payload", "said", "first"),
    [
        ("left", {"how": "sale"}, "CAUTION: Red Tarn 1 was sold on 15 Feb 2026.", "undo its leaving in its story"),
        ("left", {"how": "gift"}, "CAUTION: Red Tarn 1 was given away on 15 Feb 2026.", "undo its leaving in its story"),
        ("lost", {}, "CAUTION: Red Tarn 1 was recorded as lost on 15 Feb 2026.", "it counts as alive"),
    ],
)
def test_a_retired_code_says_whose_it_was_when_it_left_and_two_steps(
    client: Client, plant: Plant, write: Any, kind: str, payload: dict[str, str], said: str, first: str
) -> None:
    write(kind, plant, days=1, **payload)
    page = check_page(client.get("/plants/", {"q": code(plant)}))
    alert = page[page.index('role="alert"') :]
    assert said in alert
    assert alert.index(first) < alert.index("take this label off: its code means Red Tarn 1 for ever")
    assert f'href="/plants/{plant.pk}/"' in alert
    assert "needs a label of its own" in check_page(client.get(f"/plants/{plant.pk}/"))


def test_a_plant_that_is_here_gets_no_such_alarm(client: Client, plant: Plant) -> None:
    assert 'role="alert"' not in check_page(client.get("/plants/", {"q": code(plant)}))


def test_a_code_that_a_plant_has_is_refused_at_the_bench_and_nothing_typed_is_lost(
    client: Client, plant: Plant, write: Any, bench: BenchDay
) -> None:
    typed = {"codes": f"{grouped(code(plant))}", "stock": "6.8", "label_medium": "pencil", "event_id": str(uuid7())}
    here = client.post(f"/bench/{bench.pk}/graft/", typed)
    assert here.status_code == 422
    text = check_page(here)
    assert f"with {grouped(code(plant))} before: Red Tarn 1, not known yet since 2026-02-14." in text
    assert all(f'value="{typed[name]}"' in text for name in ("codes", "stock", "label_medium"))
    write("left", plant, days=1, how="sale")
    gone = check_page(client.post(f"/bench/{bench.pk}/graft/", typed))
    assert "Red Tarn 1, left by sale or gift since 2026-02-15. Nothing is written down." in gone
    assert Event.objects.filter(kind="grafted").count() == 1


def test_a_code_of_another_book_is_said_so_where_it_is_looked_up_and_at_the_bench(client: Client, plant: Plant, bench: BenchDay) -> None:
    foreign = code_of(5_000_000)
    assert "It was never issued by this book: is the label from another nursery?" in check_page(client.get("/plants/", {"q": foreign}))
    refused = client.post(f"/bench/{bench.pk}/graft/", {"codes": foreign, "event_id": str(uuid7())})
    assert refused.status_code == 422
    assert f"{grouped(foreign)} was never issued by this book. Is the label from another nursery" in check_page(refused)


def test_two_plants_with_one_code_are_told_apart_from_their_page(client: Client, graft: Callable[..., Written], now: datetime) -> None:
    made = graft(2)
    correct(made.events[1], {"code_number": made.plants[0].code_number}, now=now)
    shared = code(made.plants[0])
    assert "2 plants carry this code" in check_page(client.get("/plants/", {"q": shared}))
    page = check_page(client.get(f"/plants/{made.plants[1].pk}/"))
    assert "Red Tarn 1 carries the same code" in page
    assert f'action="/plants/{made.plants[1].pk}/new-code/"' in page
    done = check_page(client.post(f"/plants/{made.plants[1].pk}/new-code/", follow=True))
    assert "has the code" in done
    assert "carries the same code" not in done
    assert client.post(f"/plants/{made.plants[1].pk}/new-code/").status_code == 422
    assert client.get(f"/plants/{made.plants[1].pk}/new-code/").status_code == 405


def test_labels_that_were_printed_are_written_down_as_hung(client: Client, bench: BenchDay) -> None:
    client.post(f"/bench/{bench.pk}/graft/", {"event_id": str(uuid7())})
    plant = Plant.objects.get()
    page = check_page(client.get(f"/bench/{bench.pk}/"))
    assert 'name="medium" value="printed"' in page
    sent = {"kind": "relabelled", "medium": "printed", "plant": str(plant.pk), "next": f"/bench/{bench.pk}/"}
    form = client.post("/plants/several/", sent).context["form"]
    assert form["medium"].value() == "printed"
    assert client.get(f"/plants/{plant.pk}/write/relabelled/?medium=printed").context["form"]["medium"].value() == "printed"
