"""A plant's page: story, writing down, undo, correction."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Event, MotherTree, Nursery, Plant
from scionary.book.record import NewEvent, record_events
from scionary.web.plants.views import WRITTEN_BY_HAND
from web.rendered import check_page

pytestmark = pytest.mark.django_db


def _page(client: Client, plant: Plant) -> str:
    return check_page(client.get(f"/plants/{plant.pk}/"))


def _write(client: Client, plant: Plant, kind: str, **typed: str) -> object:
    fields = {"event_id": str(uuid7()), "on": today_at_nursery().isoformat(), **typed}
    return client.post(f"/plants/{plant.pk}/write/{kind}/", fields, follow=True)


def test_the_page_says_what_where_and_all_that_happened(
    client: Client, graft: Callable[..., Written], dome: Dome, write: Callable[..., object]
) -> None:
    plant = graft(dome=dome.pk, scion_mm=3.1, stock_mm=6.8).plants[0]
    write("watered", dome, days=1)
    write("scored", plant, days=31, sign="firm", answer="yes")
    text = _page(client, plant)
    assert text.index("Firm</span>") < text.index("Watered</span>") < text.index("Grafted: Red Tarn, into Dome 1, place 1</span>")
    assert "stock: 6.8 mm" in text
    assert "its dome" in text


def test_a_botanical_name_is_set_in_italics_and_escaped(client: Client, plant: Plant, cultivar: Cultivar) -> None:
    save_noun(Cultivar, {"botanical": "Acer palmatum 'Red Tarn' <b>"}, now=timezone.now(), pk=cultivar.pk)
    text = _page(client, plant)
    assert "<i>Acer palmatum</i>" in text
    assert "<b>" not in text.split("<main")[1]


@pytest.mark.parametrize("kind", WRITTEN_BY_HAND)
def test_every_kind_has_a_form_that_can_be_seen(client: Client, plant: Plant, kind: str) -> None:
    text = check_page(client.get(f"/plants/{plant.pk}/write/{kind}/"))
    assert 'name="on"' in text


@pytest.mark.parametrize(
    ("kind", "typed", "told"),
    [
        ("lost", {"sign": "shrivelled", "cause": "overheated"}, "Lost: shrivelled; suspected: overheated"),
        ("moved", {"stands": "cold frame"}, "Moved to cold frame"),
        ("left", {"how": "sale", "price": "45", "ask_unsure": "all_the_same"}, "Sold"),
        ("scored", {"sign": "stalk_drops", "answer": "yes"}, "Stalk drops: alive, not yet united"),
        ("headed_back", {"nodes_left": "2"}, "nodes left: 2"),
        ("treated", {"product": "what the label is of", "note": "<i>wet</i>"}, "&lt;i&gt;wet&lt;/i&gt;"),
    ],
)
def test_what_is_written_by_hand_stands_in_the_story(client: Client, plant: Plant, kind: str, typed: dict[str, str], told: str) -> None:
    assert told in check_page(_write(client, plant, kind, **typed))
    assert Event.objects.get(kind=kind).subjects.filter(key=plant.key).exists()


def test_the_same_form_sent_twice_is_written_once(client: Client, plant: Plant) -> None:
    ident = str(uuid7())
    for _ in range(2):
        _write(client, plant, "untied", event_id=ident)
    assert Event.objects.filter(kind="untied").count() == 1


def test_a_date_in_the_future_is_flagged_and_written(client: Client, plant: Plant) -> None:
    text = check_page(_write(client, plant, "untied", on="2999-01-01"))
    assert "lies in the future" in text
    assert Event.objects.filter(kind="untied").count() == 1


def test_undone_is_struck_and_can_be_brought_back(client: Client, plant: Plant) -> None:
    _write(client, plant, "lost", sign="dry")
    lost = Event.objects.get(kind="lost")
    here = f"/plants/{plant.pk}/"
    gone = check_page(client.post("/undo/", {"event": str(lost.pk), "next": here}, follow=True))
    assert '<s class="said">Lost: dry</s>' in gone
    assert Plant.objects.get().state == "waiting"
    undoing = Event.objects.get(kind="corrected")
    back = check_page(client.post("/undo/", {"event": str(undoing.pk), "next": here}, follow=True))
    assert '<span class="said">Lost: dry</span>' in back
    assert Plant.objects.get().state == "dead"


def test_a_correction_changes_only_what_was_typed_anew(client: Client, plant: Plant) -> None:
    _write(client, plant, "lost", sign="dry", cause="frost")
    lost = Event.objects.get(kind="lost")
    form = client.get(f"/plants/{plant.pk}/correct/{lost.pk}/").context["form"]
    fields = {"on": form.initial["on"].isoformat(), "sign": "dry", "cause": "overheated", "note": ""}
    text = check_page(client.post(f"/plants/{plant.pk}/correct/{lost.pk}/", fields, follow=True))
    assert "Lost: dry; suspected: overheated" in text
    assert Event.objects.get(kind="corrected").payload["replace"] == {"cause": "overheated"}


def test_a_graft_is_corrected_without_losing_what_was_not_touched(client: Client, graft: Callable[..., Written], dome: Dome) -> None:
    plant = graft(dome=dome.pk, scion_mm=3.1, stock_mm=6.8).plants[0]
    event = Event.objects.get(kind="grafted")
    form = client.get(f"/plants/{plant.pk}/correct/{event.pk}/").context["form"]
    fields = {name: form[name].value() for name in form.fields if form[name].value() is not None} | {"scion_mm": "4"}
    check_page(client.post(f"/plants/{plant.pk}/correct/{event.pk}/", {n: str(v) for n, v in fields.items()}, follow=True))
    assert Event.objects.get(kind="corrected").payload["replace"] == {"scion_mm": 4.0}
    assert Plant.objects.get().dome_id == dome.pk


def test_an_unchanged_correction_writes_nothing(client: Client, plant: Plant) -> None:
    _write(client, plant, "lost", sign="dry")
    lost = Event.objects.get(kind="lost")
    form = client.get(f"/plants/{plant.pk}/correct/{lost.pk}/").context["form"]
    client.post(f"/plants/{plant.pk}/correct/{lost.pk}/", {"on": form.initial["on"].isoformat(), "sign": "dry"})
    assert not Event.objects.filter(kind="corrected").exists()


def test_disagreeing_records_are_shown(client: Client, plant: Plant) -> None:
    Plant.objects.filter(pk=plant.pk).update(disputed=["place"])
    assert "Two records disagree on: place" in _page(client, plant)
    Plant.objects.filter(pk=plant.pk).update(disputed=[])


@pytest.mark.parametrize(
    ("kind", "typed", "field"),
    [
        ("scored", {"sign": "firm", "answer": "perhaps"}, "answer"),
        ("moved", {"place": "0"}, "place"),
        ("observed", {"height_mm": "tall"}, "height_mm"),
    ],
)
def test_bad_input_keeps_the_form(client: Client, plant: Plant, kind: str, typed: dict[str, str], field: str) -> None:
    response = _write(client, plant, kind, note="by the door", **typed)
    assert response.status_code == 422
    assert response.context["form"].errors[field]
    assert "by the door" in response.content.decode()
    assert not Event.objects.filter(kind=kind).exists()


def test_a_plant_or_record_of_nobody_is_404_in_words(client: Client, nursery: Nursery, plant: Plant) -> None:
    assert "no such plant" in _missing(client, f"/plants/{uuid7()}/")
    assert "holds no such record" in _missing(client, f"/plants/{plant.pk}/correct/{uuid7()}/")
    assert client.get(f"/plants/{plant.pk}/write/corrected/").status_code == 404


def _missing(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 404
    return response.content.decode()


def test_its_label_is_a_pdf(client: Client, plant: Plant) -> None:
    assert client.get(f"/plants/{plant.pk}/labels.pdf").content.startswith(b"%PDF")


def _correct(client: Client, plant: Plant, **typed: str) -> str:
    event = Event.objects.get(kind="grafted", subjects__key=plant.key)
    form = client.get(f"/plants/{plant.pk}/correct/{event.pk}/").context["form"]
    fields = {name: str(form[name].value()) for name in form.fields if form[name].value() is not None} | typed
    return check_page(client.post(f"/plants/{plant.pk}/correct/{event.pk}/", fields, follow=True))


def test_a_corrected_cultivar_takes_a_free_number_and_the_story_says_what_was(
    client: Client, graft: Callable[..., Written], dome: Dome
) -> None:
    now = timezone.now()
    lanthorn, other = save_noun(Cultivar, {"spoken": "Lanthorn"}, now=now), save_noun(Dome, {"name": "Dome 2"}, now=now)
    graft(1, cultivar=lanthorn.pk, dome=other.pk)
    plant = graft(1, dome=dome.pk).plants[0]
    text = _correct(client, plant, cultivar="Lanthorn", dome=str(other.pk))
    assert "There is a Lanthorn 1 already: Red Tarn 1 is now called Lanthorn 2." in text
    assert "Place 1 of Dome 2 is taken" in text
    assert "Red Tarn → Lanthorn, number 1 → 2, Dome 1 → Dome 2, place 1 → 2 · corrected" in text
    assert "The label still says Red Tarn 1: print a new one." in text
    _write(client, plant, "relabelled")
    assert "The label still says" not in _page(client, plant)


def test_a_correction_of_a_correction_tells_each_step(client: Client, plant: Plant) -> None:
    _correct(client, plant, grafter="Ina")
    text = _correct(client, plant, grafter="Ash")
    assert "grafter nothing → Ina" in text
    assert "grafter Ina → Ash" in text
    assert "grafter nothing → Ash · corrected" in text


def test_grafting_again_with_another_cultivar_never_makes_two_of_one_name(client: Client, graft: Callable[..., Written]) -> None:
    lanthorn = save_noun(Cultivar, {"spoken": "Lanthorn"}, now=timezone.now())
    graft(1, cultivar=lanthorn.pk)
    plant = graft(1).plants[0]
    text = str(_write(client, plant, "regrafted", cultivar="Lanthorn").content.decode())  # type: ignore[attr-defined]
    assert "Red Tarn 1 is now called Lanthorn 2." in text
    assert {each.spoken for each in Plant.objects.all()} == {"Lanthorn 1", "Lanthorn 2"}


def test_a_sold_plant_is_said_to_be_sold(client: Client, plant: Plant) -> None:
    response = _write(client, plant, "left", how="sale", price="45", ask_unsure="all_the_same")
    text = response.content.decode()  # type: ignore[attr-defined]
    assert "Written down: sold." in text
    assert "45.00" in text
    assert 'class="ring"' not in text
    assert "Where it stands is not written down" not in text


def test_what_is_dated_under_the_cover_is_flagged_and_written(client: Client, plant: Plant) -> None:
    response = _write(client, plant, "untied", on="2026-02-20")
    assert "still under the cover by the method on that day; is the date right?" in response.content.decode()  # type: ignore[attr-defined]
    assert Event.objects.filter(kind="untied").exists()


def test_a_mother_tree_of_another_cultivar_is_pointed_out(client: Client, graft: Callable[..., Written], tree: MotherTree) -> None:
    plant = graft(1, tree=tree.pk).plants[0]
    assert "Its mother tree is" not in _page(client, plant)
    lanthorn = save_noun(Cultivar, {"spoken": "Lanthorn"}, now=timezone.now())
    assert "Its mother tree is Red Tarn: correct the tree or the cultivar." in _correct(client, plant, cultivar=lanthorn.spoken)


def test_a_right_cultivar_that_the_book_lacks_is_typed_and_added(client: Client, plant: Plant) -> None:
    assert 'value="Red Tarn"' in check_page(client.get(f"/plants/{plant.pk}/correct/{_graft_of(plant)}/"))
    text = _correct(client, plant, cultivar="Fell  Lace")
    assert "Corrected." in text
    assert Plant.objects.get().spoken == "Fell Lace 1"
    assert "The label still says Red Tarn 1: print a new one." in text


def test_a_typed_cultivar_nearly_in_the_book_is_asked_about_once(client: Client, plant: Plant) -> None:
    save_noun(Cultivar, {"spoken": "Ash Gill"}, now=timezone.now())
    page = f"/plants/{plant.pk}/correct/{_graft_of(plant)}/"
    typed = {"cultivar": "Ash Gil", "running_number": "1", "on": "2026-02-14"}
    asked = client.post(page, typed)
    assert (asked.status_code, "Did you mean Ash Gill?" in check_page(asked)) == (422, True)
    assert not Event.objects.filter(kind="corrected").exists()
    assert Cultivar.objects.count() == 2
    client.post(page, {**typed, "anyway": "on"})
    assert Plant.objects.get().spoken == "Ash Gil 1"


def test_the_right_name_of_a_plant_may_be_new_to_the_book(client: Client, graft: Callable[..., Written]) -> None:
    plant = graft(days=-600).plants[0]
    _write(client, plant, "name_confirmed", cultivar="Fell Lace", on="2025-07-01")
    assert Plant.objects.get().spoken == "Fell Lace 1"


def test_a_name_is_not_confirmed_in_leaf_of_a_graft_that_has_none(client: Client, plant: Plant) -> None:
    refused = client.post(f"/plants/{plant.pk}/write/name_confirmed/", {"on": "2026-02-15"})
    assert refused.status_code == 422
    assert "no leaf of that graft tells its name by 15 Feb 2026" in check_page(refused)
    assert not Event.objects.filter(kind="name_confirmed").exists()


def test_while_trees_stand_bare_no_day_is_set_before_a_name_is_confirmed(client: Client, plant: Plant, out_of_leaf: None) -> None:
    text = check_page(client.get(f"/plants/{plant.pk}/write/name_confirmed/"))
    assert "The day on which you saw it in leaf." in text
    assert f'value="{today_at_nursery().isoformat()}"' not in text
    assert f'value="{today_at_nursery().isoformat()}"' in check_page(client.get(f"/plants/{plant.pk}/write/relabelled/"))


def _graft_of(plant: Plant) -> object:
    return Event.objects.get(kind="grafted", subjects__key=plant.key).pk


def test_the_page_says_since_when_and_why_a_plant_is_set_apart(client: Client, plant: Plant, write: Callable[..., object]) -> None:
    write("quarantined", plant, days=1, reason="cankers")
    write("name_doubted", plant, days=2, reason="leaves too red")
    text = _page(client, plant)
    assert "It stands in quarantine since Sun 15 Feb 2026: cankers." in text
    assert "ask the plant health authority" in text
    assert "Its name is in doubt since Mon 16 Feb 2026: leaves too red." in text
    write("released", plant, days=3)
    write("name_doubt_ended", plant, days=3)
    assert "It stands in quarantine" not in _page(client, plant)
    assert "Its name is in doubt" not in _page(client, plant)


def test_undoing_what_was_written_of_several_says_so_on_the_button(client: Client, graft: Callable[..., Written], now: datetime) -> None:
    plants = graft(3).plants
    record_events([NewEvent("quarantined", now, tuple(plant.key for plant in plants), {"reason": "cankers"})], now=now)
    assert "<button>Undo for all 3</button>" in _page(client, plants[0])
    client.post("/undo/", {"event": str(Event.objects.get(kind="quarantined").pk)})
    assert "<button>Bring it back for all 3</button>" in _page(client, plants[1])
    assert not Plant.objects.exclude(quarantined_at=None).exists()
