"""Pages of a large book are held as they were drawn, and drawn again as soon as what they show may have changed."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone

from counting_large import counts_as_large
from scionary.answers import take_model
from scionary.book.commands import Written
from scionary.book.models import Dome, Event, Job, Plant
from scionary.book.record import Answer
from scionary.web import held_pages

pytestmark = pytest.mark.django_db
TOKEN = re.compile(r"\b[A-Za-z0-9]{64}\b")
FORM_ID = re.compile(r'name="event_id" value="([^"]+)"')


@pytest.fixture
def address(graft: Callable[..., Written], dome: Dome, monkeypatch: Any) -> Iterator[str]:
    """A dome of a book that counts as large."""
    counts_as_large(monkeypatch, 2)
    graft(4, days=-40, dome=dome.pk)
    held_pages._held.clear()
    yield f"/domes/{dome.pk}/"
    held_pages._held.clear()


def page(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return response.content.decode()


def test_a_page_is_drawn_once_while_nothing_changes(client: Client, address: str, django_assert_max_num_queries: Any) -> None:
    page(client, address)  # what is learned while it is drawn lets go of it once
    first = page(client, address)
    with django_assert_max_num_queries(12):
        again = page(client, address)
    assert FORM_ID.sub("", TOKEN.sub("", again)) == FORM_ID.sub("", TOKEN.sub("", first))


def test_a_page_of_a_small_book_is_not_held(client: Client, address: str, monkeypatch: Any) -> None:
    monkeypatch.setattr(take_model, "QUICK_GRAFTS", 1_000)
    monkeypatch.setattr(take_model, "held", lambda what, content, compute: compute())
    page(client, address)
    assert not held_pages._held


def test_what_is_written_shows_on_the_next_page(client: Client, address: str, write: Callable[..., Answer], dome: Dome) -> None:
    assert "Golden film on the glass" not in page(client, address)
    write("observed", dome, note="Golden film on the glass")
    assert "Golden film on the glass" in page(client, address)


def test_two_pages_hold_two_forms_so_that_both_are_written(client: Client, address: str) -> None:
    ids = [FORM_ID.search(page(client, address)) for _ in range(3)]
    assert len({found[1] for found in ids if found}) == 3


def test_forms_of_one_page_keep_ids_of_their_own(client: Client, address: str) -> None:
    page(client, address)
    ids = FORM_ID.findall(page(client, address))
    assert len(set(ids)) == len(ids) > 1


def test_a_form_of_a_held_page_is_taken_from_a_browser_that_did_not_draw_it(address: str) -> None:
    page(Client(enforce_csrf_checks=True), address)
    other = Client(enforce_csrf_checks=True)
    text = page(other, address)
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', text)
    ident = FORM_ID.search(text)
    assert token is not None
    assert ident is not None
    sent = other.post(f"{address}water/", {"csrfmiddlewaretoken": token[1], "event_id": ident[1], "water_mm": "20"})
    assert sent.status_code == 303
    assert Event.objects.filter(kind="watered").count() == 1


def test_every_token_of_a_held_page_is_the_askers_own(address: str) -> None:
    first = page(Client(), address)
    drawn = set(TOKEN.findall(first))
    assert len(drawn) == 1
    assert drawn.isdisjoint(TOKEN.findall(page(Client(), address)))


def test_words_for_one_browser_are_shown_there_once(client: Client, address: str) -> None:
    other = Client()
    page(other, address)
    client.post(f"{address}water/", {"event_id": str(uuid4()), "water_mm": "20"})
    assert "Written down: Dome 1" not in page(other, address)
    assert "Written down: Dome 1" in page(client, address)
    assert "Written down: Dome 1" not in page(client, address)


def test_each_account_sees_its_own_name(client: Client, address: str) -> None:
    for name in ("Maren", "Joss"):
        client.force_login(User.objects.create_user(name))
        assert f"Signed in as {name}" in page(client, address)


def test_another_question_is_another_page(client: Client, address: str) -> None:
    assert page(client, "/plants/?state=dead") != page(client, "/plants/?state=standing")
    plant = Plant.objects.first()
    assert plant is not None
    assert plant.spoken in page(client, f"/plants/{plant.pk}/")


def test_work_under_way_is_told_as_far_as_it_is(client: Client, address: str) -> None:
    job = Job.objects.create(work="learn", asked_at=timezone.now(), status=Job.Status.RUNNING)
    page(client, address)
    held_pages._held["mark"] = b""
    Job.objects.filter(pk=job.pk).update(fraction=0.5)
    page(client, address)
    assert len(held_pages._held) == 3


def test_after_a_minute_a_page_is_drawn_again(client: Client, address: str, monkeypatch: Any) -> None:
    real: Callable[..., datetime] = held_pages.now_at
    page(client, address)
    monkeypatch.setattr(held_pages, "now_at", lambda request: real(request) + timedelta(minutes=1))
    page(client, address)
    assert len(held_pages._held) == 2


def test_a_refusal_is_not_held(client: Client, address: str) -> None:
    assert client.get(f"/domes/{uuid4()}/").status_code == 404
    assert not held_pages._held


def test_only_so_many_are_held(client: Client, address: str, monkeypatch: Any) -> None:
    monkeypatch.setattr(held_pages, "_MOST", 2)
    for name in ("/domes/", "/plants/", "/bench/", address):
        page(client, name)
    assert len(held_pages._held) == 2
