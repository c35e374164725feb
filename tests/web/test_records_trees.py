"""A mother tree's form: the plant that it grew from, by code or by name."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest
from django.test import Client

from scionary.book.commands import Written, save_noun, undo
from scionary.book.models import Cultivar, Graft, MotherTree, RootstockLot
from scionary.names import code_of, grouped
from web.rendered import check_page

pytestmark = pytest.mark.django_db


def _typed(tree: MotherTree, **more: str) -> dict[str, str]:
    return {"name": tree.name, "cultivar": str(tree.cultivar_id), "raised_from": "", **more}


def test_the_plant_is_typed_by_name_kept_and_shown_with_its_code(client: Client, graft: Callable[..., Written], tree: MotherTree) -> None:
    plant = graft(2).plants[1]
    address = f"/book/trees/{tree.pk}/"
    assert client.post(address, _typed(tree, raised_from="red tarn 2")).status_code == 303
    assert MotherTree.objects.get(pk=tree.pk).raised_from_id == plant.pk
    text = check_page(client.get(address))
    code = grouped(code_of(plant.code_number or 0))
    assert f'value="{code}"' in text
    assert f'grew from <a href="/plants/{plant.pk}/">Red Tarn 2</a>' in text
    assert client.post(address, _typed(tree, raised_from=code)).status_code == 303
    assert MotherTree.objects.get(pk=tree.pk).raised_from_id == plant.pk
    assert client.post(address, _typed(tree)).status_code == 303
    assert MotherTree.objects.get(pk=tree.pk).raised_from_id is None


def test_a_new_tree_may_say_it_too(client: Client, graft: Callable[..., Written], cultivar: Cultivar) -> None:
    plant = graft().plants[0]
    typed = {"name": "young one", "cultivar": str(cultivar.pk), "raised_from": "Red Tarn 1"}
    assert client.post("/book/trees/new/", typed).status_code == 303
    assert MotherTree.objects.get(name="young one").raised_from_id == plant.pk
    assert "It grew into a mother tree" in check_page(client.get(f"/plants/{plant.pk}/"))


@pytest.mark.parametrize(("typed", "told"), [("Red Tarn", "Give the code of one of them"), ("Red Tarn 9", "No plant")])
def test_a_name_that_means_no_one_plant_is_refused_at_the_field(
    client: Client, graft: Callable[..., Written], tree: MotherTree, typed: str, told: str
) -> None:
    graft(2)
    response = client.post(f"/book/trees/{tree.pk}/", _typed(tree, raised_from=typed))
    assert response.status_code == 422
    assert told in response.context["form"].errors["raised_from"][0]
    assert f'value="{typed}"' in check_page(response)
    assert MotherTree.objects.get(pk=tree.pk).raised_from_id is None


def test_a_tree_of_another_name_than_its_plant_is_kept_and_said(
    client: Client, graft: Callable[..., Written], tree: MotherTree, now: datetime
) -> None:
    graft()
    lanthorn = save_noun(Cultivar, {"spoken": "Lanthorn"}, now=now)
    typed = _typed(tree, raised_from="Red Tarn 1", cultivar=str(lanthorn.pk))
    text = check_page(client.post(f"/book/trees/{tree.pk}/", typed, follow=True))
    assert "one of the two names is wrong, unless it is a sport" in text


def test_a_tree_whose_plant_is_undone_can_still_be_seen(
    client: Client, graft: Callable[..., Written], tree: MotherTree, now: datetime
) -> None:
    plant = graft().plants[0]
    save_noun(MotherTree, {"raised_from": plant}, now=now, pk=tree.pk)
    undo(Graft.objects.get(plant=plant).pk, now=now)
    assert "is undone. Bring it back first" in check_page(client.get(f"/book/trees/{tree.pk}/"))
    check_page(client.get("/book/trees/"))


def test_a_plant_s_page_tells_its_line_further_back(client: Client, graft: Callable[..., Written], tree: MotherTree, now: datetime) -> None:
    first = graft(tree=tree.pk).plants[0]
    young = save_noun(MotherTree, {"name": "young one", "cultivar": tree.cultivar, "raised_from": first}, now=now)
    text = check_page(client.get(f"/plants/{graft(days=400, tree=young.pk).plants[0].pk}/"))
    further = text.split("<h3>Further back</h3>")[1]
    assert "young one</a> grew from" in further
    assert "with wood from the old tree by the gate" in further
    assert "Further back" not in check_page(client.get(f"/plants/{first.pk}/"))


def test_a_tree_that_is_set_apart_says_so_with_what_came_from_it_since(
    client: Client, graft: Callable[..., Written], tree: MotherTree, lot: RootstockLot, write: Callable[..., object]
) -> None:
    write("quarantined", tree.key, days=1, reason="cankers")
    write("quarantined", lot.key, days=1, reason="galls")
    plant = graft(days=2, tree=tree.pk).plants[0]
    text = check_page(client.get(f"/book/trees/{tree.pk}/"))
    assert "The old tree by the gate stands in quarantine since 2026-02-15: cankers." in text
    assert "1 plant has come in since, and is not set apart:" in text
    assert f'href="/plants/{plant.pk}/"' in text
    assert "24-B stands in quarantine" in check_page(client.get(f"/book/lots/{lot.pk}/"))
