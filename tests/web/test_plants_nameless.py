"""A plant without its label: a form by GET, the ranked plants, the next question beside its field."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from django.test import Client

from scionary.book.commands import Written
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
    assert re.search(r"It is almost certainly Red Tarn 3: (over )?9\d %\.", text)
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
