"""Correcting and undoing a whole bench day on its page."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.labelled import wrong_labels_of_day
from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Dome, Event, Nursery, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(client: Client, cultivar: Cultivar, dome: Dome) -> BenchDay:
    made = save_noun(BenchDay, {"day": today_at_nursery(), "cultivar": cultivar, "dome": dome}, now=timezone.now())
    client.post(f"/bench/{made.pk}/graft/", {"event_id": str(uuid7()), "count": "12"})
    return made


def test_the_bench_day_offers_both(client: Client, bench: BenchDay) -> None:
    text = check_page(client.get(f"/bench/{bench.pk}/"))
    assert "Correct all 12" in text
    assert "Undo all 12" in text


def test_it_is_looked_at_before_it_is_written(client: Client, bench: BenchDay) -> None:
    page = f"/bench/{bench.pk}/correct/"
    assert "now: Dome 1" in check_page(client.get(page))
    look = check_page(client.post(page, {"dome": "Dome 2"}))
    assert "Dome 1 → Dome 2" in look
    assert not Event.objects.filter(kind="corrected").exists()
    done = check_page(client.post(page, {"dome": "Dome 2", "accept": "1"}, follow=True))
    assert "Corrected: 12 grafts." in done
    assert Plant.objects.filter(dome__name="Dome 2").count() == 12
    undone = client.post("/undo/", {"event": client.session["last_written"]["events"], "next": "/bench/"}, follow=True)
    check_page(undone)
    assert Plant.objects.filter(dome__name="Dome 1").count() == 12


def test_a_day_ahead_is_asked_about_in_the_look(client: Client, bench: BenchDay) -> None:
    ahead = (today_at_nursery() + timedelta(days=365)).isoformat()
    assert "That is 365 days ahead: is the year right?" in check_page(client.post(f"/bench/{bench.pk}/correct/", {"day": ahead}))


@pytest.mark.parametrize(
    ("typed", "told"),
    [({}, "Fill in what was wrong."), ({"dome": "dome 1"}, "They say that already."), ({"cultivar": "Red Tran"}, "Did you mean Red Tarn?")],
)
def test_what_cannot_be_keeps_the_form(client: Client, bench: BenchDay, typed: dict[str, str], told: str) -> None:
    response = client.post(f"/bench/{bench.pk}/correct/", {"grafter": "x", **typed})
    assert response.status_code == 422
    assert told in response.content.decode()
    assert not Event.objects.filter(kind="corrected").exists()


def test_labels_that_carry_the_wrong_name_are_counted_and_printed_again(client: Client, bench: BenchDay) -> None:
    day = f"/bench/{bench.pk}/"
    assert "carry a wrong name" not in check_page(client.get(day))
    client.post(f"{day}correct/", {"dome": "Dome 2", "accept": "1"})
    assert "carry a wrong name" not in check_page(client.get(day))
    text = check_page(client.post(f"{day}correct/", {"cultivar": "Lanthorn", "accept": "1"}, follow=True))
    assert "12 labels that are written already carry a wrong name: print them again." in text
    assert "The label says Red Tarn 12" in text
    again = client.get(f"{day}labels.pdf?again=1")
    assert (again.status_code, again.content[:5]) == (200, b"%PDF-")
    plants = list(Plant.objects.all())
    given = {"kind": "relabelled", "plant": [str(plant.pk) for plant in plants[:11]], "next": day, "event_id": str(uuid7())}
    check_page(client.post("/plants/several/", given))
    written = client.post("/plants/several/", {**given, "write": "1", "on": today_at_nursery().isoformat()}, follow=True)
    assert written.redirect_chain[-1][0] == day
    assert "1 label that is written already carries a wrong name: print it again." in check_page(written)
    assert len(wrong_labels_of_day(bench)) == 1


def test_all_are_undone_after_asking_and_come_back_as_one(client: Client, bench: BenchDay) -> None:
    asked = check_page(client.get(f"/bench/{bench.pk}/undo-all/"))
    assert "Were these 12 grafts never made?" in asked
    assert Plant.objects.count() == 12
    text = check_page(client.post(f"/bench/{bench.pk}/undo-all/", follow=True))
    assert "Undone: 12 grafts." in text
    assert not Plant.objects.exists()
    client.post("/undo/", {"event": client.session["last_written"]["events"], "next": "/bench/"})
    assert Plant.objects.count() == 12


def test_a_bench_day_of_nobody_is_404_in_words(client: Client, nursery: Nursery) -> None:
    for page in ("correct", "undo-all"):
        assert client.get(f"/bench/{uuid7()}/{page}/").status_code == 404
