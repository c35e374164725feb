"""The page for what plants shared: picture, list, and one button for the set."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client

from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Dome, Event, MotherTree, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db
PAGE = "/plants/spread/"
_DOME = "00000000-0000-0000-0000-000000000001"
_ODD = [
    "blade:x",
    "blade:2026-99-01:1:Maren",
    "blade:2026-02-14:1:Maren",
    "cover:x",
    "cover:x:y",
    f"cover:{_DOME}:99999999999999999999",
    f"cover:{_DOME}:5",
]


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
    assert "by these ways the book knows of nothing that it met" in check_page(client.get(PAGE, {**asked, "by": ["stock"]}))
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
    sent = {"from": f"tree:{tree.pk}", "asked": "1", "ask": "sickness", "look": "on", "by": ["wood"], "mark": "quarantined|4|"}
    refused = client.post(f"{PAGE}mark/", {**sent, "event_id": str(uuid7()), "reason": ""})
    assert refused.status_code == 422
    assert not Event.objects.filter(kind="quarantined").exists()
    form = {**sent, "event_id": str(uuid7()), "reason": "cankers"}
    page = check_page(client.post(f"{PAGE}mark/", form, follow=True))
    assert "Written down for 3 plants and 1 mother tree: set in quarantine." in page
    assert "Released from quarantine (cankers): 3 plants and 1 mother tree" in page
    assert page.count("in quarantine</span>") == 3
    again = check_page(client.post(f"{PAGE}mark/", form, follow=True))
    assert "Written down for" not in again
    undone = check_page(_press(client, page, "Undo"))
    assert "3 plants (3 here) could have it." in undone
    assert not Plant.objects.filter(quarantined_at__isnull=False).exists()


def test_a_wrong_name_offers_doubt_in_place_of_quarantine(client: Client, three: list[Plant], tree: MotherTree) -> None:
    page = check_page(client.get(PAGE, {"from": f"tree:{tree.pk}", "ask": "name"}))
    assert "Name in doubt: 3 plants and 1 mother tree" in page
    assert "quarantine" not in page
    sent = {"from": f"tree:{tree.pk}", "asked": "1", "ask": "name", "look": "on", "by": ["wood"], "mark": "name_doubted|4|"}
    done = check_page(client.post(f"{PAGE}mark/", {**sent, "event_id": str(uuid7()), "reason": "too red"}, follow=True))
    assert "Written down for 3 plants and 1 mother tree: name in doubt." in done


def test_another_fear_follows_its_own_usual_ways(client: Client, three: list[Plant]) -> None:
    asked = {"from": f"plant:{three[0].pk}", "asked": "1", "look": "on", "by": ["wood", "blade"], "was": "sickness"}
    assert "2 plants" in check_page(client.get(PAGE, {**asked, "ask": "sickness"}))
    assert "Nothing could be wrong with it: by these ways" in check_page(client.get(PAGE, {**asked, "ask": "name"}))
    assert "2 plants" in check_page(client.get(PAGE, {**asked, "ask": "name", "was": "name"}))


def _press(client: Client, page: str, words: str) -> Any:
    """Send the form of the page that has a button with these words, as it stands."""
    form = next(
        form.split("</form>")[0] for form in page.split("<form")[1:] if re.search(rf"<button[^>]*>{words}", form.split("</form>")[0])
    )
    address = re.search(r'action="([^"]+)"', form)
    assert address
    fields: dict[str, list[str]] = {}
    for name, value in re.findall(r'name="([^"]+)" value="([^"]*)"', form):
        fields.setdefault(name, []).append(html.unescape(value))
    return client.post(address[1], fields, follow=True)


def test_two_reasons_are_two_buttons(client: Client, three: list[Plant], tree: MotherTree, write: Any) -> None:
    write("quarantined", three[0], reason="spots <b>")
    write("quarantined", three[1], reason="scale insects")
    page = check_page(client.get(PAGE, {"from": f"tree:{tree.pk}", "asked": "1", "look": "on", "ask": "sickness", "by": ["wood"]}))
    assert "Released from quarantine (scale insects): 1 plant" in page
    sent = {"from": f"tree:{tree.pk}", "asked": "1", "ask": "sickness", "look": "on", "by": ["wood"], "reason": "looked at twice"}
    done = check_page(client.post(f"{PAGE}mark/", {**sent, "mark": "released|1|scale insects", "event_id": str(uuid7())}, follow=True))
    assert "Written down for 1 plant: released from quarantine." in done
    assert list(Plant.objects.exclude(quarantined_at=None)) == [three[0]]


def test_a_set_that_changed_since_the_page_was_shown_is_shown_again(client: Client, three: list[Plant], tree: MotherTree) -> None:
    sent = {"from": f"tree:{tree.pk}", "asked": "1", "ask": "sickness", "look": "on", "by": ["wood"], "reason": "cankers"}
    answer = client.post(f"{PAGE}mark/", {**sent, "mark": "quarantined|3|", "event_id": str(uuid7())})
    assert answer.status_code == 422
    assert "The book has changed since you looked: it is 3 plants and 1 mother tree now" in html.unescape(answer.content.decode())
    assert not Event.objects.filter(kind="quarantined").exists()


def test_a_bench_day_is_followed_by_swapped_labels(
    client: Client, graft: Callable[..., Written], cultivar: Cultivar, now: datetime
) -> None:
    bench = save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "grafter": "Maren"}, now=now)
    graft(2, bench=bench.pk, grafter="Maren")
    assert f"{PAGE}?from=bench:{bench.pk}" in check_page(client.get(f"/bench/{bench.pk}/"))
    assert "2 plants (2 here) could be wrong with it." in check_page(client.get(PAGE, {"from": f"bench:{bench.pk}", "ask": "name"}))
    assert "2 plants (2 here) could have it." in check_page(client.get(PAGE, {"from": f"bench:{bench.pk}"}))


def test_a_day_to_come_is_refused(client: Client, three: list[Plant]) -> None:
    asked = {"from": f"plant:{three[0].pk}", "asked": "1", "ask": "sickness", "look": "on", "by": ["wood"], "since": "2899-12-31"}
    answer = client.get(PAGE, asked)
    assert answer.status_code == 422
    assert "still to come" in answer.content.decode()


@pytest.mark.parametrize("key", ["", "tree:", "plant:xyz", "<script>", "tree:00000000-0000-0000-0000-000000000001", "nursery:1", *_ODD])
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
