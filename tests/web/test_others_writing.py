"""When somebody else was writing: a page in words, and a form that keeps what was typed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from django.db import OperationalError, connection
from django.test import Client

from scionary.book.models import Dome, Event, Nursery
from web.rendered import check_page


class CutByTheServer(Exception):
    """What the driver of PostgreSQL raises for a deadlock that the server cut."""

    sqlstate = "40P01"


@contextmanager
def others_writing() -> Iterator[None]:
    """The database answers every new event as if another writer had come first."""

    def cut(execute: Callable[..., object], sql: str, *rest: object) -> object:
        if sql.startswith("INSERT") and '"book_event"' in sql:
            raise OperationalError("deadlock detected") from CutByTheServer
        return execute(sql, *rest)

    with connection.execute_wrapper(cut):
        yield


@pytest.mark.django_db(transaction=True)
def test_a_form_keeps_what_was_typed_and_says_why_it_was_not_taken(client: Client, nursery: Nursery) -> None:
    with others_writing():
        response = client.post("/domes/new/", {"name": "Dome 7", "length_mm": "520", "width_mm": "260"})
    assert response.status_code == 503
    text = check_page(response)
    assert "Somebody else was writing at the same moment; nothing was written. Try again." in text
    assert 'value="Dome 7"' in text
    assert not Dome.objects.exists()
    assert client.post("/domes/new/", {"name": "Dome 7", "length_mm": "520", "width_mm": "260"}).status_code == 303


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("part", [False, True])
def test_a_button_leads_to_a_page_in_words(client: Client, dome: Dome, part: bool) -> None:
    with others_writing():
        response = client.post(f"/domes/{dome.pk}/water/", {"seen": "dry"}, headers={"HX-Request": "true"} if part else {})
    assert response.status_code == 503
    assert "omebody else was writing at the same moment; nothing was written" in check_page(response)
    assert not Event.objects.filter(kind="watered").exists()


@pytest.mark.django_db
def test_a_deadlock_outside_of_every_command_is_told_in_words_too(client: Client, dome: Dome) -> None:
    """Inside a larger transaction the database's own error comes through to the page."""
    with others_writing():
        response = client.post(f"/domes/{dome.pk}/water/", {})
    assert response.status_code == 503
