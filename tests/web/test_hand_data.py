"""What a phone takes along: all that its page reads, nothing that it needs not, and nothing at all when it has it already."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.test import Client
from django.utils import timezone

from scionary.answers.labels_ahead import labels_ahead_pdf
from scionary.book.commands import GraftSetup, save_noun, undo, write_grafts
from scionary.book.models import AcceptedPlan, BenchDay, Cultivar, Dome, Event, MotherTree, Nursery, RootstockLot, ScionBag
from scionary.book.record import NewEvent, record_events
from scionary.names import code_of
from web.phones import Phone, event, grafted

pytestmark = pytest.mark.django_db


@pytest.fixture
def today(nursery: Nursery) -> datetime:
    """This moment: what the page asks for is of today."""
    return timezone.now().astimezone(nursery.zone)


def test_the_names_to_choose_from_are_those_of_the_book(
    phone: Phone, nursery: Nursery, cultivar: Cultivar, tree: MotherTree, lot: RootstockLot
) -> None:
    told = phone.data()
    assert (told["version"], told["nursery"]) == (1, {"name": "Tarn Bridge", "zone": "Europe/Zurich", "length_unit": "mm"})
    assert told["cultivars"] == [{"id": str(cultivar.pk), "spoken": "Red Tarn", "next_number": 1, "protected": ""}]
    assert told["trees"] == [{"id": str(tree.pk), "name": tree.name, "cultivar": str(cultivar.pk), "sticks_left": 40, "caution": ""}]
    assert told["lots"] == [{"id": str(lot.pk), "name": "24-B", "left": 60, "caution": ""}]
    assert {"id", "name"} == set(told["methods"][0]) == set(told["pots_kinds"][0])
    assert datetime.fromisoformat(told["server_now"]).tzinfo is not None


def test_what_was_put_away_stays_at_home(phone: Phone, cultivar: Cultivar, dome: Dome, now: datetime) -> None:
    save_noun(Cultivar, {"retired": True}, now=now, pk=cultivar.pk)
    save_noun(Dome, {"retired": True}, now=now, pk=dome.pk)
    told = phone.data()
    assert (told["cultivars"], told["domes"]) == ([], [])


def test_a_dome_comes_with_its_tray_and_rings(phone: Phone, dome: Dome, cultivar: Cultivar, nursery: Nursery, today: datetime) -> None:
    plants = write_grafts(GraftSetup(cultivar.pk, today - timedelta(days=9), dome=dome.pk), 3, now=today).plants
    lost = NewEvent("lost", today - timedelta(days=1), (plants[1].key,))
    record_events([lost, NewEvent("observed", today - timedelta(days=2), (plants[2].key,), {"seen": "unchanged"})], now=today)
    [here] = phone.data()["domes"]
    assert (here["name"], here["stands"], here["length_mm"], here["width_mm"]) == ("Dome 1", "north window", 520.7, 266.7)
    pots = {pot["said"]: pot for pot in here["pots"] if pot["plant"]}
    first, second, third = (pots[f"Red Tarn {number}"] for number in (1, 2, 3))
    assert (first["place"], first["code"], first["state"], first["last"]) == (1, code_of(plants[0].code_number), "waiting", "")  # type: ignore[arg-type]
    low, mid, high = first["chance"]
    assert 0 <= low <= mid <= high <= 1
    assert (second["chance"], second["mark"]) == (None, "cross")
    seen = today - timedelta(days=2)
    assert third["last"] == f"unchanged, {seen.day} {seen:%b}"
    assert (first["seen_on"], third["seen_on"]) == ("", seen.astimezone(nursery.zone).date().isoformat())
    free = next(pot for pot in here["pots"] if not pot["plant"])
    assert set(free) == {"place", "x_mm", "y_mm", "size_mm", "round", "plant"}
    assert all(0 < pot["x_mm"] < 520.7 and 0 < pot["y_mm"] < 266.7 for pot in here["pots"])


def test_todays_bench_comes_with_what_was_made_and_is_left_of_the_plan(
    phone: Phone, cultivar: Cultivar, dome: Dome, today: datetime
) -> None:
    values = {"day": today.date(), "cultivar": cultivar, "dome": dome, "grafter": "Ida"}
    bench, other = save_noun(BenchDay, values, now=today), save_noun(BenchDay, values, now=today)
    save_noun(
        AcceptedPlan, {"season": _year(today), "accepted_at": today, "lines": [{"cultivar": str(cultivar.pk), "grafts": 14}]}, now=today
    )
    plants = write_grafts(GraftSetup(cultivar.pk, today, bench=bench.pk), 2, now=today).plants
    write_grafts(GraftSetup(cultivar.pk, today, bench=other.pk), 3, now=today)
    found = {each["id"]: each for each in phone.data()["benches"]}
    mine = found[str(bench.pk)]
    assert (mine["day"], mine["cultivar"], mine["dome"], mine["grafter"]) == (
        today.date().isoformat(),
        str(cultivar.pk),
        str(dome.pk),
        "Ida",
    )
    assert [(each["plant"], each["said"]) for each in mine["made"]] == [(str(plant.pk), plant.spoken) for plant in plants]
    assert (mine["planned"], found[str(other.pk)]["planned"]) == (11, 12)
    assert "tree" not in mine


def _year(today: datetime) -> int:
    from scionary.answers.growing_year import year_at
    from scionary.book import queries

    return year_at(today.date(), queries.nursery())


def test_the_last_bench_is_there_to_begin_from(phone: Phone, cultivar: Cultivar, today: datetime) -> None:
    days = [today.date() - timedelta(days=days) for days in (30, 3)]
    for day in days:
        save_noun(BenchDay, {"day": day, "cultivar": cultivar}, now=today)
    assert [each["day"] for each in phone.data()["benches"]] == [days[1].isoformat()]


def test_sticks_and_bags_follow_what_was_cut_corrected_and_undone(
    phone: Phone, tree: MotherTree, cultivar: Cultivar, today: datetime
) -> None:
    cuts = [event("scions_cut", tree.key, f"bag:0190a2b4-0000-7000-8000-00000000000{n}", at=today, sticks=10 * n) for n in (1, 2)]
    assert phone.statuses(*cuts) == ["recorded", "recorded"]
    told = phone.data()
    assert told["trees"][0]["sticks_left"] == 10
    assert sorted(bag["sticks"] for bag in told["bags"]) == [10, 20]
    assert {bag["tree"] for bag in told["bags"]} == {str(tree.pk)}
    fewer = event("corrected", tree.key, at=today, target=cuts[0]["id"], replace={"sticks": 4})
    gone = event("corrected", tree.key, at=today, target=cuts[1]["id"])
    phone.send(fewer, gone)
    told = phone.data()
    assert told["trees"][0]["sticks_left"] == 36
    assert [bag["sticks"] for bag in told["bags"]] == [4]
    assert told["bags_undone"] == ["0190a2b4-0000-7000-8000-000000000002"], "the phone that cut it lets it go"
    save_noun(ScionBag, {"name": "bought wood", "cultivar": cultivar}, now=today)
    assert len(phone.data()["bags"]) == 2


def test_cutting_of_another_growing_year_takes_nothing_from_this_one(phone: Phone, tree: MotherTree, today: datetime) -> None:
    bag = "bag:0190a2b4-0000-7000-8000-000000000001"
    phone.send(event("scions_cut", tree.key, bag, at=today - timedelta(days=399), sticks=10))
    told = phone.data()
    assert (told["trees"][0]["sticks_left"], told["bags"]) == (40, [])


def test_a_tree_in_quarantine_comes_with_its_caution(phone: Phone, tree: MotherTree, lot: RootstockLot, now: datetime) -> None:
    record_events([NewEvent("quarantined", now, (row.key,), {"reason": "canker"}) for row in (tree, lot)], now=now)
    told = phone.data()
    assert "stands in quarantine since 2026-02-14: canker" in told["trees"][0]["caution"]
    assert "Stock lot 24-B stands in quarantine" in told["lots"][0]["caution"]


def test_codes_are_those_at_hand_and_follow_what_was_sent(phone: Phone, cultivar: Cultivar) -> None:
    assert phone.data()["codes"] == []
    numbers = phone.lease()
    assert phone.data()["codes"] == [{"number": number, "code": code_of(number)} for number in numbers]
    phone.send(grafted(cultivar.pk, 1, code_number=numbers[0]))
    assert [code["number"] for code in phone.data()["codes"]] == numbers[1:]
    assert Phone("other").join().data()["codes"] == []


def test_labels_printed_ahead_are_there_until_a_plant_has_one(phone: Phone, cultivar: Cultivar, nursery: Nursery, now: datetime) -> None:
    assert phone.data()["labels_ahead"] == []
    labels_ahead_pdf(3, nursery=nursery, now=now)
    numbers = [label["number"] for label in phone.data()["labels_ahead"]]
    assert len(numbers) == 3
    sent = grafted(cultivar.pk, 1, code_number=numbers[0])
    phone.send(sent, grafted(cultivar.pk, 2, code_number=numbers[1]))
    undo(Event.objects.get(pk=sent["id"]).pk, now=now)
    assert [label["number"] for label in phone.data()["labels_ahead"]] == numbers[2:], "a code is never used again, not even of one undone"
    labels_ahead_pdf(1, nursery=nursery, now=now)
    assert len(phone.data()["labels_ahead"]) == 2


def test_what_the_phone_has_already_is_not_sent_again(phone: Phone, cultivar: Cultivar) -> None:
    first = phone.get()
    again = phone.get(**{"If-None-Match": first["ETag"]})
    assert (first.status_code, again.status_code, again.content) == (200, 304, b"")
    assert again["ETag"] == first["ETag"]
    phone.send(grafted(cultivar.pk, 1))
    assert phone.get(**{"If-None-Match": first["ETag"]}).status_code == 200


def test_reading_writes_nothing(phone: Phone, cultivar: Cultivar, django_assert_num_queries: Any) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as asked:
        phone.get()
    assert [query["sql"] for query in asked if not query["sql"].startswith("SELECT")] == []


def test_a_phone_without_a_name_sees_the_book_on_its_own_machine_only(nursery: Nursery, cultivar: Cultivar, settings: Any) -> None:
    stranger = Phone()
    assert stranger.get().json()["cultivars"][0]["spoken"] == "Red Tarn"
    settings.LOGIN_REQUIRED = True
    answer = stranger.get()
    assert answer.status_code == 401
    assert answer.json()["words"] == "Sign in to the book first."
    assert "Red Tarn" not in answer.content.decode()


def test_beyond_this_machine_the_token_of_an_account_opens_the_book(nursery: Nursery, cultivar: Cultivar, settings: Any) -> None:
    settings.LOGIN_REQUIRED = True
    ida = get_user_model().objects.create_user("ida", password="a long word for tests")
    phone = Phone()
    phone.client.force_login(ida)
    phone.join()
    phone.client = Client(enforce_csrf_checks=True)  # the session has ended
    assert phone.get().status_code == 200
    phone.send(grafted(cultivar.pk, 1))
    assert Event.objects.get(kind="grafted").who == "ida"


def test_a_nursery_of_many_plants_is_small_to_carry(phone: Phone, cultivar: Cultivar, nursery: Nursery, today: datetime) -> None:
    for number in range(8):
        dome = save_noun(Dome, {"name": f"Dome {number + 1}"}, now=today)
        write_grafts(GraftSetup(cultivar.pk, today, dome=dome.pk), 10, now=today)
    text = phone.get().content
    assert len(json.loads(text)["domes"]) == 8
    assert len(text) < 40_000


def test_every_part_of_the_page_finds_what_it_reads(phone: Phone, dome: Dome, lot: RootstockLot, graft: Callable[..., Any]) -> None:
    """The names that the page's scripts read of what the book sends."""
    graft(2, dome=dome.pk, lot=lot.pk)
    told = phone.data()
    lists = {"domes", "cultivars", "trees", "bags", "bags_undone", "lots", "methods", "pots_kinds", "benches", "codes", "labels_ahead"}
    assert set(told) == lists | {"version", "nursery", "server_now"}
    pot = next(pot for pot in told["domes"][0]["pots"] if pot["plant"])
    read = {"place", "x_mm", "y_mm", "size_mm", "round", "plant", "said", "code", "state", "last", "seen_on", "chance", "mark"}
    assert set(pot) == read
