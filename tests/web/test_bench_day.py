"""A bench day: one tap a graft, undo, batches, flags, labels."""

from __future__ import annotations

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.growing_year import year_at
from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import AcceptedPlan, BenchDay, Cultivar, Dome, Event, Method, Nursery, Plant, RootstockLot
from scionary.names import code_of, grouped
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(cultivar: Cultivar, dome: Dome, method: Method, lot: RootstockLot) -> BenchDay:
    values = {"day": today_at_nursery(), "cultivar": cultivar, "dome": dome, "method": method, "lot": lot}
    return save_noun(BenchDay, values, now=timezone.now())


def _graft(client: Client, bench: BenchDay, **typed: str) -> str:
    response = client.post(f"/bench/{bench.pk}/graft/", {"event_id": str(uuid7()), **typed}, follow=True)
    return check_page(response)


def test_one_tap_writes_one_graft_and_shows_what_to_write_on_its_label(client: Client, bench: BenchDay) -> None:
    text = _graft(client, bench)
    plant = Plant.objects.get()
    code = code_of(plant.code_number)
    assert "Red Tarn 1" in text
    assert grouped(code) in text
    assert "Next graft: Red Tarn 2" in text
    assert plant.grafts.get().lot_id == bench.lot_id


def test_a_double_tap_writes_once(client: Client, bench: BenchDay) -> None:
    ident = str(uuid7())
    for _ in range(2):
        _graft(client, bench, event_id=ident)
    assert Event.objects.filter(kind="grafted").count() == 1
    assert Plant.objects.count() == 1


def test_twelve_alike_are_written_in_one_step(client: Client, bench: BenchDay) -> None:
    text = _graft(client, bench, count="12")
    assert Plant.objects.count() == 12
    assert "12 made" in text


def test_the_counter_counts_against_the_plan(client: Client, bench: BenchDay, cultivar: Cultivar, nursery: Nursery) -> None:
    now = timezone.now()
    year = year_at(bench.day, nursery)
    values = {"season": year, "accepted_at": now, "lines": [{"cultivar": str(cultivar.pk), "grafts": 14}]}
    save_noun(AcceptedPlan, values, now=now)
    assert "1 of 14" in _graft(client, bench)


def test_undo_takes_back_the_last_graft_once(client: Client, bench: BenchDay) -> None:
    _graft(client, bench, count="2")
    last = Plant.objects.order_by("-running_number").first().grafts.get()
    for _ in range(2):
        check_page(client.post(f"/bench/{bench.pk}/undo/", {"event_id": str(last.pk)}, follow=True))
    assert [plant.spoken for plant in Plant.objects.all()] == ["Red Tarn 1"]
    assert Event.objects.filter(kind="corrected").count() == 1


def test_undo_does_not_reach_grafts_of_another_bench_day(client: Client, bench: BenchDay, plant: Plant) -> None:
    client.post(f"/bench/{bench.pk}/undo/", {"event_id": str(plant.grafts.get().pk)})
    assert Plant.objects.filter(pk=plant.pk).exists()


def test_thickness_is_advised_about_and_stays_for_the_next_graft(client: Client, bench: BenchDay) -> None:
    text = _graft(client, bench, stock="6.8", scion="3.1")
    assert "Stock 6.8 mm, scion 3.1 mm. Slide the scion under the bark" in text
    assert 'value="6.8 mm"' in text
    assert Event.objects.get(kind="grafted").payload["scion_mm"] == pytest.approx(3.1)


def test_inches_are_typed_with_fractions(client: Client, bench: BenchDay, nursery: Nursery) -> None:
    save_noun(Nursery, {"length_unit": "in"}, now=timezone.now(), pk=nursery.pk)
    _graft(client, bench, stock="5/16", scion="1/8")
    assert Event.objects.get(kind="grafted").payload["stock_mm"] == pytest.approx(25.4 * 5 / 16)


def test_a_scion_thicker_than_its_stock_is_flagged_and_written(client: Client, bench: BenchDay) -> None:
    text = _graft(client, bench, stock="3", scion="6")
    assert "the scion is thicker than the stock" in text
    assert Plant.objects.count() == 1


def test_a_used_up_lot_and_a_full_dome_are_flagged_and_not_refused(client: Client, bench: BenchDay, lot: RootstockLot) -> None:
    save_noun(RootstockLot, {"count": 3}, now=timezone.now(), pk=lot.pk)
    text = _graft(client, bench, count="12")
    assert Plant.objects.count() == 12
    assert "Stock lot 24-B is used up by the book" in text
    assert "Dome 1, with the size of the usual tray until you measure it, holds 10 pots of this size and 12 stand there." in text


@pytest.mark.parametrize(("field", "typed"), [("count", "501"), ("count", "many"), ("stock", "x")])
def test_bad_input_keeps_the_page_and_writes_nothing(client: Client, bench: BenchDay, field: str, typed: str) -> None:
    response = client.post(f"/bench/{bench.pk}/graft/", {"event_id": str(uuid7()), field: typed})
    assert response.status_code == 422
    assert response.context["form"].errors[field]
    assert not Plant.objects.exists()


def test_labels_of_the_day_are_a_pdf(client: Client, bench: BenchDay) -> None:
    _graft(client, bench, count="3")
    response = client.get(f"/bench/{bench.pk}/labels.pdf", {"sheet": "a4-24", "first": "4"})
    assert response.status_code == 200
    assert response.content.startswith(b"%PDF")


@pytest.mark.parametrize("query", [{"sheet": "of gold"}, {"first": "99"}, {"first": "-1"}])
def test_a_sheet_that_cannot_be_is_refused_in_words(client: Client, bench: BenchDay, query: dict[str, str]) -> None:
    _graft(client, bench)
    response = client.get(f"/bench/{bench.pk}/labels.pdf", query)
    assert response.status_code == 422
    assert "What to do" in response.content.decode()


def test_a_bench_day_of_nobody_is_404_in_words(client: Client, nursery: Nursery) -> None:
    response = client.get(f"/bench/{uuid7()}/")
    assert response.status_code == 404
    assert "no such bench day" in response.content.decode()


def test_looking_writes_nothing(client: Client, bench: BenchDay) -> None:
    _graft(client, bench)
    before = Event.objects.count()
    for address in ("/bench/", "/bench/new/", f"/bench/{bench.pk}/", f"/bench/{bench.pk}/change/", "/bench/standing/"):
        check_page(client.get(address))
    assert client.get(f"/bench/{bench.pk}/graft/").status_code == 405
    assert Event.objects.count() == before


def test_the_blade_stands_in_one_line_above_the_fold(client: Client, bench: BenchDay) -> None:
    text = check_page(client.get(f"/bench/{bench.pk}/"))
    assert text.index("Blade: cut away from hand and body</summary>") < text.index("Next graft: Red Tarn 1")
