"""Unions that were opened: written down one by one, they teach how far a hand misses, and advice goes by it."""

from __future__ import annotations

from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from scionary.answers.join_ask import hand_of
from scionary.book.commands import save_noun
from scionary.book.models import Event, Nursery
from web.rendered import check_page


def opened(client: Client, **fields: Any) -> Any:
    return client.post("/bench/join/hand/", {"foot": "0.1", "top": "-0.1", "depth": "0", "grafter": "Ada", **fields})


def test_without_any_the_books_hand_is_told_with_its_source(client: Client, nursery: Nursery) -> None:
    text = unescape(check_page(client.get("/bench/join/hand/")))
    assert "Nobody named" in text
    assert "a practised hand, the book’s" in text


def test_an_opened_union_pulls_the_hand_towards_what_was_measured(client: Client, nursery: Nursery) -> None:
    for _ in range(10):
        assert opened(client).status_code == 303
    assert 0.2 < hand_of(nursery, "Ada").error_mm < 0.27
    text = unescape(check_page(client.get("/bench/join/hand/")))
    assert "as measured: 30 misses" in text
    pair = {"stock": "7", "scion": "3", "unit": "mm", "method": "side_veneer"}
    assert "Lean the scion by" in check_page(client.get("/bench/join/", {**pair, "grafter": "Bo"}))
    assert "as measured: 30 misses" in check_page(client.get("/bench/join/", {**pair, "grafter": "Ada"}))


def test_inches_are_kept_as_millimetres(client: Client, nursery: Nursery) -> None:
    save_noun(Nursery, {"length_unit": "in"}, now=timezone.now(), pk=nursery.pk)
    opened(client, foot="0.02", top="", depth="")
    assert Event.objects.get(kind="union_opened").payload == {"foot_mm": pytest.approx(0.508), "grafter": "Ada"}


@pytest.mark.parametrize("wrong", [{"foot": "", "top": "", "depth": ""}, {"foot": "99"}, {"top": "far"}])
def test_what_cannot_be_is_told_at_the_field(client: Client, nursery: Nursery, wrong: dict[str, str]) -> None:
    answer = opened(client, **wrong)
    assert answer.status_code == 422
    check_page(answer)
    assert not Event.objects.filter(kind="union_opened").exists()


def test_undo_unlearns_it(client: Client, nursery: Nursery) -> None:
    opened(client)
    check_page(client.post("/undo/", {"event": client.session["last_written"]["events"], "next": "/bench/"}, follow=True))
    assert hand_of(nursery, "Ada").unions == 0
