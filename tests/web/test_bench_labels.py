"""Labels of a whole day at the bench: every graft of a calendar day, on one sheet."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pypdfium2
import pytest
from django.test import Client
from django.utils import timezone

from scionary.answers.bench_day import BenchWords, write_bench_day
from scionary.book.ids import uuid7
from scionary.book.models import Nursery
from scionary.files.grids import GRID_WORDS, GRIDS
from scionary.files.symbols import read_symbols
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def two_cultivars(nursery: Nursery) -> str:
    """Two bench days of one calendar day, and one of the day before; gives the later day."""
    now = timezone.now()
    today = now.astimezone(nursery.zone).date()
    for cultivar, count, day in (("Red Tarn", 2, today), ("Ash Gill", 1, today), ("Fell Lace", 1, today - timedelta(days=1))):
        write_bench_day(BenchWords(cultivar, count, day), nursery, now=now)
    return today.isoformat()


def test_one_sheet_holds_all_grafts_of_a_day(client: Client, two_cultivars: str) -> None:
    response = client.get(f"/bench/labels/{two_cultivars}.pdf")
    text = pypdfium2.PdfDocument(response.content)[0].get_textpage().get_text_range()
    assert all(name in text for name in ("Red Tarn 1", "Red Tarn 2", "Ash Gill 1"))
    assert "Fell Lace" not in text


def test_the_bench_and_its_days_lead_to_that_sheet_once_a_day(client: Client, two_cultivars: str) -> None:
    link = f'href="/bench/labels/{two_cultivars}.pdf">Labels of this day</a>'
    page = check_page(client.get("/bench/"))
    assert page.count(link) == 2  # on the bench today, and in the list of days
    assert page.count("Labels of this day") == 3
    bench = client.get("/bench/").context["days"][0].bench
    assert link in check_page(client.get(f"/bench/{bench.pk}/"))


def test_a_day_without_grafts_is_refused_and_no_day_is_not_found(client: Client, two_cultivars: str) -> None:
    assert client.get("/bench/labels/1999-01-01.pdf").status_code == 422
    assert client.get("/bench/labels/yesterday.pdf").status_code == 404


def test_sheets_are_chosen_by_their_names_in_words(client: Client, graft: Callable[..., Any]) -> None:
    plant = graft().plants[0]
    page = check_page(client.get(f"/plants/{plant.pk}/"))
    for key, words in GRID_WORDS.items():
        assert f'<option value="{key}">{words}</option>' in page
    assert list(GRID_WORDS) == list(GRIDS)


def test_labels_are_printed_ahead_and_a_graft_takes_a_code_from_them(client: Client, two_cultivars: str) -> None:
    assert "Set codes aside and print" in check_page(client.get("/bench/"))
    pdf = client.post("/bench/labels/ahead/", {"count": "3", "sheet": "single-60x30"})
    assert pdf["Content-Type"] == "application/pdf"
    document = pypdfium2.PdfDocument(pdf.content)
    (symbol,) = read_symbols(document[1].render(scale=4).to_pil())
    bench = client.get("/bench/").context["days"][0].bench
    address = f"/bench/{bench.pk}/graft/"
    page = client.post(address, {"event_id": str(uuid7()), "codes": f" {symbol.text.lower()} "}, follow=True)
    assert f"{symbol.text[:3]} {symbol.text[3:]}" in check_page(page)
    again = client.post(address, {"event_id": str(uuid7()), "codes": symbol.text})
    assert (again.status_code, "was written down with" in again.content.decode()) == (422, True)
    assert client.post("/bench/labels/ahead/", {"count": "many"}).status_code == 422
    assert client.get("/bench/labels/ahead/").status_code == 405


def test_a_list_to_write_the_labels_of_a_day_by_hand(client: Client, two_cultivars: str) -> None:
    bench = client.get("/bench/").context["days"][0].bench
    address = f"/bench/labels/{two_cultivars}.pdf?list=1"
    assert f'href="{address}">List to write them by hand</a>' in check_page(client.get(f"/bench/{bench.pk}/"))
    text = pypdfium2.PdfDocument(client.get(address).content)[0].get_textpage().get_text_range()
    assert all(name in text for name in ("Labels to write", "Red Tarn 1", "Red Tarn 2", "Ash Gill 1"))
    assert client.get("/bench/labels/1999-01-01.pdf?list=1").status_code == 422


MEASURED = {"sheet": "own", "columns": "2", "rows": "5", "label_width": "90", "label_height": "50", "gap_down": "2", "first": "10"}


def test_a_measured_sheet_is_printed_from_its_tenth_place_twice(client: Client, two_cultivars: str) -> None:
    response = client.get(f"/bench/labels/{two_cultivars}.pdf", {**MEASURED, "copies": "2"})
    document = pypdfium2.PdfDocument(response.content)
    texts = [page.get_textpage().get_text_range() for page in document]
    assert [text.count("Red Tarn 1") for text in texts] == [1, 1]
    assert [text.count("Ash Gill 1") for text in texts] == [0, 2]


def test_the_page_keeps_what_was_measured_and_says_that_it_fits(client: Client, two_cultivars: str) -> None:
    bench = client.get("/bench/").context["days"][0].bench
    page = check_page(client.get(f"/bench/{bench.pk}/", {**MEASURED, "symbol": "datamatrix"}))
    assert "It fits: 10 on a sheet." in page
    assert 'name="label_width" maxlength="40" value="90"' in page
    assert '<option value="own" selected>' in page
    assert '<option value="datamatrix" selected>' in page
    assert "It fits" not in check_page(client.get(f"/bench/{bench.pk}/"))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"columns": "3"}, "they overhang its right edge by 60.0 mm"),
        ({"label_width": ""}, "the label width is not said"),
        ({"label_width": "wide"}, "&#x27;wide&#x27; is no length"),
        ({"rows": "many"}, "&#x27;many&#x27; is no number of rows"),
        ({"page": "A9"}, "page is &#x27;A9&#x27;"),
        ({"first": "11"}, "the sheet has no place 11"),
        ({"copies": "9"}, "&#x27;9&#x27; is no number of copies"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_with_what_is_wrong(
    client: Client, two_cultivars: str, change: dict[str, str], said: str
) -> None:
    typed = {**MEASURED, **change}
    bench = client.get("/bench/").context["days"][0].bench
    assert said in check_page(client.get(f"/bench/{bench.pk}/", typed))
    refused = client.get(f"/bench/labels/{two_cultivars}.pdf", typed)
    assert refused.status_code == 422
    assert said.casefold() in refused.content.decode().casefold()
