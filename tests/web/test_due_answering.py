"""A line of Due put off, not needed, and asked again."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, Method, Plant
from scionary.book.record import NewEvent, record_events
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def healing(graft: Callable[..., Written], dome: Dome, method: Method) -> list[Plant]:
    """Three grafts that have stood in Dome 1 for eight days."""
    return graft(3, happened_at=timezone.now() - timedelta(days=8), dome=dome.pk, method=method.pk).plants


def _key(text: str, what: str) -> str:
    """The key of the line that says this."""
    after = text.split(what)[1]
    found = re.search(r'name="line" value="([0-9a-f]+)"', after)
    assert found
    return found[1]


def _answer(client: Client, line: str, answer: str, **more: str) -> str:
    sent = {"line": line, "answer": answer, "event_id": str(uuid7()), **more}
    return check_page(client.post("/due/answer/", sent, follow=True))


def test_put_off_for_a_week_it_leaves_the_page_and_stands_below(client: Client, healing: list[Plant]) -> None:
    before = check_page(client.get("/due/"))
    until = today_at_nursery() + timedelta(days=7)
    assert f'value="{until.isoformat()}"' in before
    text = _answer(client, _key(before, "top up the water"), "put_off", until=until.isoformat())
    assert "put off until" in text
    assert "Put off, or not needed: 1" in text
    assert "Water: Dome 1" in text
    assert '<p class="say">Dome 1: look in' in text
    assert Event.objects.get(kind="answered").payload == {"line": "water", "answer": "put_off", "until": until.isoformat()}


def test_not_needed_is_undone_from_the_list(client: Client, healing: list[Plant]) -> None:
    text = _answer(client, _key(check_page(client.get("/due/")), "top up the water"), "not_needed")
    assert "Dome 1: top up the water under the grid to 6–13 mm: not needed." in text
    event = str(Event.objects.get(kind="answered").pk)
    assert f'name="event" value="{event}"' in text.split("Put off, or not needed")[1]
    again = check_page(client.post("/undo/", {"event": event, "next": "/due/"}, follow=True))
    assert "Put off, or not needed" not in again
    assert "top up the water" in again


def test_from_a_domes_page_one_comes_back_there(client: Client, healing: list[Plant], dome: Dome) -> None:
    page = f"/domes/{dome.pk}/"
    key = _key(check_page(client.get(page)), "top up the water")
    until = (today_at_nursery() + timedelta(days=2)).isoformat()
    answer = client.post("/due/answer/", {"line": key, "answer": "put_off", "until": until, "next": page, "event_id": str(uuid7())})
    assert (answer.status_code, answer["Location"]) == (303, page)


def test_a_day_that_is_past_or_none_is_refused_and_nothing_is_written(client: Client, healing: list[Plant]) -> None:
    key = _key(check_page(client.get("/due/")), "top up the water")
    for until in ("", "soon", today_at_nursery().isoformat()):
        answer = client.post("/due/answer/", {"line": key, "answer": "put_off", "until": until})
        assert answer.status_code == 422
        assert "Give a day after today" in answer.content.decode()
    assert not Event.objects.filter(kind="answered").exists()


def test_a_line_that_is_gone_is_told_so(client: Client, healing: list[Plant]) -> None:
    assert "That line stands no longer" in _answer(client, "0" * 24, "not_needed")
    assert client.get("/due/answer/").status_code == 405


def test_records_that_disagree_cannot_be_called_needless(client: Client, plant: Plant) -> None:
    now = timezone.now()
    (scored,) = record_events([NewEvent("scored", now, (plant.key,), {"sign": "firm", "answer": "yes"})], now=now)
    for answer in ("yes", "no"):
        payload = {"target": str(scored.id), "replace": {"answer": answer}}
        record_events([NewEvent("corrected", now, (plant.key,), payload)], now=now)
    text = check_page(client.get("/due/"))
    part = text.split("Settle what two records say")[1]
    assert "Put it off" in part
    assert "Not needed" not in part
