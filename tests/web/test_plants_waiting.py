"""A plant's page: wait, graft again or give up, and the figures that a person sets."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from scionary.book.commands import GraftSetup, Written, write_grafts
from scionary.book.models import Cultivar, Event, Method, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def young(cultivar: Cultivar) -> Plant:
    """Grafted a week ago."""
    now = timezone.now()
    setup = GraftSetup(
        cultivar=cultivar.pk, happened_at=now - timedelta(days=7), method=Method.objects.get(name="Side graft, leafy, summer").pk
    )
    return write_grafts(setup, 1, now=now).plants[0]


def test_a_plant_that_waits_says_one_sentence_first(client: Client, young: Plant) -> None:
    text = check_page(client.get(f"/plants/{young.pk}/"))
    assert re.search(r'<h2>Wait, or graft again\?</h2><p class="say">Wait: \d+ %, turns at \d+ %', text)
    assert "A plant that took is worth 40 (project default, unsourced)" in text


def test_a_plant_whose_take_is_known_has_no_such_part(client: Client, graft: Callable[..., Written], write: Callable[..., object]) -> None:
    plant = graft().plants[0]
    write("scored", plant, sign="firm", answer="yes", days=31)
    assert "Wait, or graft again?" not in check_page(client.get(f"/plants/{plant.pk}/"))


def test_figures_are_changed_by_get_and_write_nothing(client: Client, young: Plant) -> None:
    events = Event.objects.count()
    text = check_page(client.get(f"/plants/{young.pk}/", {"worth": "80", "place": "30", "until": ""}))
    assert "A plant that took is worth 80 (as you set it)" in text
    assert "Give its place to another plant: " in text
    assert Event.objects.count() == events


def test_a_figure_that_cannot_be_is_refused_with_what_was_typed(client: Client, young: Plant) -> None:
    response = client.get(f"/plants/{young.pk}/", {"worth": "-3"})
    assert response.status_code == 422
    text = check_page(response)
    assert 'value="-3"' in text
    assert "greater than or equal to 0" in text
