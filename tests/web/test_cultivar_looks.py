"""What a cultivar looks like: kept on its page, asked for in the search of a plant without label, exported."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from django.test import Client

from scionary.book.commands import Written, cultivar_called, save_noun
from scionary.book.export import export
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Event, Plant
from scionary.names import TRAITS
from web.rendered import check_page

pytestmark = pytest.mark.django_db
SEARCH = "/plants/nameless/"


@pytest.fixture
def plants(graft: Callable[..., Written], cultivar: Cultivar) -> list[Plant]:
    """Three red ones, three green ones, one of which nothing is written down."""
    now = graft().plants[0].state_since
    assert now is not None
    ash, bare = (cultivar_called(name, now=now) for name in ("Ash Gill", "Lanthorn"))
    save_noun(Cultivar, {"traits": {"summer": "red", "lobes": "7"}}, now=now, pk=cultivar.pk)
    save_noun(Cultivar, {"traits": {"summer": "green", "lobes": "5"}}, now=now, pk=ash.pk)
    graft(2), graft(3, cultivar=ash.pk), graft(1, cultivar=bare.pk)
    return list(Plant.objects.all())


def _keep(client: Client, row: Cultivar, **typed: str) -> str:
    return check_page(client.post(f"/book/cultivars/{row.pk}/", {"spoken": row.spoken, **typed}, follow=True))


def test_a_page_asks_for_each_trait_with_its_own_words(client: Client, cultivar: Cultivar) -> None:
    text = check_page(client.get(f"/book/cultivars/{cultivar.pk}/"))
    assert text.count('<select name="look_') == len(TRAITS)
    assert "What you saw on your own plants" in text
    assert "nearly to the stalk" in text


def test_what_is_chosen_is_kept_said_and_can_be_emptied_again(client: Client, cultivar: Cultivar) -> None:
    _keep(client, cultivar, look_summer="red", look_lobes="7", look_cut="")
    assert Cultivar.objects.get().traits == {"lobes": "7", "summer": "red"}
    text = check_page(client.get(f"/book/cultivars/{cultivar.pk}/"))
    assert "As you saw it: lobes of a leaf: 7; colour in summer: bright red." in text
    assert '<option value="red" selected>' in text
    _keep(client, cultivar, look_summer="", look_lobes="7")
    assert Cultivar.objects.get().traits == {"lobes": "7"}
    assert Event.objects.filter(kind="edited").latest("happened_at").payload["before"]["traits"] == {"lobes": "7", "summer": "red"}


def test_a_form_that_does_not_ask_leaves_it_and_what_is_foreign_stays(client: Client, cultivar: Cultivar) -> None:
    Cultivar.objects.filter(pk=cultivar.pk).update(traits={"smell": "sweet", "lobes": "7"})
    _keep(client, cultivar)
    assert Cultivar.objects.get().traits == {"smell": "sweet", "lobes": "7"}
    _keep(client, cultivar, look_lobes="5")
    assert Cultivar.objects.get().traits == {"smell": "sweet", "lobes": "5"}


def test_another_answer_is_refused_at_its_field(client: Client, cultivar: Cultivar) -> None:
    response = client.post(f"/book/cultivars/{cultivar.pk}/", {"spoken": "Red Tarn", "look_lobes": "eleven"})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["look_lobes"]


def test_a_new_cultivar_may_be_described_at_once(client: Client, nursery: object) -> None:
    client.post("/book/cultivars/new/", {"spoken": "Red Tarn", "look_habit": "weeping", "event_id": str(uuid7())})
    assert Cultivar.objects.get().traits == {"habit": "weeping"}


def test_the_search_asks_for_traits_that_some_cultivar_has(client: Client, plants: list[Plant]) -> None:
    text = check_page(client.get(SEARCH))
    assert text.count('<select name="look_') == 2
    assert "colour in summer" in text.casefold()
    ranked = check_page(client.get(SEARCH, {"look_summer": "green"}))
    assert ranked.index("Ash Gill 1") < ranked.index("Red Tarn")
    assert "for it: what it looks like" in ranked


def test_without_any_description_the_search_says_where_to_write_one(client: Client, plant: Plant) -> None:
    text = check_page(client.get(SEARCH))
    assert '<select name="look_' not in text
    assert "once it is written down" in text


def test_what_was_seen_stands_in_the_story_of_the_plant_it_is_taken_for(client: Client, plants: list[Plant]) -> None:
    target = Plant.objects.get(cultivar__spoken="Ash Gill", running_number=2)
    typed = {"look_summer": "green", "look_lobes": "5", "plant": str(target.pk), "event_id": str(uuid7()), "sure": "1"}
    check_page(client.post(f"{SEARCH}this/", typed, follow=True))
    assert Event.objects.get(kind="name_inferred").payload["note"] == "Known of it: looks lobes of a leaf: 5, colour in summer: green."


def test_a_cultivars_looks_are_exported(plants: list[Plant], tmp_path: Path, now: datetime) -> None:
    export(tmp_path, now=now)
    assert "lobes of a leaf: 7; colour in summer: bright red" in (tmp_path / "cultivars.csv").read_text(encoding="utf-8-sig")
