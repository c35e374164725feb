"""Pots on a tray: the form, the drawing to scale, the prints."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from scionary.book.models import Dome, Event, Nursery
from web.rendered import check_page

pytestmark = pytest.mark.django_db
ASKED = {"length": "540", "width": "280", "pot": "98", "shape": "square"}


def test_it_begins_with_the_sizes_of_the_book(client: Client, nursery: Nursery, dome: Dome) -> None:
    text = check_page(client.get("/plan/tray/"))
    assert "How many pots a tray takes" in text
    assert 'value="520.7 mm"' in text
    assert text.count('class="main"') == 1


def test_the_answer_is_a_sentence_a_drawing_a_table_and_two_prints(client: Client, nursery: Nursery) -> None:
    before = Event.objects.count()
    text = check_page(client.get("/plan/tray/", ASKED))
    assert "10 square pots of 98 mm stand on a tray of 540 × 280 mm inside." in text
    assert text.count('class="pot rim"') == 10
    assert "One more would stand if pots were at most 93 mm wide." in text
    assert text.count("<tr>") == 11
    for print_ in re.findall(r'href="(/plan/tray/print/[^"]*)"', text):
        response = client.get(print_.replace("&amp;", "&"))
        assert response.status_code == 200
        assert response["Content-Type"] == "application/pdf"
        assert response.content.startswith(b"%PDF")
    assert Event.objects.count() == before


def test_the_drawing_is_to_scale(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/plan/tray/", ASKED))
    wall = re.search(r'class="tray-wall" x="4" y="4" width="([\d.]+)" height="([\d.]+)"', text)
    pot = re.search(r'class="pot rim" x="[\d.]+" y="[\d.]+" width="([\d.]+)"', text)
    assert wall
    assert pot
    assert (float(wall[1]) - 4) / (float(wall[2]) - 4) == pytest.approx(540 / 280, rel=0.01)
    assert (float(pot[1]) + 1) / (float(wall[1]) - 4) == pytest.approx(98 / 540, rel=0.01)


def test_a_low_cover_is_dashed_on_the_drawing_and_said_in_the_table(client: Client, nursery: Nursery) -> None:
    more = {"shape": "round", "pot": "114.3", "cover": "180", "lean": "80", "pot_height": "100", "scion": "40"}
    text = check_page(client.get("/plan/tray/", {**ASKED, **more}))
    dashed = text.count('class="pot rim unsure"')
    assert 0 < dashed < 10
    assert text.count("cover too low") == dashed
    assert "Dashed: the cover is too low there." in text
    assert "Dashed:" not in check_page(client.get("/plan/tray/", ASKED))


def test_two_kinds_and_a_bench_are_answered_together(client: Client, nursery: Nursery) -> None:
    more = {"pot": "165", "count": "2", "other": "98", "bench_length": "3000", "bench_width": "900", "wall": "5"}
    text = check_page(client.get("/plan/tray/", {**ASKED, **more}))
    assert "2 square pots of 165 mm and 7 square pots of 98 mm stand" in text
    assert "The bench from above with 15 trays" in text
    assert "<details open>" in text


def test_inches_are_typed_and_read_where_the_book_says_so(client: Client, nursery: Nursery) -> None:
    nursery.length_unit = "in"
    nursery.save()
    text = check_page(client.get("/plan/tray/", {"length": "20 1/2", "width": "10 1/2", "pot": "4 1/2", "shape": "round"}))
    assert "9 round pots of 4 1/2 in stand on a tray of 20 1/2 × 10 1/2 in inside." in text


def test_so_many_pots_are_counted_and_not_drawn(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/plan/tray/", {**ASKED, "pot": "12"}))
    assert "More than 400 pots are not drawn here" in text
    assert 'class="pot rim"' not in text


def test_no_pot_that_stands_is_an_answer_without_prints(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/plan/tray/", {**ASKED, "pot": "300"}))
    assert "No such pot stands on a tray of 540 × 280 mm inside." in text
    assert "/plan/tray/print/" not in text
    assert client.get("/plan/tray/print/", {**ASKED, "pot": "300"}).status_code == 422


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("length", "long", "is no length"),
        ("length", "", "required"),
        ("pot", "1", "out of range"),
        ("clearance", "-1", "zero or more|is no length"),
        ("count", "0", "greater than or equal to 1"),
        ("bench_length", "3000", "A bench has a length and a width."),
        ("tolerance", "40", "at most a quarter"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(client: Client, nursery: Nursery, field: str, typed: str, said: str) -> None:
    response = client.get("/plan/tray/", {**ASKED, field: typed})
    assert response.status_code == 422
    text = check_page(response)
    assert 'class="errorlist' in text or 'role="alert"' in text
    assert re.search(said, text)
    assert client.get("/plan/tray/print/", {**ASKED, field: typed}).status_code == 422


def test_the_plan_leads_here(client: Client, nursery: Nursery) -> None:
    assert 'href="/plan/tray/"' in check_page(client.get("/plan/"))
