"""The bench day's page: one tap when the blade was cleaned."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Event
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(cultivar: Cultivar) -> BenchDay:
    values = {"day": today_at_nursery(), "cultivar": cultivar, "grafter": "Maren"}
    return save_noun(BenchDay, values, now=timezone.now())


def _tap(client: Client, bench: BenchDay, how: str, ident: str = "") -> str:
    response = client.post(f"/bench/{bench.pk}/blade/", {"how": how, "event_id": ident or str(uuid7())}, follow=True)
    return check_page(response)


@pytest.mark.parametrize("how", ["changed", "disinfected"])
def test_one_tap_writes_it_down_shows_it_in_the_list_and_offers_to_undo_it(client: Client, bench: BenchDay, how: str) -> None:
    client.post(f"/bench/{bench.pk}/graft/", {"event_id": str(uuid7())})
    text = _tap(client, bench, how)
    event = Event.objects.get(kind="blade_cleaned")
    assert event.payload == {"how": how, "grafter": "Maren"}
    assert f"Written down: blade {how}." in text
    assert f"Last written: blade {how}" in text
    cut = text.index('<li class="row cut">')
    assert f"Blade {how}, " in text[cut:]
    assert '<span class="said">Red Tarn 1</span>' in text[cut:]
    client.post("/undo/", {"event": str(event.pk)})
    assert 'class="row cut"' not in check_page(client.get(f"/bench/{bench.pk}/"))


def test_a_double_tap_writes_once(client: Client, bench: BenchDay) -> None:
    ident = str(uuid7())
    for _ in range(2):
        _tap(client, bench, "changed", ident)
    assert Event.objects.filter(kind="blade_cleaned").count() == 1


def test_looking_cleans_nothing_and_what_cannot_be_is_refused(client: Client, bench: BenchDay) -> None:
    assert client.get(f"/bench/{bench.pk}/blade/").status_code == 405
    assert client.post(f"/bench/{bench.pk}/blade/", {"how": "licked"}).status_code == 422
    assert client.post(f"/bench/{uuid7()}/blade/", {"how": "changed"}).status_code in (404, 422)
    assert not Event.objects.filter(kind="blade_cleaned").exists()


def test_a_bench_of_another_day_offers_no_tap(client: Client, bench: BenchDay) -> None:
    assert 'value="disinfected"' in check_page(client.get(f"/bench/{bench.pk}/"))
    save_noun(BenchDay, {"day": today_at_nursery() - timedelta(days=3)}, now=timezone.now(), pk=bench.pk)
    assert 'value="disinfected"' not in check_page(client.get(f"/bench/{bench.pk}/"))


def test_after_the_next_graft_the_page_offers_to_undo_that_and_not_the_blade(client: Client, bench: BenchDay) -> None:
    _tap(client, bench, "changed")
    text = check_page(client.post(f"/bench/{bench.pk}/graft/", {"event_id": str(uuid7())}, follow=True))
    assert "Last written" not in text
    assert "Undo Red Tarn 1" in text
