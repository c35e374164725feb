"""Plants: search, list, filters, pages."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime

import pytest
from django.test import Client

from scionary.book.commands import Written, undo
from scionary.book.models import Nursery, Plant
from scionary.names import code_of
from web.rendered import check_page

pytestmark = pytest.mark.django_db


def test_without_plants_the_page_says_what_it_is_for_and_has_one_button(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/plants/"))
    assert "Every plant you graft stands here" in text
    assert text.count("button main") == 1


def test_the_list_shows_ring_name_and_where(client: Client, graft: Callable[..., Written]) -> None:
    graft(2, stands="north window")
    text = check_page(client.get("/plants/"))
    assert text.count('class="ring"') == 2
    assert "Red Tarn 2" in text
    assert "north window" in text


def test_a_lost_plant_leaves_the_standing_list(client: Client, plant: Plant, write: Callable[..., object]) -> None:
    write("lost", plant, days=1, sign="shrivelled")
    assert f"/plants/{plant.pk}/" not in check_page(client.get("/plants/"))
    assert f"/plants/{plant.pk}/" in check_page(client.get("/plants/", {"state": "dead"}))


def test_disputed_and_flagged_plants_have_a_list(client: Client, graft: Callable[..., Written]) -> None:
    graft(1)
    graft(1, scion_mm=6.0, stock_mm=3.0)
    text = check_page(client.get("/plants/", {"state": "doubt"}))
    assert "Red Tarn 2" in text
    assert "Red Tarn 1<" not in text


def test_a_list_that_does_not_exist_is_refused_in_words(client: Client, nursery: Nursery) -> None:
    assert client.get("/plants/", {"state": "blue"}).status_code == 422


def test_a_page_holds_fifty(client: Client, graft: Callable[..., Written]) -> None:
    graft(51)
    first = check_page(client.get("/plants/"))
    assert first.count('class="ring"') == 50
    assert "page=2" in first
    assert check_page(client.get("/plants/", {"page": "2"})).count('class="ring"') == 1
    assert check_page(client.get("/plants/", {"page": "none"})).count('class="ring"') == 50


def test_a_faded_code_finds_its_plant(client: Client, graft: Callable[..., Written]) -> None:
    wanted = graft(3).plants[1]
    code = code_of(wanted.code_number)
    text = check_page(client.get("/plants/", {"q": f"{code[:2]}?{code[3:]}"}))
    assert f"/plants/{wanted.pk}/" in text
    assert text.count('class="ring"') == 1


def test_a_spoken_name_finds_its_plant(client: Client, graft: Callable[..., Written]) -> None:
    wanted = graft(3).plants[2]
    text = check_page(client.get("/plants/", {"q": "red tarn 3"}))
    assert f"/plants/{wanted.pk}/" in text
    assert text.count('class="ring"') == 1


def test_what_is_searched_for_is_escaped(client: Client, plant: Plant) -> None:
    text = check_page(client.get("/plants/", {"q": "<b>Red</b>"}))
    assert "<b>Red</b>" not in text


def test_a_near_name_is_a_link_that_keeps_the_number(client: Client, graft: Callable[..., Written]) -> None:
    graft(4)
    assert '<a href="?q=Red%20Tarn%204">Red Tarn 4</a>' in check_page(client.get("/plants/", {"q": "Red Tran 4"}))


def test_cautions_are_folded_unless_one_plant_is_asked_for(
    client: Client, graft: Callable[..., Written], write: Callable[..., object]
) -> None:
    for plant in graft(3).plants[:2]:
        write("lost", plant, days=1)
    text = check_page(client.get("/plants/", {"q": "Red Tarn"}))
    assert "2 of these were lost, sold or missing</summary>" in text
    assert text.index("CAUTION") > text.index("<details")
    alone = check_page(client.get("/plants/", {"q": "Red Tarn 1"}))
    assert "CAUTION: Red Tarn 1 was recorded as lost" in alone
    assert "of these" not in alone


def test_a_sold_plant_says_when_and_for_how_much_and_has_no_ring(client: Client, plant: Plant, write: Callable[..., object]) -> None:
    write("left", plant, days=300, how="sale", price=45.0)
    text = check_page(client.get("/plants/", {"state": "left"}))
    assert "Sold, 11 Dec 2026, 45.00" in text
    assert 'class="ring"' not in text
    assert "place not written down" not in text


def test_an_undone_graft_is_found_under_undone_and_brought_back(client: Client, graft: Callable[..., Written], now: datetime) -> None:
    assert "Undone:" not in check_page(client.get("/plants/"))
    undo(graft().events[0], now=now)
    text = check_page(client.get("/plants/"))
    assert "Undone: 1" in text
    fields = re.findall(r'name="event" value="([^"]+)"', text.split("Undone: 1")[1])
    response = client.post("/undo/", {"event": fields, "next": "/plants/"}, follow=True)
    assert Plant.objects.get().spoken == "Red Tarn 1"
    text = check_page(response)
    assert "Brought back." in text
    assert "Undone:" not in text


def test_a_plant_set_apart_says_so_in_the_list_and_where_several_are_ticked(
    client: Client, graft: Callable[..., Written], write: Callable[..., object]
) -> None:
    plant = graft(2).plants[0]
    write("quarantined", plant, days=1, reason="cankers")
    write("name_doubted", plant, days=1, reason="leaves too red")
    for asked in ({}, {"pick": "1"}):
        rows = check_page(client.get("/plants/", asked)).split('<ul class="lines plants">')[1]
        assert rows.count("in quarantine") == rows.count("name in doubt") == 1


def test_what_was_typed_comes_back_without_marks_that_are_not_seen(client: Client, plant: Plant) -> None:
    text = check_page(client.get("/plants/", {"q": "\u202ered\u200b tarn 1"}))
    assert 'value="red tarn 1"' in text
    assert not {"\u202e", "\u200b"} & set(text)
    assert client.get("/plants/", {"q": "\u200e"}).status_code == 200
