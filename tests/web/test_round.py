"""A round: one tap a plant, with script and without, undone in place."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import Dome, DomeState, Event, KeptAside, Method, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def three(graft: Callable[..., Written], dome: Dome, method: Method) -> list[Plant]:
    return graft(3, happened_at=timezone.now() - timedelta(days=32), dome=dome.pk, method=method.pk).plants


def _state(plant: Plant) -> str:
    return Plant.objects.get(pk=plant.pk).state


def test_three_grafts_are_checked_in_three_taps_and_the_check_is_done(client: Client, three: list[Plant], dome: Dome) -> None:
    for plant, saw in zip(three, ("firm", "unsure", "lost"), strict=True):
        client.post(f"/domes/{dome.pk}/round/{plant.pk}/", {"saw": saw})
    assert [_state(plant) for plant in three] == ["alive", "waiting", "dead"]
    assert "All 3 seen" in check_page(client.get(f"/domes/{dome.pk}/round/"))
    assert "check which are firm" not in client.get("/due/").content.decode()


def test_the_dome_counts_as_looked_at_only_with_its_last_plant(client: Client, three: list[Plant], dome: Dome) -> None:
    for plant in three[:2]:
        client.post(f"/domes/{dome.pk}/round/{plant.pk}/", {"saw": "firm"})
    assert not DomeState.objects.filter(dome_id=dome.pk).exists()
    client.post(f"/domes/{dome.pk}/round/{three[2].pk}/", {"saw": "firm"})
    assert DomeState.objects.get(dome_id=dome.pk).seen_at is not None


def test_without_script_the_page_comes_back_at_the_same_row(client: Client, three: list[Plant], dome: Dome) -> None:
    response = client.post(f"/domes/{dome.pk}/round/{three[1].pk}/", {"saw": "firm"})
    assert response.status_code == 303
    assert response.headers["Location"] == f"/domes/{dome.pk}/round/#plant-{three[1].pk}"


def test_with_script_the_row_and_the_count_come_back(client: Client, three: list[Plant], dome: Dome) -> None:
    response = client.post(f"/domes/{dome.pk}/round/{three[1].pk}/", {"saw": "firm"}, headers={"HX-Request": "true"})
    text = check_page(response)
    assert response.status_code == 200
    assert "<html" not in text
    assert "Now: firm" in text
    assert "Undo" in text
    assert 'hx-swap-oob="true"' in text
    assert "1 of 3 seen" in text


def test_the_same_tap_sent_twice_is_written_once(client: Client, three: list[Plant], dome: Dome) -> None:
    given = {"saw": "firm", "event_id": str(uuid7())}
    for _ in range(2):
        client.post(f"/domes/{dome.pk}/round/{three[0].pk}/", given)
    assert Event.objects.filter(kind="scored").count() == 1
    assert not KeptAside.objects.exists()


def test_undo_restores_the_row_and_the_check(client: Client, three: list[Plant], dome: Dome) -> None:
    for plant in three:
        client.post(f"/domes/{dome.pk}/round/{plant.pk}/", {"saw": "lost"})
    event = Event.objects.filter(kind="lost", subjects__key=three[2].key).get()
    client.post(f"/domes/{dome.pk}/round/{three[2].pk}/undo/", {"event": str(event.pk)})
    assert _state(three[2]) == "waiting"
    assert "2 of 3 seen" in client.get(f"/domes/{dome.pk}/round/").content.decode()
    assert DomeState.objects.get(dome_id=dome.pk).seen_at is None


@pytest.mark.parametrize(
    ("first", "then", "state", "firm"),
    [("firm", "lost", "dead", None), ("lost", "firm", "alive", "yes"), ("firm", "unsure", "waiting", None)],
)
def test_the_next_tap_mends_a_slip(
    client: Client, three: list[Plant], dome: Dome, first: str, then: str, state: str, firm: str | None
) -> None:
    for saw in (first, then):
        client.post(f"/domes/{dome.pk}/round/{three[0].pk}/", {"saw": saw})
    plant = Plant.objects.get(pk=three[0].pk)
    assert (plant.state, plant.grafts.get().firm, plant.flags) == (state, firm, [])
    row = client.get(f"/domes/{dome.pk}/round/").content.decode().split('class="sheet plant-row"')[1]
    assert row.count('class="chosen"') == 1


def test_all_the_rest_unchanged_leaves_what_was_tapped(client: Client, three: list[Plant], dome: Dome) -> None:
    client.post(f"/domes/{dome.pk}/round/{three[0].pk}/", {"saw": "firm"})
    client.post(f"/domes/{dome.pk}/round/rest/", {})
    seen = Event.objects.filter(kind="observed", payload__seen="unchanged")
    assert {s.key for e in seen for s in e.subjects.all()} == {three[1].key, three[2].key}
    assert DomeState.objects.get(dome_id=dome.pk).seen_at is not None


@pytest.mark.parametrize("saw", ["firm", "unsure", "drops", "stays", "bud", "growing", "in-leaf", "wilting", "mould", "missing", "lost"])
def test_every_sign_is_one_tap(client: Client, three: list[Plant], dome: Dome, saw: str) -> None:
    assert f'name="saw" value="{saw}"' in client.get(f"/domes/{dome.pk}/round/").content.decode()
    client.post(f"/domes/{dome.pk}/round/{three[0].pk}/", {"saw": saw})
    assert Plant.objects.get(pk=three[0].pk).last_sign


def test_a_paper_is_keyed_in_under_its_own_day(client: Client, three: list[Plant], dome: Dome) -> None:
    day = today_at_nursery() - timedelta(days=3)
    page = check_page(client.get(f"/domes/{dome.pk}/round/", {"on": day.isoformat()}))
    assert f'name="on" value="{day.isoformat()}"' in page
    client.post(f"/domes/{dome.pk}/round/{three[0].pk}/", {"saw": "firm", "on": day.isoformat()})
    assert Event.objects.get(kind="scored").happened_at.date() == day


def test_a_day_that_does_not_exist_keeps_the_form(client: Client, three: list[Plant], dome: Dome) -> None:
    response = client.get(f"/domes/{dome.pk}/round/", {"on": "2026-02-31"})
    assert response.status_code == 422
    assert "That is no day that exists" in check_page(response)


@pytest.mark.parametrize("typed", ["0001-01-01", "9999-12-31"])
def test_a_day_at_the_end_of_the_calendar_is_refused(client: Client, three: list[Plant], dome: Dome, typed: str) -> None:
    assert client.get(f"/domes/{dome.pk}/round/", {"on": typed}).status_code == 422


def test_a_tap_with_a_day_that_cannot_be_read_writes_nothing(client: Client, three: list[Plant], dome: Dome) -> None:
    response = client.post(f"/domes/{dome.pk}/round/{three[0].pk}/", {"saw": "firm", "on": "2026-02-31"})
    assert response.status_code == 422
    assert not Event.objects.filter(kind="scored").exists()


def test_a_day_in_the_future_is_flagged_and_written(client: Client, three: list[Plant], dome: Dome) -> None:
    ahead: date = today_at_nursery() + timedelta(days=5)
    given = {"saw": "firm", "on": ahead.isoformat()}
    text = client.post(f"/domes/{dome.pk}/round/{three[0].pk}/", given, headers={"HX-Request": "true"}).content.decode()
    assert "lies in the future" in text
    assert Event.objects.filter(kind="scored").exists()


def test_what_cannot_be_seen_is_refused(client: Client, three: list[Plant], dome: Dome) -> None:
    response = client.post(f"/domes/{dome.pk}/round/{three[0].pk}/", {"saw": "purple"})
    assert response.status_code == 422
    assert "nothing that can be seen" in check_page(response)
    assert client.post(f"/domes/{dome.pk}/round/{uuid4()}/", {"saw": "firm"}).status_code == 404
    assert client.get(f"/domes/{uuid4()}/round/").status_code == 404


def test_plants_lost_earlier_are_not_asked_for_again(client: Client, three: list[Plant], dome: Dome) -> None:
    day = today_at_nursery() - timedelta(days=3)
    client.post(f"/domes/{dome.pk}/round/{three[0].pk}/", {"saw": "lost", "on": day.isoformat()})
    assert "0 of 2 seen" in client.get(f"/domes/{dome.pk}/round/").content.decode()


def test_a_round_goes_by_place_and_then_past_what_has_none(
    client: Client, graft: Callable[..., Written], write: Callable[..., object], dome: Dome
) -> None:
    without, placed = graft(1, dome=dome.pk).plants[0], graft(2, dome=dome.pk, places=(1, 2)).plants
    write("moved", without, dome=dome.pk)  # to nowhere that was said
    page = client.get(f"/domes/{dome.pk}/round/").content.decode()
    rows = [page.index(f'id="plant-{plant.pk}"') for plant in (*placed, without)]
    assert rows == sorted(rows)


def test_an_empty_dome_has_nothing_to_look_at_and_no_day_to_set(client: Client, dome: Dome) -> None:
    page = check_page(client.get(f"/domes/{dome.pk}/round/"))
    assert "Nothing stands here that has to be looked at." in page
    assert "Keying in a paper?" not in page


def test_stalk_signs_are_offered_only_where_there_may_be_a_stalk(
    client: Client, graft: Callable[..., Written], dome: Dome, method: Method
) -> None:
    dormant = Method.objects.get(name="Side veneer, dormant, winter")
    made = {"happened_at": timezone.now() - timedelta(days=20), "dome": dome.pk}
    rows = [graft(method=pk, **made).plants[0] for pk in (dormant.pk, method.pk, None)]
    page = client.get(f"/domes/{dome.pk}/round/").content.decode()
    parts = {plant.pk: page.split(f'id="plant-{plant.pk}"')[1].split("</section>")[0] for plant in rows}
    assert ["Stalk drops" in parts[plant.pk] for plant in rows] == [False, True, True]
    assert all("Bud moving" in part for part in parts.values())
    text = client.post(f"/domes/{dome.pk}/round/{rows[0].pk}/", {"saw": "stays"}, headers={"HX-Request": "true"}).content.decode()
    assert "made without leaves" in text


def test_a_tap_that_moves_the_chance_shows_from_where_to_where(client: Client, three: list[Plant], dome: Dome) -> None:
    address = f"/domes/{dome.pk}/round/{three[0].pk}/"
    with_script = check_page(client.post(address, {"saw": "drops"}, headers={"HX-Request": "true"}))
    told = re.search(r'class="chance">chance (\d+) → (\d+) %<', with_script)
    assert told is not None
    assert int(told[2]) > int(told[1])
    assert told[0] in check_page(client.get(f"/domes/{dome.pk}/round/"))
