"""Two phones, or two people, who say differently of one plant on one walk: the later look holds, and it is flagged."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.test import Client

from scionary.book.commands import undo
from scionary.book.models import Plant
from scionary.book.record import NewEvent, record_events
from web.phones import Phone, event

pytestmark = pytest.mark.django_db


def firm(plant: Plant, at: str, answer: str = "yes") -> dict[str, Any]:
    return event("scored", plant.key, at=f"2026-03-20T{at}:00Z", sign="firm", answer=answer)


def lost(plant: Plant, at: str, day: int = 20) -> dict[str, Any]:
    return event("lost", plant.key, at=f"2026-03-{day}T{at}:00Z")


def state(plant: Plant) -> str:
    return Plant.objects.get(pk=plant.pk).state


@pytest.fixture
def other(phone: Phone) -> Phone:
    return Phone("Ida's phone").join()


@pytest.mark.parametrize("first_in", ["mara", "ida"])
def test_the_later_look_holds_whichever_comes_first_and_the_second_answer_says_so(
    phone: Phone, other: Phone, plant: Plant, client: Client, first_in: str
) -> None:
    sends = [(phone, firm(plant, "10:00")), (other, lost(plant, "09:59"))]
    (one, said_first), (two, said_second) = sends if first_in == "mara" else sends[::-1]
    assert one.send(said_first)[0]["flags"] == []
    hand, what = ("Mara's phone", "firm") if first_in == "mara" else ("Ida's phone", "lost")
    assert two.send(said_second)[0]["flags"] == [f"{hand} wrote {what} on the same walk: the later of the two holds"]
    assert state(plant) == "alive"
    page = client.get(f"/plants/{plant.pk}/").content.decode().replace("&#x27;", "'")
    assert "On one walk Ida's phone wrote lost at " in page
    assert ", and Mara's phone wrote firm at " in page


def test_a_stage_reached_and_not_reached_contradict_too(phone: Phone, other: Phone, plant: Plant) -> None:
    phone.send(firm(plant, "10:00"))
    assert len(other.send(firm(plant, "10:05", "no"))[0]["flags"]) == 1
    assert state(plant) == "waiting"


def test_two_who_agree_and_one_who_taps_twice_are_not_flagged(phone: Phone, other: Phone, plant: Plant, client: Client) -> None:
    flags = [phone.send(each)[0]["flags"] for each in (lost(plant, "10:00"), firm(plant, "10:01"))]
    flags += [other.send(firm(plant, "10:02"))[0]["flags"]]
    assert flags == [[], [], []]
    assert "On one walk" not in client.get(f"/plants/{plant.pk}/").content.decode()


@pytest.mark.parametrize("settles", ["undo", "unsure", "another day"])
def test_it_stands_on_the_plant_until_it_is_settled(phone: Phone, other: Phone, plant: Plant, client: Client, settles: str) -> None:
    said = lost(plant, "09:59")
    phone.send(firm(plant, "10:00"))
    other.send(said)
    assert "On one walk" in client.get(f"/plants/{plant.pk}/").content.decode()
    if settles == "undo":
        undo(UUID(said["id"]), now=datetime.now(UTC))
    else:
        phone.send(firm(plant, "10:30", "unsure") if settles == "unsure" else lost(plant, "10:00", day=21))
    assert "On one walk" not in client.get(f"/plants/{plant.pk}/").content.decode()


def test_a_plant_that_died_on_another_day_contradicts_nothing(phone: Phone, other: Phone, plant: Plant) -> None:
    phone.send(firm(plant, "10:00"))
    assert other.send(lost(plant, "10:00", day=28))[0]["flags"] == []


@pytest.mark.parametrize(("who", "flagged"), [(("", ""), False), (("mara", "mara"), False), (("mara", "ida"), True)])
def test_a_phone_and_a_laptop_are_one_hand_unless_two_accounts_wrote(
    plant: Plant, client: Client, who: tuple[str, str], flagged: bool
) -> None:
    at = datetime(2026, 3, 20, 10, tzinfo=UTC)
    tapped = NewEvent("scored", at, (plant.key,), {"sign": "firm", "answer": "yes"}, who=who[0], device="Mara's phone")
    typed = NewEvent("lost", at + timedelta(minutes=5), (plant.key,), who=who[1])
    record_events([tapped, typed], now=at + timedelta(hours=1))
    assert ("On one walk" in client.get(f"/plants/{plant.pk}/").content.decode()) is flagged
