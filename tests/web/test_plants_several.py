"""One record about several plants."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.book.commands import GraftSetup, Written, write_grafts
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Event, Nursery, Plant
from scionary.web.plants.several import FOR_ALL
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def three(cultivar: Cultivar) -> list[Plant]:
    now = timezone.now() - timedelta(days=60)
    return write_grafts(GraftSetup(cultivar.pk, now), 3, now=now).plants


def _send(client: Client, plants: list[Plant], kind: str, **typed: str) -> str:
    fields = {"event_id": str(uuid7()), "on": today_at_nursery().isoformat(), "write": "1", **typed}
    ticked = [str(plant.pk) for plant in plants]
    return check_page(client.post("/plants/several/", {"kind": kind, "plant": ticked, **fields}, follow=True))


def test_the_list_offers_a_tick_for_each_plant_and_for_all_shown(client: Client, three: list[Plant]) -> None:
    text = check_page(client.get("/plants/", {"pick": "1"}))
    assert text.count('name="plant"') == 3
    assert "All 3 shown" in text
    assert "Several at once" in check_page(client.get("/plants/"))


@pytest.mark.parametrize("kind", FOR_ALL)
def test_each_kind_has_a_form_that_writes_nothing_yet(client: Client, three: list[Plant], kind: str) -> None:
    text = check_page(client.post("/plants/several/", {"kind": kind, "plant": [str(three[0].pk), str(three[1].pk)]}))
    assert "Red Tarn 1 and Red Tarn 2." in text
    assert "Write it down for 2" in text
    assert Event.objects.exclude(kind__in=("grafted", "edited")).count() == 0


@pytest.mark.parametrize(
    ("kind", "typed"),
    [
        ("potted_on", {}),
        ("wintered_in", {"stands": "tunnel"}),
        ("left", {"how": "sale", "price": "45", "ask_unsure": "all_the_same"}),
        ("observed", {"note": "aphids"}),
    ],
)
def test_one_form_writes_one_record_for_each(client: Client, three: list[Plant], kind: str, typed: dict[str, str]) -> None:
    text = _send(client, three[:2], kind, **typed)
    assert "Written down for 2 plants" in text
    assert Event.objects.filter(kind=kind).count() == 2


def test_all_that_were_shown_can_be_taken(client: Client, three: list[Plant]) -> None:
    shown = [str(plant.pk) for plant in three]
    client.post("/plants/several/", {"kind": "untied", "all": "1", "shown": shown, "write": "1", "on": today_at_nursery().isoformat()})
    assert Event.objects.filter(kind="untied").count() == 3


def test_it_is_undone_as_one(client: Client, three: list[Plant]) -> None:
    _send(client, three, "potted_on")
    events = client.session["last_written"]["events"]
    check_page(client.post("/undo/", {"event": events, "next": "/plants/"}, follow=True))
    assert not Plant.objects.exclude(potted_on_at=None).exists()


def test_the_same_form_sent_twice_is_written_once(client: Client, three: list[Plant]) -> None:
    ident = str(uuid7())
    for _ in range(2):
        _send(client, three, "staked", event_id=ident)
    assert Event.objects.filter(kind="staked").count() == 3


def test_moved_into_a_dome_each_has_a_place_of_its_own(client: Client, three: list[Plant], dome: Dome) -> None:
    _send(client, three, "moved", dome=str(dome.pk))
    assert sorted(Plant.objects.values_list("place", flat=True)) == [1, 2, 3]


def test_those_still_closed_are_flagged_and_written(client: Client, three: list[Plant], graft: Callable[..., Written]) -> None:
    day = (today_at_nursery() - timedelta(days=50)).isoformat()
    text = _send(client, three[:1], "headed_back", on=day)
    assert "Red Tarn 1: still under the cover by the method on that day; is the date right?" in text
    assert Event.objects.filter(kind="headed_back").count() == 1


def test_nothing_ticked_or_a_kind_of_one_plant_alone_is_refused(client: Client, three: list[Plant], nursery: Nursery) -> None:
    for fields in ({"kind": "untied"}, {"kind": "lost", "plant": [str(three[0].pk)]}, {"kind": "untied", "plant": ["x"]}):
        assert client.post("/plants/several/", fields).status_code in (404, 422)
    assert not Event.objects.filter(kind__in=("untied", "lost")).exists()


def test_a_note_needs_words(client: Client, three: list[Plant]) -> None:
    _send(client, three, "observed")
    assert not Event.objects.filter(kind="observed").exists()


def test_names_of_several_are_not_confirmed_where_one_has_no_leaf(client: Client, three: list[Plant], cultivar: Cultivar) -> None:
    young = write_grafts(GraftSetup(cultivar.pk, timezone.now()), 1, now=timezone.now()).plants
    assert "no leaf of that graft tells its name" in _send(client, [*young, three[0]], "name_confirmed")
    assert not Event.objects.filter(kind="name_confirmed").exists()


def test_while_trees_stand_bare_the_day_of_leaves_is_asked(client: Client, three: list[Plant], out_of_leaf: None) -> None:
    sent = {"kind": "name_confirmed", "plant": str(three[0].pk)}
    assert f'value="{today_at_nursery().isoformat()}"' not in check_page(client.post("/plants/several/", sent))
