"""The page for what plants shared: picture, list, and one button for the set."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client

from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, MotherTree, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db
PAGE = "/plants/spread/"


@pytest.fixture
def three(graft: Callable[..., Written], tree: MotherTree) -> list[Plant]:
    return graft(3, tree=tree.pk, grafter="Maren").plants


def test_a_plants_page_leads_to_what_it_shared(client: Client, three: list[Plant]) -> None:
    text = check_page(client.get(f"/plants/{three[0].pk}/"))
    assert f"{PAGE}?from=plant:{three[0].pk}" in text
    page = check_page(client.get(PAGE, {"from": f"plant:{three[0].pk}"}))
    assert "2 plants (2 here) could have it." in page
    assert "Red Tarn 1 shared" in page
    assert "the old tree by the gate" in page
    assert page.count("Through Maren’s blade") == 2


def test_a_trees_page_leads_to_its_grafts_with_a_picture(client: Client, three: list[Plant], tree: MotherTree) -> None:
    assert "What could have caught it from here?" in check_page(client.get(f"/book/trees/{tree.pk}/"))
    page = check_page(client.get(PAGE, {"from": f"tree:{tree.pk}"}))
    assert '<svg class="spread"' in page
    assert page.count("Straight from the old tree by the gate") == 3


def test_domes_and_stock_lots_lead_there_too(client: Client, three: list[Plant], dome: Dome) -> None:
    assert f"{PAGE}?from=dome:{dome.pk}" in check_page(client.get(f"/domes/{dome.pk}/"))
    assert client.get(PAGE, {"from": f"dome:{dome.pk}"}).status_code == 404


def test_ways_can_be_chosen_and_one_must_be(client: Client, three: list[Plant]) -> None:
    asked = {"from": f"plant:{three[0].pk}", "asked": "1", "ask": "sickness", "look": "on"}
    assert "it met nothing by these ways" in check_page(client.get(PAGE, {**asked, "by": ["stock"]}))
    none = client.get(PAGE, asked)
    assert none.status_code == 422
    assert "This field is required" in none.content.decode()
    assert client.get(PAGE, {**asked, "by": ["wind"]}).status_code == 422
    assert client.get(PAGE, {**asked, "by": ["wood"], "since": "31.2.2026"}).status_code == 422


def test_where_it_could_have_come_from_lists_the_tree(client: Client, three: list[Plant]) -> None:
    page = check_page(client.get(PAGE, {"from": f"plant:{three[2].pk}", "asked": "1", "ask": "sickness", "look": "back", "by": ["wood"]}))
    assert "Mother trees, bags and stock lots" in page
    assert "Straight to Red Tarn 3" in page


def test_the_whole_set_is_set_in_quarantine_and_undone(client: Client, three: list[Plant], tree: MotherTree) -> None:
    sent = {"from": f"tree:{tree.pk}", "asked": "1", "ask": "sickness", "look": "on", "by": ["wood"], "mark": "quarantined"}
    refused = client.post(f"{PAGE}mark/", {**sent, "event_id": str(uuid7()), "reason": ""})
    assert refused.status_code == 422
    assert not Event.objects.filter(kind="quarantined").exists()
    form = {**sent, "event_id": str(uuid7()), "reason": "cankers"}
    page = check_page(client.post(f"{PAGE}mark/", form, follow=True))
    assert "Written down for 3 plants and 1 mother tree: set in quarantine." in page
    assert "Released from quarantine: 3 plants and 1 mother tree" in page
    assert page.count("in quarantine</span>") == 3
    again = check_page(client.post(f"{PAGE}mark/", form, follow=True))
    assert "Written down for" not in again
    ident = str(Event.objects.get(kind="quarantined").pk)
    client.post("/undo/", {"event": ident, "next": "/plants/"}, follow=True)
    assert not Plant.objects.filter(quarantined_at__isnull=False).exists()


def test_a_wrong_name_offers_doubt_in_place_of_quarantine(client: Client, three: list[Plant], tree: MotherTree) -> None:
    page = check_page(client.get(PAGE, {"from": f"tree:{tree.pk}", "ask": "name"}))
    assert "Name in doubt: 3 plants and 1 mother tree" in page
    assert "quarantine" not in page
    sent = {"from": f"tree:{tree.pk}", "asked": "1", "ask": "name", "look": "on", "by": ["wood"], "mark": "name_doubted"}
    done = check_page(client.post(f"{PAGE}mark/", {**sent, "event_id": str(uuid7()), "reason": "too red"}, follow=True))
    assert "Written down for 3 plants and 1 mother tree: name in doubt." in done


def test_another_fear_follows_its_own_usual_ways(client: Client, three: list[Plant]) -> None:
    asked = {"from": f"plant:{three[0].pk}", "asked": "1", "look": "on", "by": ["wood", "blade"], "was": "sickness"}
    assert "2 plants" in check_page(client.get(PAGE, {**asked, "ask": "sickness"}))
    assert "it met nothing by these ways" in check_page(client.get(PAGE, {**asked, "ask": "name"}))
    assert "2 plants" in check_page(client.get(PAGE, {**asked, "ask": "name", "was": "name"}))


@pytest.mark.parametrize("key", ["", "tree:", "plant:xyz", "<script>", "tree:00000000-0000-0000-0000-000000000001", "nursery:1"])
def test_what_names_nothing_is_answered_plainly(client: Client, three: list[Plant], key: str) -> None:
    answer = client.get(PAGE, {"from": key})
    assert answer.status_code == 404
    assert "<script>" not in answer.content.decode().split("</head>")[1]


def test_a_tree_without_grafts_is_set_apart_alone(client: Client, tree: MotherTree) -> None:
    page = check_page(client.get(PAGE, {"from": f"tree:{tree.pk}"}))
    assert "Set in quarantine: 1 mother tree" in page


def test_an_unknown_mark_is_refused(client: Client, three: list[Plant], tree: MotherTree) -> None:
    sent = {"from": f"tree:{tree.pk}", "asked": "1", "ask": "name", "look": "on", "by": ["wood"], "mark": "burned", "reason": "x"}
    assert client.post(f"{PAGE}mark/", sent).status_code == 422
    assert client.get(f"{PAGE}mark/").status_code == 405


def test_a_list_longer_than_a_page_is_turned(client: Client, graft: Callable[..., Written], tree: MotherTree) -> None:
    graft(130, tree=tree.pk)
    asked = {"from": f"tree:{tree.pk}", "asked": "1", "ask": "name", "look": "on", "by": ["wood"]}
    assert "page 1 of 2" in check_page(client.get(PAGE, asked))
    second = check_page(client.get(PAGE, {**asked, "page": "2"}))
    assert second.count("Straight from") == 30
