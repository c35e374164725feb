"""Beginning in the middle of a season: look first, then write down."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from nursery_clock import today_at_nursery
from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Graft, Nursery, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db

TYPED = {"plants": "3 Red Tarn, 2 Ash Gill", "grafted": "2026-01", "dome": "Dome 1"}


def test_the_first_look_writes_nothing_and_says_what_would_be(client: Client, nursery: Nursery) -> None:
    text = check_page(client.post("/bench/standing/", TYPED))
    assert "3 plants of Red Tarn" in text
    assert "January 2026" in text
    assert not Plant.objects.exists()
    assert not Dome.objects.exists()


def test_accepted_it_is_written_once_with_its_precision(client: Client, nursery: Nursery) -> None:
    ident = str(uuid7())
    for _ in range(2):
        check_page(client.post("/bench/standing/", {**TYPED, "accept": "1", "event_id": ident}, follow=True))
    assert Plant.objects.filter(dome__name="Dome 1").count() == 5
    assert set(Graft.objects.values_list("precision", flat=True)) == {"month"}
    assert Cultivar.objects.count() == 2


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [("plants", "12", "no name is given"), ("plants", "", "like: 3 Red Tarn"), ("grafted", "2026-13", "no day that exists")],
)
def test_bad_input_keeps_the_form(client: Client, nursery: Nursery, field: str, typed: str, told: str) -> None:
    response = client.post("/bench/standing/", {**TYPED, field: typed})
    assert response.status_code == 422
    assert told in response.context["form"].errors[field][0]
    assert 'value="Dome 1"' in response.content.decode()


def test_a_guess_in_weeks_says_which_day_that_was(client: Client, nursery: Nursery) -> None:
    day = today_at_nursery() - timedelta(weeks=5)
    text = check_page(client.post("/bench/standing/", {**TYPED, "grafted": "five weeks ago"}))
    assert f"Grafted about {day.day} {day:%B %Y}" in text


def test_a_day_ahead_is_asked_about_before_it_is_written(client: Client, nursery: Nursery) -> None:
    ahead = (today_at_nursery() + timedelta(days=40)).isoformat()
    assert "That is 40 days ahead: is the year right?" in check_page(client.post("/bench/standing/", {**TYPED, "grafted": ahead}))


@pytest.mark.parametrize(
    ("there", "typed", "told"),
    [
        (0, "10 Red Tarn", ""),
        (
            0,
            "12 Red Tarn",
            "Dome 1, with the size of the usual tray until you measure it, holds 10 pots of this size: 2 would have no place on its tray.",
        ),
        (
            9,
            "2 Ash Gill",
            "Dome 1, with the size of the usual tray until you measure it, holds 10 pots of this size, "
            "9 stand there already: 1 would have no place on its tray.",
        ),
        (
            10,
            "2 Ash Gill",
            "Dome 1, with the size of the usual tray until you measure it, holds 10 pots of this size, "
            "10 stand there already: they would have no place on its tray.",
        ),
    ],
)
def test_a_dome_that_holds_fewer_than_is_written_says_so(
    client: Client, nursery: Nursery, graft: Callable[..., Written], dome: Dome, there: int, typed: str, told: str
) -> None:
    if there:
        graft(there, dome=dome.pk)
    text = check_page(client.post("/bench/standing/", {**TYPED, "plants": typed}))
    assert told in text
    assert ("would have no place" in text) is bool(told)


def test_a_dome_new_to_the_book_is_taken_to_be_of_the_usual_size(client: Client, nursery: Nursery) -> None:
    text = check_page(client.post("/bench/standing/", {**TYPED, "plants": "30 Red Tarn", "dome": "Dome 7"}))
    assert (
        "Dome 7, with the size of the usual tray until you measure it, holds 10 pots of this size: 20 would have no place on its tray."
        in text
    )
    assert not Dome.objects.exists()
