"""Before plants are written down as sold or given away: what is asked, and what each answer writes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from scionary.answers.sale_gate import held_back
from scionary.book import queries
from scionary.book.commands import GraftSetup, write_event, write_grafts
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Event, MotherTree, Nursery, Plant
from scionary.book.projection import columns, rebuild
from web.rendered import check_page

pytestmark = pytest.mark.django_db
Send = Callable[..., str]


@pytest.fixture
def plants(cultivar: Cultivar, tree: MotherTree) -> list[Plant]:
    """One inferred, one doubted, one set apart, one never confirmed of a known tree, one confirmed."""
    now = timezone.now() - timedelta(days=60)
    made = write_grafts(GraftSetup(cultivar.pk, now, tree=tree.pk), 5, now=now).plants
    said: list[tuple[str, dict[str, Any]]] = [
        ("name_inferred", {"chance": 0.93}),
        ("name_doubted", {"reason": "redder than its tree"}),
        ("quarantined", {"reason": "dark spots"}),
        ("observed", {}),
        ("name_confirmed", {}),
    ]
    for plant, (kind, payload) in zip(made, said, strict=True):
        write_event(kind, plant.key, payload, happened_at=now + timedelta(days=9), now=now + timedelta(days=9))
    return list(queries.plants())


def _fields(**typed: str) -> dict[str, str]:
    return {"event_id": str(uuid7()), "on": timezone.localdate().isoformat(), "how": "sale", **typed}


def _sell(client: Client, plants: list[Plant], **typed: str) -> str:
    fields = {"kind": "left", "write": "1", "plant": [str(plant.pk) for plant in plants], **_fields(**typed)}
    return check_page(client.post("/plants/several/", fields, follow=True))


def _sell_one(client: Client, plant: Plant, **typed: str) -> str:
    return check_page(client.post(f"/plants/{plant.pk}/write/left/", _fields(**typed), follow=True))


def test_a_confirmed_name_leaves_without_a_question(client: Client, plants: list[Plant]) -> None:
    assert "Written down: sold." in _sell_one(client, plants[4], price="45")
    assert Plant.objects.get(pk=plants[4].pk).flags == []


@pytest.mark.parametrize(
    ("number", "why"),
    [
        (0, "Name inferred, 0.93."),
        (1, "Name in doubt: redder than its tree."),
        (2, "dark spots"),
        (3, "Never confirmed in leaf, and grafted from a tree that is written down: Red Tarn 4."),
    ],
)
def test_one_that_is_not_sure_is_asked_about_and_nothing_is_written(client: Client, plants: list[Plant], number: int, why: str) -> None:
    text = _sell_one(client, plants[number], price="45")
    assert why in text
    assert "Record all the same, flagged" in text
    assert ("Confirm the name now: seen in leaf" in text) is (number != 2)
    assert 'name="price" value="45"' in text
    assert not Event.objects.filter(kind="left").exists()


def test_without_a_known_tree_it_stands_with_its_reason(client: Client, cultivar: Cultivar) -> None:
    now = timezone.now() - timedelta(days=60)
    plant = write_grafts(GraftSetup(cultivar.pk, now), 1, now=now).plants[0]
    assert "Name never confirmed in leaf, its mother tree not written down." in _sell_one(client, plant)


def test_confirmed_at_the_question_it_leaves_with_a_sure_name(client: Client, plants: list[Plant]) -> None:
    assert "1 name confirmed in leaf." in _sell_one(client, plants[0], ask_unsure="confirm")
    sold = Plant.objects.get(pk=plants[0].pk)
    assert (sold.state, sold.name_status, sold.flags) == ("left", "confirmed", [])
    kinds = [event.kind for event in Event.objects.filter(subjects__key=sold.key).order_by("happened_at")]
    assert kinds[-2:] == ["name_confirmed", "left"]


def test_left_out_it_stays(client: Client, plants: list[Plant]) -> None:
    assert "Nothing is written down: Red Tarn 1 is still here." in _sell_one(client, plants[0], ask_unsure="leave_out")
    assert not Event.objects.filter(kind="left").exists()


def test_recorded_all_the_same_it_is_flagged_on_its_page_in_the_list_and_after_a_rebuild(client: Client, plants: list[Plant]) -> None:
    flag = "it left with its name in doubt"
    assert f"Flagged: {flag}." in _sell_one(client, plants[1], ask_unsure="all_the_same")
    assert "Red Tarn 2" in check_page(client.get("/plants/", {"state": "doubt"}))
    before = columns()
    rebuild()
    assert columns() == before
    assert Plant.objects.get(pk=plants[1].pk).flags == [flag]


def test_a_quarantine_cannot_be_confirmed_away(client: Client, plants: list[Plant]) -> None:
    assert "Before it leaves" in _sell_one(client, plants[2], ask_quarantine="confirm")
    assert not Event.objects.filter(kind="left").exists()


def test_several_are_asked_about_by_reason_and_each_answer_counts(client: Client, plants: list[Plant]) -> None:
    asked = _sell(client, plants)
    assert asked.count('type="radio"') == 3 + 2 + 3
    assert "The other 1 is written down as leaving." in asked
    text = _sell(client, plants, ask_quarantine="leave_out", ask_unsure="confirm", ask_unconfirmed="all_the_same")
    assert "Written down for 4 plants: sold." in text
    assert "2 names confirmed in leaf." in text
    assert "Left out, and still here: Red Tarn 3." in text
    assert {plant.spoken: (plant.state, plant.name_status, plant.flags) for plant in Plant.objects.all()} == {
        "Red Tarn 1": ("left", "confirmed", []),
        "Red Tarn 2": ("left", "confirmed", []),
        "Red Tarn 3": ("waiting", "given", []),
        "Red Tarn 4": ("left", "given", ["it left with a name not confirmed in leaf"]),
        "Red Tarn 5": ("left", "confirmed", []),
    }


def test_one_answer_missing_asks_again(client: Client, plants: list[Plant]) -> None:
    text = _sell(client, plants, asked="1", ask_unsure="confirm")
    assert "Answer for each group" in text
    assert (
        not Event.objects.filter(kind__in=("left", "name_confirmed")).exclude(happened_at__lt=timezone.now() - timedelta(days=1)).exists()
    )


def test_sent_twice_it_is_written_once_and_undone_as_one(client: Client, plants: list[Plant]) -> None:
    ident = str(uuid7())
    for _ in range(2):
        assert "Written down" in _sell(client, plants[:2], event_id=ident, ask_unsure="confirm")
    assert Event.objects.filter(kind="left").count() == 2
    events = [str(event.pk) for event in Event.objects.filter(kind="left")] + [
        str(Event.objects.filter(kind="name_confirmed").latest("recorded_at").pk)
    ]
    check_page(client.post("/undo/", {"event": events, "next": "/plants/"}, follow=True))
    assert Plant.objects.get(pk=plants[0].pk).name_caution == "name inferred, 0.93"


def test_one_that_is_thrown_away_needs_no_sure_name(plants: list[Plant], nursery: Nursery) -> None:
    now = timezone.now()
    assert [held.key for held in held_back(plants, {"how": "other"}, now, nursery)] == ["quarantine"]
    assert [held.key for held in held_back(plants, {"how": "gift"}, now, nursery)] == ["quarantine", "unsure", "unconfirmed"]


def test_out_of_leaf_the_question_says_so(plants: list[Plant], nursery: Nursery) -> None:
    told = {
        month: held_back(plants[:1], {"how": "sale"}, timezone.now().replace(year=2027, month=month, day=15), nursery)[0].note
        for month in (1, 7)
    }
    assert told == {1: "Trees do not stand in leaf now: confirm only what you saw in leaf.", 7: ""}
