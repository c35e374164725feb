"""The page where names are confirmed in leaf, many at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Event, Plant
from web.rendered import check_page, form_of

pytestmark = pytest.mark.django_db
PAGE = "/plants/in-leaf/"
SUMMER = "2025-07-01"


@pytest.fixture
def leafy(graft: Callable[..., Any], write: Callable[..., Any], dome: Dome, cultivar: Cultivar, now: Any) -> list[Plant]:
    """Three that were seen in leaf, of which one is inferred."""
    plants: list[Plant] = graft(3, dome=dome.pk, days=-700).plants
    save_noun(Cultivar, {"traits": {"summer": "red"}}, now=now, pk=cultivar.pk)
    for plant in plants:
        write("scored", plant, days=-250, sign="in_leaf", answer="yes")
    write("name_inferred", plants[1], days=-249, chance=0.93)
    return plants


def _send(client: Client, **fields: Any) -> str:
    return check_page(client.post(f"{PAGE}confirm/", {"event_id": str(uuid7()), **fields}, follow=True))


def test_without_any_it_says_so(client: Client, plant: Plant) -> None:
    assert "Every plant that was seen in leaf has its name confirmed." in check_page(client.get(PAGE))


def test_plants_are_listed_with_the_reason_the_looks_and_ways_on(client: Client, leafy: list[Plant]) -> None:
    text = check_page(client.get(PAGE))
    assert "As you saw it: colour in summer: bright red." in text
    assert "name inferred, 0.93" in text
    assert text.count("It is something else") == 3
    assert f'href="/plants/{leafy[0].pk}/write/name_confirmed/"' in text
    assert 'href="/plants/nameless/?where=Dome%201"' in text
    assert Event.objects.filter(kind="name_confirmed").count() == 0


def test_what_is_ticked_is_confirmed_in_one_record_and_undone_as_one(client: Client, leafy: list[Plant]) -> None:
    text = _send(client, plant=[str(leafy[0].pk), str(leafy[1].pk)], on=SUMMER)
    assert "Written down: 2 names confirmed in leaf." in text
    event = Event.objects.get(kind="name_confirmed")
    assert event.subjects.filter(key__startswith="plant:").count() == 2
    assert "written of 2 plants at once" in check_page(client.get(f"/plants/{leafy[0].pk}/"))
    check_page(client.post("/undo/", {"event": str(event.pk), "next": PAGE}, follow=True))
    assert Plant.objects.get(pk=leafy[1].pk).name_caution == "name inferred, 0.93"


def test_a_whole_group_is_one_tap(client: Client, leafy: list[Plant], in_leaf: None) -> None:
    assert 'name="all" value="1_1"' in check_page(client.get(PAGE))
    text = _send(client, all="1_1", shown_1_1=[str(plant.pk) for plant in leafy])
    assert "3 names confirmed in leaf" in text
    assert not Plant.objects.exclude(name_status="confirmed").exists()


def test_it_can_be_dated_and_not_ahead(client: Client, leafy: list[Plant]) -> None:
    _send(client, plant=str(leafy[0].pk), on=SUMMER)
    assert Event.objects.get(kind="name_confirmed").happened_at.date().isoformat() == SUMMER
    ahead = client.post(f"{PAGE}confirm/", {"plant": str(leafy[1].pk), "on": "2999-01-01"})
    assert ahead.status_code == 422
    assert f'value="{leafy[1].pk}" checked' in ahead.content.decode()


def test_while_trees_stand_bare_the_day_is_asked_and_no_group_is_one_tap(client: Client, leafy: list[Plant], out_of_leaf: None) -> None:
    page = check_page(client.get(PAGE))
    assert 'name="all"' not in page
    assert "the day on which you saw these in leaf" in page
    refused = client.post(f"{PAGE}confirm/", {"plant": str(leafy[0].pk), "on": ""})
    assert refused.status_code == 422
    assert "say on which day you saw them in leaf" in refused.content.decode()
    assert not Event.objects.filter(kind="name_confirmed").exists()


def test_one_without_a_leaf_is_told_and_none_is_written(client: Client, leafy: list[Plant], graft: Callable[..., Any]) -> None:
    young = graft(1, days=-225).plants[0]
    refused = client.post(f"{PAGE}confirm/", {"plant": [str(leafy[0].pk), str(young.pk)], "on": "2025-07-12"})
    assert refused.status_code == 422
    assert "Red Tarn 4 was grafted on 4 Jul 2025: no leaf of that graft tells its name by 12 Jul 2025" in check_page(refused)
    assert not Event.objects.filter(kind="name_confirmed").exists()


def test_undo_of_a_page_that_was_refused_leads_to_the_page(client: Client, leafy: list[Plant]) -> None:
    _send(client, plant=str(leafy[0].pk), on=SUMMER)
    refused = check_page(client.post(f"{PAGE}confirm/", {"plant": str(leafy[1].pk), "on": "2999-01-01"}))
    address, sent = form_of(refused, "Undo")
    assert "Undone." in check_page(client.post(address, sent, follow=True))


def test_nothing_ticked_is_refused(client: Client, leafy: list[Plant]) -> None:
    assert client.post(f"{PAGE}confirm/", {}).status_code == 422
