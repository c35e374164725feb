"""What a phone wrote becomes codes, bench days and bags of the book: with the ids that the phone gave them, once."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from django.urls import reverse

from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Dome, Event, MotherTree, Plant, ScionBag
from scionary.names import code_of, grouped
from web.phones import AT, Phone, event, grafted, plant_of

pytestmark = pytest.mark.django_db


def test_an_undone_graft_is_gone_and_its_code_is_spent(phone: Phone, cultivar: Cultivar) -> None:
    first = phone.lease()[0]
    graft = grafted(cultivar.pk, 1, code_number=first)
    assert phone.statuses(graft, event("corrected", *graft["subjects"], target=graft["id"])) == ["recorded", "recorded"]
    assert Plant.objects.count() == 0
    assert first not in phone.lease()


def test_a_code_that_another_plant_has_is_written_down_and_flagged(phone: Phone, cultivar: Cultivar) -> None:
    code = phone.lease()[0]
    answers = phone.send(grafted(cultivar.pk, 1, code_number=code), grafted(cultivar.pk, 2, code_number=code))
    assert [answer["status"] for answer in answers] == ["recorded", "recorded"]
    assert code_of(code) in answers[1]["flags"][0]


def test_without_a_code_a_plant_is_written_down_with_its_code_pending(phone: Phone, cultivar: Cultivar) -> None:
    graft = grafted(cultivar.pk, 1)
    assert phone.statuses(graft) == ["recorded"]
    assert plant_of(graft).code_number is None


@pytest.mark.parametrize("number", [450_000, 5_999_999, 7_000_000])
def test_a_code_that_the_book_never_gave_is_told_in_the_note_and_flagged(phone: Phone, cultivar: Cultivar, number: int) -> None:
    graft = grafted(cultivar.pk, 1, code_number=number, note="by the door")
    [answer] = phone.send(graft)
    code = grouped(code_of(number)) if number < 6_000_000 else str(number)
    assert answer["status"] == "recorded"
    assert answer["flags"] == [f"{code} was given to no phone by this book: it is written down without a code"]
    assert plant_of(graft).code_number is None
    assert (
        Event.objects.get(pk=graft["id"]).payload["note"] == f"by the door\nIts label says {code}, a code that this book gave to no phone."
    )
    assert phone.statuses(graft) == ["repeated"]


def test_a_code_of_the_pages_is_not_taken_by_a_phone(phone: Phone, cultivar: Cultivar, graft: Callable[..., Written]) -> None:
    theirs = graft().plants[0].code_number
    sent = grafted(cultivar.pk, 2, code_number=theirs)
    assert phone.send(sent)[0]["flags"]
    assert plant_of(sent).code_number is None


def test_a_bench_that_a_phone_set_is_the_books_once(phone: Phone, cultivar: Cultivar, dome: Dome, tree: MotherTree) -> None:
    bench = uuid7()
    choice = {"cultivar": cultivar.pk, "dome": dome.pk, "tree": tree.pk, "grafter": "Mara"}
    setting = event("bench_set", f"bench:{bench}", bench=bench, day="2026-02-14", **choice)
    graft = grafted(cultivar.pk, 1, bench=bench)
    cleaned = event("blade_cleaned", f"bench:{bench}", how="changed")
    assert phone.statuses(setting, graft, cleaned, setting) == ["recorded", "recorded", "recorded", "repeated"]
    found = BenchDay.objects.get()
    assert (found.pk, found.cultivar, found.dome, found.tree, found.grafter) == (bench, cultivar, dome, tree, "Mara")
    told = Event.objects.get(pk=setting["id"])
    assert (told.kind, told.device, told.payload["after"]["grafter"]) == ("edited", "Mara's phone", "Mara")
    other = setting | {"payload": {**setting["payload"], "grafter": "Ida"}}
    assert phone.statuses(other) == ["kept_aside"]
    assert BenchDay.objects.get().grafter == "Mara"
    assert Client().get(reverse("due:aside")).status_code == 200


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"day": "0001-01-01"}, "is no day"),
        ({"day": None}, "is no day"),
        ({"bench": "x"}, "no id of a bench day"),
        ({"bench": 7}, "no id of a bench day"),
        ({"cultivar": ""}, "'cultivar' is missing"),
        ({"dome": str(UUID(int=1))}, "holds no dome"),
        ({"dome": ["x"]}, "the id of a dome"),
        ({"grafter": "a" * 61}, "at most 60 characters"),
        ({"grafter": 7}, "Give text"),
        ({"colour": "red"}, "No field is called 'colour'"),
    ],
)
def test_a_bench_that_cannot_be_is_refused_in_words(phone: Phone, cultivar: Cultivar, wrong: dict[str, Any], words: str) -> None:
    bench = uuid7()
    sent = event("bench_set", f"bench:{bench}", **{"bench": bench, "day": "2026-02-14", "cultivar": cultivar.pk, **wrong})
    [answer] = phone.send(sent)
    assert answer["status"] == "refused"
    assert words in answer["words"]
    assert BenchDay.objects.count() == 0


def test_a_bag_comes_with_its_sticks_and_grafts_may_name_it(phone: Phone, cultivar: Cultivar, tree: MotherTree) -> None:
    bag, code = uuid7(), phone.lease()[0]
    cut = event("scions_cut", tree.key, f"bag:{bag}", sticks=12, care="stalks_left", stands="cool box", code_number=code)
    graft = grafted(cultivar.pk, 1, bag=bag, tree=tree.pk)
    assert phone.statuses(cut, graft, cut) == ["recorded", "recorded", "repeated"]
    found = ScionBag.objects.get()
    assert (found.pk, found.name, found.tree, found.cultivar) == (bag, "Red Tarn, 14 Feb 11:30", tree, cultivar)
    assert (found.sticks, found.care, found.stands, found.code_number) == (12, "stalks_left", "cool box", code)
    assert (found.cut_on.isoformat(), found.cut_at) == ("2026-02-14", datetime(2026, 2, 14, 10, 30, tzinfo=UTC))  # type: ignore[union-attr]


def test_bags_cut_in_one_minute_have_names_of_their_own(phone: Phone, tree: MotherTree) -> None:
    cuts = [event("scions_cut", tree.key, f"bag:{uuid7()}", sticks=12) for _ in range(3)]
    assert phone.statuses(*cuts) == ["recorded"] * 3
    name = "Red Tarn, 14 Feb 11:30"
    assert set(ScionBag.objects.values_list("name", flat=True)) == {name, f"{name} (2)", f"{name} (3)"}


def test_sticks_that_cannot_be_leave_no_bag_behind(phone: Phone, tree: MotherTree) -> None:
    for wrong in ({"sticks": 0}, {"sticks": "12"}, {"sticks": 2, "care": "boiled"}, {}):
        [answer] = phone.send(event("scions_cut", tree.key, f"bag:{uuid7()}", **wrong))
        assert answer["status"] == "refused"
    [answer] = phone.send(event("scions_cut", f"tree:{uuid7()}", f"bag:{uuid7()}", sticks=2))
    assert "the book holds no" in answer["words"].lower()
    assert ScionBag.objects.count() == 0


def test_the_bench_can_be_undone_by_nobody_into_nothing(phone: Phone, cultivar: Cultivar) -> None:
    """A correction of a bench day's setting is kept and changes no row."""
    bench = uuid7()
    setting = event("bench_set", f"bench:{bench}", bench=bench, day="2026-02-14", cultivar=cultivar.pk, at=AT)
    assert phone.statuses(setting, event("corrected", f"bench:{bench}", target=setting["id"])) == ["recorded", "recorded"]
    assert BenchDay.objects.count() == 1
