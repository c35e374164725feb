"""The calendar's page, its secret addresses, and its file."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone
from icalendar import Calendar

from scionary.book.commands import Written
from scionary.book.models import CalendarFeed, Dome, Event, Method, Nursery, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db
PAGE = "/due/calendar/"


@pytest.fixture
def healing(graft: Callable[..., Written], dome: Dome, method: Method) -> list[Plant]:
    return graft(3, happened_at=timezone.now() - timedelta(days=8), dome=dome.pk, method=method.pk).plants


def _address(text: str) -> str:
    found = re.search(r"readonly>http://testserver(/calendar/[^<]+\.ics)</textarea>", text)
    assert found
    return found[1]


def _made(client: Client) -> str:
    return _address(check_page(client.post(f"{PAGE}new/", {"name": "Maren's phone"})))


def test_due_leads_to_the_calendar(client: Client, healing: list[Plant]) -> None:
    assert f'href="{PAGE}"' in check_page(client.get("/due/"))
    assert "Make a secret address" in check_page(client.get(PAGE))


def test_a_secret_address_is_read_without_an_account(client: Client, healing: list[Plant], settings: object) -> None:
    address = _made(client)
    settings.LOGIN_REQUIRED = True  # type: ignore[attr-defined]
    other = Client()
    answer = other.get(address)
    assert (answer.status_code, answer["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    calendar = Calendar.from_ical(answer.content)
    assert any("Dome 1" in str(event["SUMMARY"]) for event in calendar.walk("VEVENT"))
    assert other.get(PAGE).status_code == 302
    assert other.get(f"{PAGE}due.ics").status_code == 302


def test_the_book_keeps_no_secret_and_shows_it_once(client: Client, healing: list[Plant]) -> None:
    secret = _made(client).split("/")[-1].removesuffix(".ics")
    assert len(secret) >= 40
    assert secret not in str(list(CalendarFeed.objects.values()))
    assert secret not in check_page(client.get(PAGE))
    assert not Event.objects.filter(payload__icontains=secret).exists()


def test_an_ended_address_answers_nothing(client: Client, healing: list[Plant]) -> None:
    address = _made(client)
    feed = CalendarFeed.objects.get()
    text = check_page(client.post(f"{PAGE}{feed.pk}/end/", follow=True))
    assert "its address answers nothing any more" in text
    assert client.get(address).status_code == 404
    assert client.get("/calendar/no-such-secret.ics").status_code == 404


def test_reading_it_writes_nothing(client: Client, healing: list[Plant]) -> None:
    address = _made(client)
    before = list(CalendarFeed.objects.values())
    client.get(address)
    assert list(CalendarFeed.objects.values()) == before


def test_the_file_is_the_same_calendar(client: Client, healing: list[Plant]) -> None:
    answer = client.get(f"{PAGE}due.ics")
    assert answer["Content-Disposition"] == 'attachment; filename="due.ics"'
    assert answer.content == client.get(_made(client)).content


def test_a_calendar_without_a_name_is_refused(client: Client, nursery: Nursery) -> None:
    for name in ("", "   ", "x" * 61, "\u202e"):
        assert client.post(f"{PAGE}new/", {"name": name}).status_code == 422
    assert not CalendarFeed.objects.exists()
    assert client.get(f"{PAGE}new/").status_code == 405


def test_no_more_addresses_than_a_crew_needs(client: Client, nursery: Nursery) -> None:
    for _ in range(20):
        assert client.post(f"{PAGE}new/", {"name": "phone"}).status_code == 200
    assert client.post(f"{PAGE}new/", {"name": "phone"}).status_code == 422
