"""A plant without its label: a form by GET, the ranked plants, the next question beside its field."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.putting_right import put_right
from scionary.book.commands import Written, write_event
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, Plant
from scionary.names import code_of
from web.rendered import check_page

pytestmark = pytest.mark.django_db
ADDRESS = "/plants/nameless/"


@pytest.fixture
def plants(graft: Callable[..., Written], dome: Dome) -> list[Plant]:
    return graft(5, dome=dome.pk, grafter="Vera").plants


def test_an_empty_book_offers_the_form_and_says_so(client: Client, nursery: object) -> None:
    text = check_page(client.get(ADDRESS))
    assert "The book holds no plants yet." in text
    assert "Which plant is it?" in text


def test_a_plant_is_ranked_with_its_chance_and_leads_to_its_page(client: Client, plants: list[Plant]) -> None:
    plant = Plant.objects.get(pk=plants[2].pk)
    text = check_page(client.get(ADDRESS, {"code": code_of(plant.code_number or 0)[:4] + "???", "where": f"Dome 1 place {plant.place}"}))
    assert re.search(r"It is almost certainly Red Tarn 3: 0\.9\d\.", text)
    lines = text.split('<ul class="lines">')[1]
    assert lines.index(f'href="/plants/{plant.pk}/"') < lines.index(f'href="/plants/{plants[0].pk}/"')
    assert "Hardly a plant that is not in the book." in lines
    assert "A chance is no identification" in text


def test_the_next_question_stands_at_its_field(client: Client, plants: list[Plant]) -> None:
    text = check_page(client.get(ADDRESS, {"name": "red"}))
    beside = text.split('id="look">')[1]
    assert beside.startswith('<p class="flag">Look for any character of the code')
    assert beside.index('name="code"') < beside.index('name="name"')
    assert beside.count("</p>", 0, beside.index('name="code"')) == 1
    assert text.count('id="look"') == 1
    assert 'href="#look"' in text


def test_looking_writes_nothing(client: Client, plants: list[Plant]) -> None:
    events = Event.objects.count()
    check_page(client.get(ADDRESS, {"name": "red t?rn", "grafted": "2026-02-10", "within": "10", "height": "300"}))
    assert Event.objects.count() == events
    assert client.post(ADDRESS, {"name": "red"}).status_code == 405


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("code", "P8", "A code has 7 characters; this has 2."),
        ("height", "-3", "is no length"),
        ("grafted", "spring", "That is no day that exists"),
        ("grafted", "0001-01-01", "Give a day from 1900 to 2900."),
        ("pot", "bucket", "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_refused_and_kept(client: Client, plants: list[Plant], field: str, typed: str, told: str) -> None:
    response = client.get(ADDRESS, {field: typed, "name": "red"})
    assert response.status_code == 422
    text = check_page(response)
    assert told in text
    assert 'value="red"' in text


def test_a_place_unknown_to_the_book_is_said(client: Client, plants: list[Plant]) -> None:
    text = check_page(client.get(ADDRESS, {"where": "behind the barn", "name": "red"}))
    assert "The book knows no place called &#x27;behind the barn&#x27;, so that is not weighed." in text


def test_the_search_leads_here_also_when_nobody_is_found(client: Client, plants: list[Plant]) -> None:
    assert f'href="{ADDRESS}"' in check_page(client.get("/plants/"))
    assert f'<a class="button" href="{ADDRESS}">' in check_page(client.get("/plants/", {"q": "Merrybeck"}))


def test_a_person_takes_it_for_one_and_the_name_says_so_until_it_is_confirmed(client: Client, plants: list[Plant], in_leaf: None) -> None:
    plant = Plant.objects.get(pk=plants[2].pk)
    known = {"code": code_of(plant.code_number or 0)[:4] + "???", "name": "tarn", "height": "300 mm"}
    page = check_page(client.get(ADDRESS, known))
    assert f'<button name="plant" value="{plant.pk}">' in page
    assert f'<input type="hidden" name="code" value="{known["code"]}">' in page
    answer = client.post(f"{ADDRESS}this/", {**known, "plant": str(plant.pk), "event_id": str(uuid7())})
    assert (answer.status_code, answer["Location"]) == (303, f"/plants/{plant.pk}/")
    event = Event.objects.get(kind="name_inferred")
    assert 0.9 < event.payload["chance"] < 1.0
    assert event.payload["note"] == f"Known of it: code {known['code']}; name tarn; height 300 mm."
    caution = f"inferred, {int(event.payload['chance'] * 100) / 100:.2f}"
    text = check_page(client.get(f"/plants/{plant.pk}/"))
    assert f"The name is {caution}." in text
    assert "Name inferred" in text
    assert check_page(client.get("/plants/")).count(f'<span class="tag doubt">name {caution}</span>') == 1
    today = today_at_nursery().isoformat()
    client.post(f"/plants/{plant.pk}/write/name_confirmed/", {"on": today, "event_id": str(uuid7())})
    assert "The name is confirmed in leaf." in check_page(client.get(f"/plants/{plant.pk}/"))
    assert '<span class="tag doubt">name' not in check_page(client.get("/plants/"))


def test_a_chance_sent_by_hand_counts_for_nothing(client: Client, plants: list[Plant]) -> None:
    client.post(f"{ADDRESS}this/", {"name": "tarn", "plant": str(plants[0].pk), "chance": "1", "sure": "1"})
    assert Event.objects.get(kind="name_inferred").payload["chance"] < 0.25


@pytest.mark.parametrize(
    "sent", [{"name": "tarn", "plant": "nobody"}, {"code": "P8", "plant": ""}, {"name": "tarn", "plant": str(uuid7())}]
)
def test_nothing_is_written_of_what_is_not_in_the_list(client: Client, plants: list[Plant], sent: dict[str, str]) -> None:
    events = Event.objects.count()
    check_page(client.post(f"{ADDRESS}this/", sent))
    assert Event.objects.count() == events


def test_one_that_does_not_stand_out_is_asked_about_once_and_leads_back_to_the_list(client: Client, plants: list[Plant]) -> None:
    sent = {"name": "tarn", "within": "30", "plant": str(plants[0].pk), "event_id": str(uuid7())}
    asked = check_page(client.post(f"{ADDRESS}this/", sent))
    assert "Is it this one?" in asked
    assert "Not likely Red Tarn 1: its chance is 0.1" in asked
    assert f'href="{ADDRESS}?name=tarn&amp;within=30"' in asked
    assert f'name="event_id" value="{sent["event_id"]}"' in asked
    assert not Event.objects.filter(kind="name_inferred").exists()
    check_page(client.post(f"{ADDRESS}this/", {**sent, "sure": "1"}, follow=True))
    assert Event.objects.filter(kind="name_inferred").count() == 1


def test_of_a_confirmed_one_it_is_said_that_this_takes_the_confirmation_back(client: Client, plants: list[Plant]) -> None:
    write_event("name_confirmed", plants[2].key, {}, happened_at=timezone.now(), now=timezone.now())
    code = code_of(Plant.objects.get(pk=plants[2].pk).code_number or 0)
    sent = {"code": f"{code[:4]}???", "name": "tarn", "plant": str(plants[2].pk), "event_id": str(uuid7())}
    assert "The name of Red Tarn 3 was confirmed in leaf: this takes that back" in check_page(client.post(f"{ADDRESS}this/", sent))
    assert Plant.objects.get(pk=plants[2].pk).name_status == "confirmed"


def test_one_that_was_sold_is_not_taken_for_it_but_shown_the_steps(client: Client, plants: list[Plant]) -> None:
    write_event("left", plants[2].key, {"how": "sale"}, happened_at=timezone.now(), now=timezone.now())
    code = code_of(Plant.objects.get(pk=plants[2].pk).code_number or 0)
    known = {"code": f"{code[:6]}?", "name": "tarn"}
    page = check_page(client.get(ADDRESS, known))
    assert f'<button name="plant" value="{plants[2].pk}">' not in page
    assert "undo its leaving in its story" in page
    for sure in ({}, {"sure": "1"}):
        refused = client.post(f"{ADDRESS}this/", {**known, **sure, "plant": str(plants[2].pk), "event_id": str(uuid7())})
        assert refused.status_code == 422
        assert "CAUTION: Red Tarn 3 was sold" in check_page(refused)
    assert not Event.objects.filter(kind="name_inferred").exists()


def test_list_flash_page_and_story_say_one_number(client: Client, plants: list[Plant]) -> None:
    sent = {"name": "tarn", "plant": str(plants[0].pk), "sure": "1"}
    client.post(f"{ADDRESS}this/", sent)
    payload = Event.objects.get(kind="name_inferred").payload
    put_right({Event.objects.get(kind="name_inferred").pk: {"chance": 0.0381}}, now=timezone.now())
    assert payload["chance"] < 0.25
    text = check_page(client.get(f"/plants/{plants[0].pk}/"))
    assert "name inferred, 0.03" in check_page(client.get("/plants/"))
    assert "chance: 0.03" in text
    assert "0.0381" not in text


def test_what_was_inferred_can_be_corrected(client: Client, plants: list[Plant]) -> None:
    client.post(f"{ADDRESS}this/", {"name": "tarn", "plant": str(plants[0].pk), "sure": "1"})
    event = Event.objects.get(kind="name_inferred")
    address = f"/plants/{plants[0].pk}/correct/{event.pk}/"
    assert "Chance that it is this one" in check_page(client.get(address))
    client.post(address, {"chance": "0.5", "on": today_at_nursery().isoformat(), "note": "looked again"})
    assert Plant.objects.get(pk=plants[0].pk).name_caution == "name inferred, 0.50"
