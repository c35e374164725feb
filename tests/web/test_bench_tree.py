"""A mother tree's page: the verdict of this morning, what was seen, water."""

from __future__ import annotations

import pytest
from django.test import Client

from scionary.book.ids import uuid7
from scionary.book.models import Event, MotherTree, Nursery
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def here(tree: MotherTree) -> str:
    return f"/bench/yard/trees/{tree.pk}/"


def test_the_verdict_stands_first_as_a_form_and_as_a_word(client: Client, here: str) -> None:
    page = check_page(client.get(here))
    assert page.index("Is this a morning to cut?") < page.index("Cut into a bag")
    assert 'class="verdict doubt"' in page
    assert "in doubt" in page
    assert "The book holds no weather: the answers are yours." in page
    assert 'class="verdict doubt"' in check_page(client.get("/bench/yard/"))


def test_what_is_seen_is_written_once_and_turns_the_verdict(client: Client, here: str, in_leaf: None) -> None:
    seen = {"stage": "half_ripe", "soaked": "yes", "firm_at_dawn": "yes", "leaves_dry": "yes", "event_id": str(uuid7())}
    answers = [client.post(f"{here}seen/", seen) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert Event.objects.filter(kind="tree_seen").count() == 1
    page = check_page(client.get(here))
    assert '<p class="say"><span class="verdict living">' in page
    assert "Leaves were firm at dawn." in page
    client.post("/undo/", {"event": str(Event.objects.get(kind="tree_seen").pk)})
    assert "verdict living" not in client.get(here).content.decode()


def test_leaves_that_hang_are_not_cut(client: Client, here: str) -> None:
    client.post(f"{here}seen/", {"stage": "half_ripe", "firm_at_dawn": "no"})
    page = check_page(client.get(here))
    assert "Leaves hung at dawn: water the tree and wait." in page
    assert '<p class="say"><span class="verdict dead">' in page
    assert 'class="cross"' in page


def test_a_form_that_says_nothing_is_asked_again(client: Client, here: str) -> None:
    answer = client.post(f"{here}seen/", {})
    assert answer.status_code == 422
    assert "Say at least one of these" in check_page(answer)
    assert not Event.objects.filter(kind="tree_seen").exists()


def test_water_is_written_with_litres_or_as_watered_through(client: Client, here: str, nursery: Nursery) -> None:
    assert client.post(f"{here}watered/", {"litres": "40"}).status_code == 303
    assert client.post(f"{here}watered/", {}).status_code == 303
    assert [event.payload for event in Event.objects.filter(kind="watered").order_by("happened_at")] == [{"litres": 40.0}, {}]
    assert "Watered last on" in check_page(client.get(here))
    wrong = client.post(f"{here}watered/", {"litres": "-3"})
    assert (wrong.status_code, "water_litres" in check_page(wrong)) == (422, True)


def test_water_of_a_day_to_come_is_refused(client: Client, here: str) -> None:
    assert client.post(f"{here}watered/", {"on": "2899-01-01"}).status_code == 422
    assert not Event.objects.filter(kind="watered").exists()
