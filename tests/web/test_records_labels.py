"""The page of how long labels last, and the places that ask what a label is written with."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client

from scionary.answers.label_media import label_media
from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Event, Nursery, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db

MEDIUM = "/book/labels/medium/"


def test_the_page_says_how_long_each_lasts_and_on_what_that_rests(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/book/labels/"))
    assert "3 months in the sun, 9 in the shade" in text
    assert "does not fade" in text
    assert "common practice, no source" in text
    assert 'href="/book/labels/"' in check_page(client.get("/book/"))


def test_a_medium_is_added_changed_and_taken_out(client: Client, nursery: Nursery) -> None:
    check_page(client.get(MEDIUM))
    assert client.post(MEDIUM, {"medium": "wax pencil", "months_sun": "18", "source": "my own practice"}).status_code == 303
    form = client.get(f"{MEDIUM}?medium=wax pencil").context["form"]
    assert client.post(MEDIUM, {**form.initial, "months_sun": "20"}).status_code == 303
    found = label_media().called("wax pencil")
    assert found is not None
    assert (found.months_sun, found.months_shade) == (20.0, None)
    assert client.post("/book/labels/medium/out/", {"was": "wax pencil"}).status_code == 303
    assert label_media().called("wax pencil") is None
    assert client.get(f"{MEDIUM}?medium=wax pencil").status_code == 404
    assert client.post("/book/labels/weeks/", {"defaults": "1"}).status_code == 303
    assert not label_media().changed


def test_what_cannot_be_is_told_at_its_field_and_kept_as_typed(client: Client, nursery: Nursery) -> None:
    response = client.post(MEDIUM, {"medium": "wax pencil", "months_sun": "9", "months_shade": "3", "source": "<b>me</b>"})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["months_shade"]
    assert "&lt;b&gt;me" in check_page(response)
    assert client.post("/book/labels/weeks/", {"weeks": "99"}).status_code == 422
    assert client.post("/book/labels/weeks/", {"weeks": "6"}).status_code == 303
    assert label_media().weeks_before == 6


def test_a_medium_that_nobody_knows_is_flagged_with_the_way_to_say_it(client: Client, graft: Callable[..., Written]) -> None:
    plant = graft(1, label_medium="crayon").plants[0]
    assert '?name=crayon">Say how long crayon lasts' in check_page(client.get("/book/labels/"))
    assert client.get(f"{MEDIUM}?name=crayon").context["form"].initial["medium"] == "crayon"
    assert "How long crayon lasts is not known" in check_page(client.get(f"/plants/{plant.pk}/"))


def test_the_bench_asks_once_what_labels_are_written_with_and_where_they_hang(client: Client, nursery: Nursery) -> None:
    page = check_page(client.get("/bench/new/"))
    assert '<option value="UV-resistant ink">' in page
    typed = {"cultivar": "Red Tarn", "day": "2026-02-14", "label_medium": "crayon", "label_light": "shade", "event_id": str(uuid7())}
    address = client.post("/bench/new/", typed)["Location"]
    bench = BenchDay.objects.get()
    for _ in range(2):  # the first is carried along in the address, the second is that of the graft before
        form = client.get(address).context["form"]
        sent = {name: form[name].value() for name in ("label_medium", "label_light")}
        page = check_page(client.post(f"/bench/{bench.pk}/graft/", {"event_id": str(uuid7()), **sent}, follow=True))
        address = f"/bench/{bench.pk}/"
    assert list(Plant.objects.values_list("label_medium", "label_light")) == [("crayon", "shade")] * 2
    assert "How long crayon lasts is not known" in page


def test_writing_a_label_again_asks_for_medium_and_light(client: Client, plant: Plant) -> None:
    address = f"/plants/{plant.pk}/write/relabelled/"
    assert '<option value="printed">' in check_page(client.get(address))
    sent = {"medium": "printed", "light": "sun", "on": "2026-02-20", "event_id": str(uuid7())}
    assert client.post(address, sent).status_code == 303
    assert Event.objects.get(kind="relabelled").payload == {"medium": "printed", "light": "sun"}
    assert client.post(address, {**sent, "light": "moon", "event_id": str(uuid7())}).status_code == 422
