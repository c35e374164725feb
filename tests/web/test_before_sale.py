"""Before plants are written down as sold or given away: what is asked, and what each answer writes."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from scionary.answers.sale_gate import Held, held_back, write_leaving
from scionary.book import queries
from scionary.book.commands import GraftSetup, write_event, write_grafts
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Event, MotherTree, Nursery, Plant
from scionary.book.projection import columns, rebuild
from scionary.errors import Refused
from web.rendered import check_page

pytestmark = pytest.mark.django_db
GRAFTED = datetime(2025, 3, 1, 9, tzinfo=UTC)
IN_LEAF, BARE = datetime(2025, 7, 15, 10, tzinfo=UTC), datetime(2025, 12, 15, 11, tzinfo=UTC)


@pytest.fixture
def plants(cultivar: Cultivar, tree: MotherTree) -> list[Plant]:
    """One inferred, one doubted, one set apart, one never confirmed of a known tree, one confirmed."""
    now = GRAFTED
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
    return {"event_id": str(uuid7()), "on": "2025-07-15", "how": "sale", **typed}


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
    assert ("I saw it in leaf" in text) is (number != 2)
    assert 'name="price" value="45"' in text
    assert not Event.objects.filter(kind="left").exists()


def test_without_a_known_tree_it_stands_with_its_reason(client: Client, cultivar: Cultivar) -> None:
    plant = write_grafts(GraftSetup(cultivar.pk, GRAFTED), 1, now=GRAFTED).plants[0]
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
    assert "Something was written about these plants since you were asked" in text
    assert not Event.objects.filter(kind="left").exists()
    assert Event.objects.filter(kind="name_confirmed").count() == 1


def _mark(text: str) -> str:
    found = re.search(r'name="asked" value="([0-9a-f]{16})"', text)
    assert found
    return found[1]


def test_with_a_group_unanswered_the_same_question_comes_again(client: Client, plants: list[Plant]) -> None:
    text = _sell(client, plants, asked=_mark(_sell(client, plants)), ask_unsure="confirm")
    assert "Answer for each group" in text
    assert not Event.objects.filter(kind="left").exists()


def test_a_quarantine_written_meanwhile_is_asked_about_although_that_group_was_answered(client: Client, plants: list[Plant]) -> None:
    mark = _mark(_sell(client, plants))
    write_event("quarantined", plants[3].key, {"reason": "scale"}, happened_at=GRAFTED + timedelta(days=30), now=timezone.now())
    text = _sell(client, plants, asked=mark, ask_quarantine="all_the_same", ask_unsure="all_the_same", ask_unconfirmed="all_the_same")
    assert "Something was written about these plants since you were asked" in text
    assert not Event.objects.filter(kind="left").exists()


def test_without_an_answer_under_the_lock_nothing_leaves(plants: list[Plant], nursery: Nursery) -> None:
    given: dict[str, Any] = {"happened_at": IN_LEAF, "now": IN_LEAF, "event_id": uuid7()}
    with pytest.raises(Refused, match=r"this is not answered yet: The name of Red Tarn 1 is not sure\. Look again"):
        write_leaving([plants[0], plants[4]], {"how": "sale"}, {}, nursery, **given)
    with pytest.raises(Refused, match="Look again"):
        write_leaving([plants[0]], {"how": "sale"}, {"unsure": "all_the_same"}, nursery, asked="0123456789abcdef", **given)
    assert not Event.objects.filter(kind="left").exists()


def test_a_doubt_written_after_the_plants_were_read_is_seen(plants: list[Plant], nursery: Nursery) -> None:
    write_event("name_doubted", plants[4].key, {"reason": "redder"}, happened_at=GRAFTED + timedelta(days=30), now=IN_LEAF)
    with pytest.raises(Refused, match="The name of Red Tarn 5 is not sure"):
        write_leaving([plants[4]], {"how": "sale"}, {}, nursery, happened_at=IN_LEAF, now=IN_LEAF, event_id=uuid7())


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


def _question(plants: list[Plant], nursery: Nursery, moment: datetime = IN_LEAF) -> Held:
    (held,) = held_back(plants, {"how": "sale"}, moment, nursery)
    return held


def test_while_trees_stand_bare_nothing_can_be_confirmed_by_the_question(plants: list[Plant], nursery: Nursery) -> None:
    bare = _question(plants[:1], nursery, BARE)
    assert [choice for choice, _ in bare.choices] == ["leave_out", "all_the_same"]
    assert bare.note.startswith("Trees do not stand in leaf on that day, so no name is confirmed here.")
    assert _question(plants[:1], nursery).note == ""
    with pytest.raises(Refused, match="not answered yet"):
        write_leaving(plants[:1], {"how": "sale"}, {"unsure": "confirm"}, nursery, happened_at=BARE, now=BARE, event_id=uuid7())


def test_a_fresh_graft_cannot_be_confirmed_by_the_question(cultivar: Cultivar, nursery: Nursery) -> None:
    moment = IN_LEAF - timedelta(days=6)
    young = write_grafts(GraftSetup(cultivar.pk, moment), 1, now=moment).plants
    held = _question(young, nursery)
    assert [choice for choice, _ in held.choices] == ["leave_out", "all_the_same"]
    assert "was grafted on 9 Jul 2025: no leaf of that graft tells its name" in held.note


def test_confirming_is_never_first_and_says_the_chance(plants: list[Plant], nursery: Nursery) -> None:
    write_event("name_inferred", plants[3].key, {"chance": 0.0381}, happened_at=GRAFTED + timedelta(days=30), now=IN_LEAF)
    plants = list(queries.plants())
    assert _question([plants[3]], nursery).choices == (
        ("leave_out", "Leave it out"),
        ("all_the_same", "Record all the same, flagged"),
        ("confirm", "Confirm the name (inferred, 0.03): I saw it in leaf"),
    )
    both = dict(_question([plants[0], plants[3]], nursery).choices)
    assert both["leave_out"] == "Leave these out"
    assert both["confirm"] == "Confirm the names (of 2 inferred, 0.03 or more): I saw each in leaf"


def test_a_doubt_about_its_tree_is_told_and_asked_about_as_not_sure(plants: list[Plant], tree: MotherTree, nursery: Nursery) -> None:
    assert _question([plants[3]], nursery).key == "unconfirmed"
    write_event("name_doubted", tree.key, {"reason": "leaves too red"}, happened_at=GRAFTED, now=IN_LEAF)
    held = _question([plants[3]], nursery)
    assert held.key == "unsure"
    assert held.plants[0][1] == "name never confirmed in leaf; the name of the old tree by the gate is in doubt: leaves too red"
    assert held_back([plants[4]], {"how": "sale"}, IN_LEAF, nursery) == []


def test_a_quarantine_of_its_tree_is_told_too(plants: list[Plant], tree: MotherTree, nursery: Nursery) -> None:
    write_event("quarantined", tree.key, {"reason": "scale"}, happened_at=GRAFTED, now=IN_LEAF)
    held = _question([plants[3]], nursery)
    assert held.plants[0][1] == "name never confirmed in leaf; the old tree by the gate stands in quarantine: scale"


def test_what_was_flagged_already_is_not_asked_again(plants: list[Plant], nursery: Nursery) -> None:
    write_leaving([plants[0]], {"how": "sale"}, {"unsure": "all_the_same"}, nursery, happened_at=IN_LEAF, now=IN_LEAF, event_id=uuid7())
    sold = queries.plant(plants[0].pk)
    assert sold.flags == ["it left with an inferred name that was not confirmed in leaf"]
    assert held_back([sold], {"how": "sale"}, IN_LEAF + timedelta(days=1), nursery) == []
