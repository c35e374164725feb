"""The book's nouns and settings: lists, adding, changing."""

from __future__ import annotations

import pytest
from django.test import Client

from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Event, MotherTree, Nursery, PotKind, RootstockLot
from scionary.web.records.nouns import NOUN_PAGES
from web.rendered import check_page

pytestmark = pytest.mark.django_db

SETTINGS = {
    "name": "Tarn Bridge",
    "latitude_deg": "47.2",
    "time_zone": "Europe/Zurich",
    "length_unit": "in",
    "temperature_unit": "F",
    "paper": "letter",
    "skill": "beginner",
}


def test_the_book_s_page_leads_to_everything_in_it(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/book/"))
    for address in ("settings", "import", "backup", "export", "jobs", *NOUN_PAGES):
        assert f'href="/book/{address}/"' in text


def test_all_time_zones_are_offered_and_a_town_is_enough(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/book/settings/"))
    assert '<option value="Australia/Melbourne">' in text
    assert text.count("<option value=") > 300
    for typed, meant in (("melbourne", "Australia/Melbourne"), ("New York", "America/New_York"), ("europe/zurich", "Europe/Zurich")):
        assert client.post("/book/settings/", {**SETTINGS, "time_zone": typed}).status_code == 303
        assert Nursery.objects.get().time_zone == meant


def test_settings_are_kept(client: Client, nursery: Nursery) -> None:
    assert client.post("/book/settings/", SETTINGS).status_code == 303
    row = Nursery.objects.get()
    assert (row.length_unit, row.temperature_unit, row.paper) == ("in", "F", "letter")


@pytest.mark.parametrize(
    ("field", "typed"), [("time_zone", "Mars/North"), ("latitude_deg", "91"), ("bench_hours_a_week", "-1"), ("name", "")]
)
def test_settings_that_cannot_be_are_told_at_the_field(client: Client, nursery: Nursery, field: str, typed: str) -> None:
    response = client.post("/book/settings/", {**SETTINGS, field: typed})
    assert response.status_code == 422
    assert response.context["form"].errors[field]
    assert Nursery.objects.get().length_unit == "mm"


@pytest.mark.parametrize("noun", NOUN_PAGES)
def test_every_list_and_form_can_be_seen(client: Client, nursery: Nursery, noun: str, tree: MotherTree, lot: RootstockLot) -> None:
    assert str(NOUN_PAGES[noun].sentence) in check_page(client.get(f"/book/{noun}/"))
    check_page(client.get(f"/book/{noun}/new/"))
    row = NOUN_PAGES[noun].model._default_manager.first()
    assert str(row) in check_page(client.get(f"/book/{noun}/{row.pk}/"))


@pytest.mark.parametrize("noun", NOUN_PAGES)
def test_a_row_kept_as_it_stands_loses_nothing(client: Client, noun: str, tree: MotherTree, lot: RootstockLot) -> None:
    model = NOUN_PAGES[noun].model
    row = model._default_manager.values().first()
    form = client.get(f"/book/{noun}/{row['id']}/").context["form"]
    fields = {name: form[name].value() for name in form.fields if form[name].value() not in (None, False)}
    response = client.post(f"/book/{noun}/{row['id']}/", {n: str(getattr(v, "pk", v)) for n, v in fields.items()})
    assert response.status_code == 303, response.context["form"].errors
    assert model._default_manager.values().get(id=row["id"]) == row


def test_a_lot_is_added_once_and_counts_what_is_left(client: Client, nursery: Nursery) -> None:
    ident = str(uuid7())
    for _ in range(2):
        client.post("/book/lots/new/", {"event_id": ident, "name": "25-A", "count": "40", "diameter_mm": "7.5"})
    assert RootstockLot.objects.get().diameter_mm == pytest.approx(7.5)
    assert "40 of 40 left" in check_page(client.get("/book/lots/"))


def test_a_pot_is_typed_in_inches_by_whom_reads_inches(client: Client, nursery: Nursery) -> None:
    Nursery.objects.update(length_unit="in")
    client.post("/book/pots/new/", {"name": "Tall square", "shape": "square", "across_mm": "3 7/8"})
    assert PotKind.objects.get(name="Tall square").across_mm == pytest.approx(98.425)


def test_a_name_that_is_taken_is_told_at_the_field(client: Client, cultivar: Cultivar) -> None:
    response = client.post("/book/cultivars/new/", {"spoken": "Red Tarn"})
    assert response.status_code == 422
    assert response.context["form"].errors["spoken"]


def test_an_edit_is_written_into_the_record(client: Client, cultivar: Cultivar) -> None:
    client.post(f"/book/cultivars/{cultivar.pk}/", {"spoken": "Red Tarn", "botanical": "Acer palmatum 'Red Tarn'"})
    edited = Event.objects.filter(kind="edited", subjects__key=cultivar.key).order_by("recorded_at", "id").last()
    assert edited.payload["after"]["botanical"] == "Acer palmatum 'Red Tarn'"


def test_no_longer_offered_is_shown_apart(client: Client, cultivar: Cultivar) -> None:
    client.post(f"/book/cultivars/{cultivar.pk}/", {"spoken": "Red Tarn", "retired": "on"})
    assert "No longer offered: 1" in check_page(client.get("/book/cultivars/"))


def test_a_row_or_kind_of_nobody_is_404(client: Client, nursery: Nursery) -> None:
    response = client.get(f"/book/lots/{uuid7()}/")
    assert response.status_code == 404
    assert "no such stock lot" in response.content.decode()
    assert client.get("/book/stars/").status_code == 404
