"""Setting the bench: only the cultivar is needed, new names say so, bad input keeps the form."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.domes import dome_answer
from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Dome, Graft, Method, MotherTree, Nursery, Plant, RootstockLot
from web.rendered import check_page

pytestmark = pytest.mark.django_db


def _new(client: Client, **typed: object) -> object:
    fields = {"event_id": str(uuid7()), "cultivar": "Red Tarn", "day": "2026-02-14", "dome": "Dome 1", **typed}
    return client.post("/bench/new/", fields, follow=True)


def test_from_an_empty_book_the_first_page_says_what_it_is_for_and_has_one_button(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/bench/"))
    assert "Write each graft down as you make it" in text
    assert text.count('class="main"') == 1


def test_a_cultivar_and_three_are_enough_for_the_smallest_season(client: Client, nursery: Nursery) -> None:
    first = client.get("/bench/").context["form"]
    typed = {name: getattr(value, "pk", value) for name, value in first.initial.items() if value is not None and name != "cultivar"}
    response = client.post("/bench/new/", {**typed, "event_id": str(uuid7()), "cultivar": "Red Tarn", "count": "3"}, follow=True)
    text = check_page(response)
    assert [plant.spoken for plant in Plant.objects.order_by("running_number")] == ["Red Tarn 1", "Red Tarn 2", "Red Tarn 3"]
    assert "Red Tarn is new to the book and was added as a cultivar." in text
    assert "Next graft: Red Tarn 4" in text
    dome = Dome.objects.get()
    assert dome.name == "Dome 1"
    steps = dome_answer(dome.pk, today=typed["day"]).steps
    assert {"check", "vent"} <= {step.step for step in steps}


def test_grafts_that_are_made_already_carry_their_cut_and_lean(client: Client, nursery: Nursery) -> None:
    _new(client, count="2", stock="7", cut="18", lean="0")
    assert {(graft.stock_mm, graft.cut_mm, graft.lean_mm) for graft in Graft.objects.all()} == {(7.0, 18.0, 0.0)}


def test_the_same_form_sent_twice_makes_one_bench_day_and_its_grafts_once(client: Client, nursery: Nursery) -> None:
    ident = str(uuid7())
    for _ in range(2):
        assert _new(client, event_id=ident, count="3").status_code == 200
    assert BenchDay.objects.count() == 1
    assert Plant.objects.count() == 3


def test_new_lot_tree_and_dome_are_made_and_named(client: Client, nursery: Nursery) -> None:
    text = _new(client, lot="24-B", tree="the old tree by the gate", dome="Dome 9").content.decode()
    assert "24-B is new to the book and was added as a stock lot." in text
    assert "the old tree by the gate is new to the book and was added as a mother tree." in text
    assert RootstockLot.objects.get().count is None
    assert MotherTree.objects.get().cultivar.spoken == "Red Tarn"
    assert Dome.objects.get().length_mm == pytest.approx(520.7)


def test_a_slip_of_the_finger_is_asked_about_before_it_makes_a_cultivar(client: Client, cultivar: Cultivar) -> None:
    response = _new(client, cultivar="Red Tran")
    assert response.status_code == 422
    assert "Did you mean Red Tarn?" in response.content.decode()
    assert Cultivar.objects.count() == 1
    assert _new(client, cultivar="Red Tran", anyway="on").status_code == 200
    assert Cultivar.objects.filter(spoken="Red Tran").exists()


def test_a_tree_of_another_cultivar_is_refused_at_its_field_and_nothing_is_written(client: Client, tree: MotherTree) -> None:
    response = _new(client, cultivar="Fell Lace", tree=tree.name, count="2")
    assert response.status_code == 422
    assert "is a Red Tarn, not a Fell Lace" in response.context["form"].errors["tree"][0]
    assert not Cultivar.objects.filter(spoken="Fell Lace").exists()
    assert not Plant.objects.exists()


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("cultivar", "", "Name the cultivar"),
        ("day", "2026-02-30", "no day that exists"),
        ("count", "0", "greater than or equal to 1"),
        ("stock", "thick", "is no length"),
        ("scion", "-3", "is no length"),
    ],
)
def test_bad_input_keeps_the_form_and_tells_at_the_field(client: Client, nursery: Nursery, field: str, typed: str, told: str) -> None:
    response = _new(client, **{"grafter": "Tobit", field: typed})
    assert response.status_code == 422
    assert told in response.context["form"].errors[field][0]
    assert 'value="Tobit"' in response.content.decode()
    assert not BenchDay.objects.exists()


def test_what_is_changed_holds_for_the_grafts_to_come(client: Client, nursery: Nursery) -> None:
    _new(client, count="1")
    bench = BenchDay.objects.get()
    client.post(f"/bench/{bench.pk}/change/", {"cultivar": "Red Tarn", "day": "2026-02-14", "dome": "Dome 2"})
    client.post(f"/bench/{bench.pk}/graft/", {"event_id": str(uuid7())})
    first, second = Plant.objects.order_by("running_number")
    assert (first.dome.name, second.dome.name) == ("Dome 1", "Dome 2")


def test_the_method_stands_unfolded_and_is_the_usual_one(client: Client, nursery: Nursery, method: Method) -> None:
    now = timezone.now()
    save_noun(BenchDay, {"day": today_at_nursery() - timedelta(days=3), "method": method}, now=now)
    form = client.get("/bench/new/").context["form"]
    assert form.initial["method"] == method
    text = check_page(client.get("/bench/new/"))
    assert text.index('id="id_method"') < text.index("Dome, stock lot, date and more")


def test_a_day_ahead_is_asked_about_once_and_then_taken(client: Client, nursery: Nursery) -> None:
    ahead = (today_at_nursery() + timedelta(days=300)).isoformat()
    asked = _new(client, day=ahead, count="1")
    assert asked.status_code == 422
    assert "That is 300 days ahead: is the year right?" in asked.context["form"].errors["day"][0]
    assert "Yes, the date is right" in asked.content.decode()
    assert not BenchDay.objects.exists()
    taken = check_page(_new(client, day=ahead, count="1", ahead="on"))
    assert BenchDay.objects.get().day.isoformat() == ahead
    assert "lies in the future" in taken


@pytest.mark.parametrize(("unit", "stock", "scion"), [("mm", "6.8 or 1/4 in", "3.1 or 1/8 in"), ("in", "1/4 or 6.8 mm", "1/8 or 3.1 mm")])
def test_examples_of_thickness_suit_kind_and_unit(client: Client, nursery: Nursery, unit: str, stock: str, scion: str) -> None:
    save_noun(Nursery, {"length_unit": unit}, now=timezone.now(), pk=nursery.pk)
    fields = client.get("/bench/new/").context["form"].fields
    assert (fields["stock"].help_text, fields["scion"].help_text) == (stock, scion)
