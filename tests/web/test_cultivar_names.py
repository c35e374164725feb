"""A cultivar's names and its protection: the form, and every page where propagating is decided."""

from __future__ import annotations

from datetime import date, datetime

import pypdfium2
import pytest
from django.test import Client

from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Nursery, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db

SAID = "Red Tarn is recorded as protected until 2099-12-31. Check the Tarnland register; propagating it may need the holder"


@pytest.fixture
def protected(cultivar: Cultivar, now: datetime) -> Cultivar:
    values = {"protected": True, "protected_until": date(2099, 12, 31), "protection_register": "the Tarnland register"}
    return save_noun(Cultivar, values, now=now, pk=cultivar.pk)


def test_the_form_keeps_trade_designation_and_protection(client: Client, nursery: Nursery) -> None:
    typed = {
        "spoken": "Red Tarn", "botanical": "Acer palmatum 'Tarnred'", "trade_designation": "Red Tarn", "protected": "on",
        "protected_until": "2099-12-31", "protection_register": "the Tarnland register", "event_id": str(uuid7()),
    }  # fmt: skip
    page = check_page(client.post("/book/cultivars/new/", typed, follow=True))
    row = Cultivar.objects.get()
    assert (row.trade_designation, row.protected, row.protected_until) == ("Red Tarn", True, date(2099, 12, 31))
    assert SAID in page
    assert "sold as Red Tarn" in page
    page = check_page(client.get(f"/book/cultivars/{row.pk}/"))
    assert '&#x27;Tarnred&#x27;</bdi> <bdi class="trade">Red Tarn</bdi>' in page
    assert SAID in page


def test_one_typed_into_the_botanical_name_is_taken_apart(client: Client, nursery: Nursery) -> None:
    typed = {"spoken": "Red Tarn", "botanical": "acer palmatum ‘Tarnred’ RED TARN", "event_id": str(uuid7())}
    page = check_page(client.post("/book/cultivars/new/", typed, follow=True))
    row = Cultivar.objects.get()
    assert (row.botanical, row.trade_designation) == ("Acer palmatum 'Tarnred'", "RED TARN")
    assert "Flagged: Quotation marks were changed to plain ones." in page
    assert "Flagged: A genus begins with a capital: it was changed." in page


def test_a_name_that_departs_from_the_code_is_kept_and_told_with_its_article(client: Client, nursery: Nursery) -> None:
    typed = {"spoken": "Best", "botanical": "Acer palmatum 'Best Variety'", "event_id": str(uuid7())}
    page = check_page(client.post("/book/cultivars/new/", typed, follow=True))
    row = Cultivar.objects.get()
    assert row.botanical == "Acer palmatum 'Best Variety'"
    assert "ICNCP" in page
    assert "ICNCP" in check_page(client.get(f"/book/cultivars/{row.pk}/"))


def test_an_end_without_protection_is_asked_about(client: Client, nursery: Nursery) -> None:
    response = client.post("/book/cultivars/new/", {"spoken": "Red Tarn", "protected_until": "2030-01-01", "event_id": str(uuid7())})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["protected"]


def test_protection_is_said_in_the_plan_at_the_bench_and_beside_the_labels(client: Client, protected: Cultivar) -> None:
    wish = {"cultivar": "Red Tarn", "wanted": "5", "season": "2026", "assurance": "0.9", "event_id": str(uuid7())}
    assert SAID in check_page(client.post("/plan/add/", wish, follow=True))
    assert SAID in check_page(client.get("/plan/rare/?cultivar=Red+Tarn&scions=3&days=2&domes=1&methods=1"))
    assert SAID in check_page(client.get("/bench/new/?cultivar=Red+Tarn"))
    bench = {"cultivar": "Red Tarn", "day": "2026-02-14", "count": "1", "event_id": str(uuid7())}
    page = check_page(client.post("/bench/new/", bench, follow=True))
    assert page.count(SAID) == 2  # at the top, and beside "Print the labels"
    assert SAID in check_page(client.get(f"/plants/{Plant.objects.get().pk}/"))
    listed = pypdfium2.PdfDocument(client.get(f"/bench/labels/{BenchDay.objects.get().day.isoformat()}.pdf?list=1").content)
    assert "may need the holder" in " ".join(listed[0].get_textpage().get_text_range().split())


def test_the_plants_page_and_its_label_tell_both_names_apart(client: Client, cultivar: Cultivar, plant: Plant, now: datetime) -> None:
    save_noun(Cultivar, {"botanical": "Acer palmatum 'Tarnred'", "trade_designation": "Glow<b>"}, now=now, pk=cultivar.pk)
    assert '<bdi class="trade">Glow&lt;b&gt;</bdi>' in check_page(client.get(f"/plants/{plant.pk}/"))
    label = pypdfium2.PdfDocument(client.get(f"/plants/{plant.pk}/labels.pdf").content)[0]
    assert "'Tarnred' GLOW<B>" in " ".join(label.get_textpage().get_text_range().split())


def test_a_botanical_name_that_another_cultivar_bears_is_told(client: Client, nursery: Nursery, now: datetime) -> None:
    first = save_noun(Cultivar, {"spoken": "Red Tarn", "botanical": "Acer palmatum 'Red Tarn'"}, now=now)
    told = "Red Tarn has the same botanical name: see Names that may be one"
    assert told in _keep(client, spoken="Fell Lace", botanical="Acer palmatum ‘Red Tarn’")
    assert told not in _keep(client, spoken="Ash Gill", botanical="Acer palmatum 'Ash Gill'")
    assert told not in _keep(client, spoken="Snowbed", botanical="Acer palmatum")
    again = client.post(f"/book/cultivars/{first.pk}/", {"spoken": "Red Tarn", "botanical": "Acer palmatum 'Red Tarn'"}, follow=True)
    assert "Fell Lace has the same botanical name" in check_page(again)


def test_quotes_around_the_name_said_aloud_are_not_kept(client: Client, cultivar: Cultivar) -> None:
    assert "The book holds Red Tarn already." in _keep(client, spoken="'Red Tarn'")
    _keep(client, spoken="'Fell Lace'")
    assert Cultivar.objects.filter(spoken="Fell Lace").exists()


def _keep(client: Client, **typed: str) -> str:
    return check_page(client.post("/book/cultivars/new/", typed, follow=True))
