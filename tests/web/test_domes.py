"""Domes: the list, a dome's page, and what is written down there."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.domes import dome_answer
from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, KeptAside, Method, Nursery, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def healing(graft: Callable[..., Written], dome: Dome, method: Method) -> list[Plant]:
    return graft(3, happened_at=timezone.now() - timedelta(days=19), dome=dome.pk, method=method.pk).plants


def test_without_domes_the_page_says_what_it_is_for_and_offers_one_button(client: Client, nursery: Nursery) -> None:
    main = check_page(client.get("/domes/")).split("<main")[1]
    assert "covered tray or case in which grafts heal" in main
    assert main.split("</main>")[0].count('class="button') == 1


def test_a_dome_in_use_stands_before_an_empty_one(client: Client, healing: list[Plant], now: datetime) -> None:
    save_noun(Dome, {"name": "A dome without anything"}, now=now)
    text = check_page(client.get("/domes/"))
    assert text.index("Dome 1 · day 19 of about 31") < text.index("A dome without anything")


def test_a_dome_s_page_has_its_day_its_tray_its_dates_and_their_reasons(client: Client, healing: list[Plant], dome: Dome) -> None:
    text = check_page(client.get(f"/domes/{dome.pk}/"))
    assert "<h1>Dome 1 · day 19 of about 31</h1>" in text
    assert "Likely alive:" in text
    assert f'href="/plants/{healing[0].pk}/"' in text
    assert "place 4: free" in text
    assert "Check which are firm" in text
    assert "After about a month closed" in text
    check = next(step for step in dome_answer(dome.pk, today=today_at_nursery()).steps if step.say == "Check which are firm")
    assert f": {check.rests_on}.</li>" in text
    assert "No logger hangs in this dome." in text


def test_an_empty_dome_offers_to_graft_or_to_write_down_what_stands(client: Client, dome: Dome) -> None:
    text = check_page(client.get(f"/domes/{dome.pk}/"))
    assert "Nothing stands here now." in text
    assert 'href="/bench/standing/?dome=Dome%201"' in text


def test_a_name_is_enough_for_a_new_dome(client: Client, nursery: Nursery) -> None:
    page = check_page(client.get("/domes/new/"))
    assert 'value="520.7 mm"' in page
    response = client.post("/domes/new/", {"name": "Dome 7", "length_mm": "520.7 mm", "width_mm": "266.7 mm"})
    made = Dome.objects.get(name="Dome 7")
    assert response.headers["Location"] == f"/domes/{made.pk}/"
    assert (made.length_mm, made.width_mm) == (520.7, 266.7)


def test_sizes_are_typed_in_inches_with_fractions_where_the_nursery_reads_inches(client: Client, nursery: Nursery, now: datetime) -> None:
    save_noun(Nursery, {"length_unit": "in"}, now=now, pk=nursery.pk)
    client.post("/domes/new/", {"name": "Dome 7", "length_mm": "20 1/2", "width_mm": "10 1/2"})
    made = Dome.objects.get(name="Dome 7")
    assert made.length_mm == pytest.approx(520.7)
    assert made.width_mm == pytest.approx(266.7)
    assert "20 1/2 in" in client.get(f"/domes/{made.pk}/").content.decode()


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("length_mm", "long", "no length"),
        ("length_mm", "3", "out of range"),
        ("width_mm", "", "required"),
        ("name", "Dome 1", "already exists"),
        ("name", "x" * 61, "at most 60"),
    ],
)
def test_bad_input_keeps_the_form_and_says_why(client: Client, dome: Dome, field: str, typed: str, told: str) -> None:
    given = {"name": "Dome 8", "stands": "by the stove", "length_mm": "520", "width_mm": "260", field: typed}
    response = client.post("/domes/new/", given)
    text = check_page(response)
    assert response.status_code == 422
    assert told in text
    assert 'value="by the stove"' in text
    assert Dome.objects.count() == 1


def test_a_changed_dome_keeps_what_it_was_before_in_the_book(client: Client, dome: Dome) -> None:
    client.post(f"/domes/{dome.pk}/change/", {"name": "Dome 1", "stands": "shed", "length_mm": "600", "width_mm": "300"})
    edited = Event.objects.filter(kind="edited", subjects__key=dome.key).latest("recorded_at")
    assert edited.payload["before"]["stands"] == "north window"
    assert edited.payload["after"]["stands"] == "shed"


@pytest.mark.parametrize(
    ("door", "given", "kind", "payload"),
    [
        ("water", {}, "watered", {}),
        ("water", {"water_mm": "1/2 in"}, "watered", {"water_mm": 12.7}),
        ("vents", {"open_pct": "33"}, "vented", {"open_pct": 33.0}),
        (
            "treat",
            {"product": "Mould stop", "label_says": "as the label has it"},
            "treated",
            {"product": "Mould stop", "label_says": "as the label has it"},
        ),
    ],
)
def test_what_is_done_is_one_event(
    client: Client, dome: Dome, door: str, given: dict[str, str], kind: str, payload: dict[str, Any]
) -> None:
    sent = {**given, "event_id": str(uuid7())}
    for _ in range(2):
        assert client.post(f"/domes/{dome.pk}/{door}/", sent).status_code == 303
    event = Event.objects.get(kind=kind)
    assert event.payload == payload
    assert not KeptAside.objects.exists()
    assert "Last written" in check_page(client.get(f"/domes/{dome.pk}/"))


@pytest.mark.parametrize(
    ("door", "given", "told"),
    [
        ("vents", {"open_pct": "130"}, "less than or equal to 100"),
        ("vents", {"open_pct": ""}, "required"),
        ("vents", {"open_pct": "nan"}, "Enter a number"),
        ("water", {"water_mm": "a lot"}, "no length"),
        ("water", {"when": "yesterday"}, "no moment that exists"),
        ("treat", {"reason": "mould"}, "required"),
    ],
)
def test_what_cannot_be_read_keeps_its_form_open(client: Client, dome: Dome, door: str, given: dict[str, str], told: str) -> None:
    response = client.post(f"/domes/{dome.pk}/{door}/", given)
    text = check_page(response)
    assert response.status_code == 422
    assert told in text.split("<details open>")[1].split("</details>")[0]
    assert not Event.objects.exclude(kind="edited").exists()


def test_a_moment_is_typed_in_the_nursery_s_zone(client: Client, dome: Dome) -> None:
    client.post(f"/domes/{dome.pk}/water/", {"when": "2026-02-10T08:30"})
    assert Event.objects.get(kind="watered").happened_at == datetime(2026, 2, 10, 8, 30, tzinfo=ZoneInfo("Europe/Zurich"))


def test_a_moment_in_the_future_is_flagged_and_written(client: Client, dome: Dome) -> None:
    ahead = (timezone.localtime() + timedelta(days=4)).strftime("%Y-%m-%dT%H:%M")
    text = client.post(f"/domes/{dome.pk}/water/", {"when": ahead}, follow=True).content.decode()
    assert "lies in the future" in text
    assert Event.objects.filter(kind="watered").exists()


def test_no_two_fields_share_an_id(client: Client, healing: list[Plant], dome: Dome) -> None:
    for address in (f"/domes/{dome.pk}/", f"/domes/{dome.pk}/round/"):
        idents = re.findall(r'\sid="([^"]+)"', client.get(address).content.decode())
        assert len(idents) == len(set(idents))


def test_cautions_stand_where_the_work_is(client: Client, healing: list[Plant], dome: Dome) -> None:
    text = client.get(f"/domes/{dome.pk}/").content.decode()
    assert "The product's label is the law where it is sold" in text
    assert "This book states no rate" in text
    assert "Standing water drowns roots" in text


def test_the_lost_are_moved_out_and_the_others_stay(client: Client, healing: list[Plant], dome: Dome, write: Callable[..., Any]) -> None:
    write("lost", healing[0], days=(timezone.now() - datetime(2026, 2, 14, 10, 30, tzinfo=ZoneInfo("UTC"))).days)
    client.post(f"/domes/{dome.pk}/out/", {"which": "lost"})
    assert set(Plant.objects.filter(dome=dome).values_list("pk", flat=True)) == {healing[1].pk, healing[2].pk}
    client.post(f"/domes/{dome.pk}/out/", {"which": "all", "stands": "shade house"})
    assert not Plant.objects.filter(dome=dome).exists()
    assert Plant.objects.get(pk=healing[1].pk).stands == "shade house"


def test_they_were_moved_out_on_another_day_but_on_none_to_come(client: Client, healing: list[Plant], dome: Dome) -> None:
    today = today_at_nursery()
    assert "<summary>On another day</summary>" in client.get(f"/domes/{dome.pk}/").content.decode().split("Plants moved out")[1]
    ahead = client.post(f"/domes/{dome.pk}/out/", {"which": "all", "on": (today + timedelta(days=2)).isoformat()})
    assert (ahead.status_code, "That is 2 days ahead" in check_page(ahead)) == (422, True)
    assert Plant.objects.filter(dome=dome).count() == len(healing)
    day = today - timedelta(days=1)
    done = client.post(f"/domes/{dome.pk}/out/", {"which": "all", "on": day.isoformat()}, follow=True)
    assert f"3 moved out of Dome 1, on {day:%a} {day.day} {day:%b} {day.year}." in check_page(done)
    moved = {timezone.localtime(moment).date() for moment in Event.objects.filter(kind="moved").values_list("happened_at", flat=True)}
    assert moved == {day}


def test_more_pots_than_the_tray_holds_are_flagged_and_listed(client: Client, graft: Callable[..., Written], dome: Dome) -> None:
    graft(12, happened_at=timezone.now() - timedelta(days=2), dome=dome.pk)
    text = check_page(client.get(f"/domes/{dome.pk}/"))
    assert "12 pots are recorded here and the usual tray, taken until you measure this dome, holds 10" in text
    assert "Not on the drawing, the tray has no place for them" in text
    assert "Red Tarn 12" in text


def test_the_dome_card_is_a_pdf(client: Client, healing: list[Plant], dome: Dome) -> None:
    response = client.get(f"/domes/{dome.pk}/card.pdf")
    assert response["Content-Type"] == "application/pdf"
    assert response.content.startswith(b"%PDF")


def test_the_card_of_an_empty_dome_is_refused_in_words(client: Client, dome: Dome) -> None:
    response = client.get(f"/domes/{dome.pk}/card.pdf")
    assert response.status_code == 422
    assert "Write its grafts down first" in check_page(response)


def test_every_door_of_an_unknown_dome_is_a_page_in_words(client: Client, nursery: Nursery) -> None:
    nobody = UUID(int=7)
    for door in ("", "change/", "card.pdf"):
        assert client.get(f"/domes/{nobody}/{door}").status_code == 404
    for door in ("water/", "vents/", "treat/", "out/", "log/", "log/accept/", "round/rest/"):
        assert client.post(f"/domes/{nobody}/{door}").status_code == 404


def test_a_reader_of_inches_sees_no_millimetres(
    client: Client, nursery: Nursery, graft: Callable[..., Written], dome: Dome, method: Method, write: Callable[..., Any], now: datetime
) -> None:
    save_noun(Nursery, {"length_unit": "in"}, now=now, pk=nursery.pk)
    graft(2, happened_at=timezone.now() - timedelta(days=2), dome=dome.pk, method=method.pk)
    write("watered", dome, days=1, water_mm=12.7)
    shown = check_page(client.get(f"/domes/{dome.pk}/"))
    assert "Watered, 1/2 in" in shown
    assert "Top up the water under the grid to 1/4–1/2 in" in shown


def test_long_explanations_are_folded(client: Client, healing: list[Plant], dome: Dome) -> None:
    text = check_page(client.get(f"/domes/{dome.pk}/"))
    assert text.index("What the ring says</summary>") < text.index("A ring is a stem cut across")
    assert text.count("What these dates rest on</summary>") == 1


def test_closed_vents_are_called_closed(client: Client, dome: Dome) -> None:
    client.post(f"/domes/{dome.pk}/vents/", {"open_pct": "0", "event_id": str(uuid7())})
    text = check_page(client.get(f"/domes/{dome.pk}/"))
    assert "now closed" in text
    assert "Vents closed" in text
    assert "0 % open" not in text
