"""Beginning in the middle of a season: look first, then write down."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

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
    day = timezone.localdate() - timedelta(weeks=5)
    text = check_page(client.post("/bench/standing/", {**TYPED, "grafted": "five weeks ago"}))
    assert f"Grafted about {day.day} {day:%B %Y}" in text


def test_a_day_ahead_is_asked_about_before_it_is_written(client: Client, nursery: Nursery) -> None:
    ahead = (timezone.localdate() + timedelta(days=40)).isoformat()
    assert "That is 40 days ahead: is the year right?" in check_page(client.post("/bench/standing/", {**TYPED, "grafted": ahead}))
