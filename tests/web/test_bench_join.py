"""The page of joining two stems: a form without script, the advice, its drawing, its sheets, and what a person moves and keeps."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.book.commands import save_noun
from scionary.book.models import BenchDay, Cultivar, Graft, Method, Nursery
from web.rendered import check_page

PAIR = {"stock": "7", "scion": "3", "unit": "mm", "method": "side_veneer"}


def asked(client: Client, **more: Any) -> str:
    return check_page(client.get("/bench/join/", {**PAIR, **more}))


def test_the_page_asks_for_two_thicknesses_and_needs_nothing_else(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/bench/join/"))
    assert re.search(r'name="stock"[^>]*required', text)
    assert "Print a gauge card" in text


def test_two_thicknesses_give_sentence_chance_drawing_and_steps(client: Client, nursery: Nursery) -> None:
    text = asked(client)
    for words in (
        "Lean the scion by 1.3 mm over the middle of the cut",
        "97 of 100",
        ">straight</text>",
        ">leaning</text>",
        "Cut the stock&#x27;s side 18 mm long",
        "Cut away from hand and body",
        "Other methods",
        "they are no chances of take",
    ):
        assert words in text


def test_the_caution_stands_before_the_first_cut(client: Client, nursery: Nursery) -> None:
    text = asked(client)
    assert text.index("cut away from hand and body") < text.index("Cut the stock&#x27;s side")


def test_moving_what_nobody_knows_changes_the_advice(client: Client, nursery: Nursery) -> None:
    assert "Set the scion straight" in asked(client, tolerance="0.2", wanted="10")
    assert "Lean the scion by" in asked(client, tolerance="0.2", wanted="3")
    assert "tolerance=0.2&amp;wanted=10" in asked(client)


def test_what_was_moved_can_be_kept_as_the_books(client: Client, nursery: Nursery) -> None:
    check_page(client.post("/bench/join/keep/", {"tolerance": "0.2", "wanted": "10", "next": "/bench/join/"}, follow=True))
    assert Nursery.objects.get().union_assumptions == {"tolerance_mm": 0.2, "wanted_mm": 10.0}
    text = asked(client)
    assert "Gap that callus bridges: 0.2 mm" in text
    assert "Set the scion straight" in text


def test_64ths_are_typed_as_whole_numbers(client: Client, nursery: Nursery) -> None:
    text = asked(client, stock="18", scion="8", unit="64ths")
    assert "Cut the stock&#x27;s side 19 mm long" in text


def test_inches_typed_as_millimetres_are_asked_about_with_one_tap_to_agree(client: Client, nursery: Nursery) -> None:
    text = asked(client, scion="1/8")
    assert "Were inches meant, 3.2 mm?" in text
    assert "scion=3.175+mm" in text


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"scion": ""}, "Measure it: 3, 1/8 in."),
        ({"scion": "thick"}, "a length such as"),
        ({"stock": "0"}, "more than 0"),
        ({"stock_bark": "9"}, "less than half the stem"),
        ({"method": "glue"}, "No method is called"),
        ({"wanted": "900"}, "Give millimetres from 0.5 to 60"),
        ({"stage": "asleep"}, "No stage is called"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(client: Client, nursery: Nursery, wrong: dict[str, str], words: str) -> None:
    answer = client.get("/bench/join/", {**PAIR, **wrong})
    assert answer.status_code == 422
    assert words in html.unescape(check_page(answer))


def test_a_pair_that_does_not_fit_is_told_why_and_what_would_do(client: Client, nursery: Nursery) -> None:
    text = asked(client, stock="12", scion="3", method="splice")
    assert "The scion, 3 mm, is too thin for a stock of 12 mm by splice: 8.4 mm at least." in text
    assert "How it lies" not in text
    assert "cleft" in text


def test_sheet_and_gauge_card_are_pdfs(client: Client, nursery: Nursery) -> None:
    for address, given in (("sheet.pdf", PAIR), ("gauge.pdf", {})):
        answer = client.get(f"/bench/join/{address}", given)
        assert (answer.status_code, answer["Content-Type"], answer.content[:4]) == (200, "application/pdf", b"%PDF")


def test_a_sheet_of_nothing_is_refused_in_words(client: Client, nursery: Nursery) -> None:
    assert "Measure it: 3, 1/8 in." in client.get("/bench/join/sheet.pdf", {"stock": "7"}).content.decode()
    assert "too thick" in client.get("/bench/join/sheet.pdf", {**PAIR, "scion": "9"}).content.decode()


def test_the_bench_day_fills_the_page_in(client: Client, cultivar: Cultivar) -> None:
    method = Method.objects.get(joins="side_veneer")
    today = today_at_nursery()
    bench = save_noun(BenchDay, {"day": today, "cultivar": cultivar, "method": method, "grafter": "Ada"}, now=timezone.now())
    text = check_page(client.get(f"/bench/{bench.pk}/", {"stock": "7", "scion": "3"}))
    address = re.search(r'href="(/bench/join/\?stock=[^"]*)"', text)
    assert address
    assert "grafter=Ada" in address[1]
    assert "Step by step: Side veneer, dormant, winter" in check_page(client.get(address[1].replace("&amp;", "&")))


@pytest.fixture
def bench(cultivar: Cultivar) -> BenchDay:
    method = Method.objects.get(joins="side_veneer")
    return save_noun(BenchDay, {"day": today_at_nursery(), "cultivar": cultivar, "method": method}, now=timezone.now())


def test_thicknesses_are_advised_on_before_their_graft_is_written_and_what_was_typed_stays(client: Client, bench: BenchDay) -> None:
    text = check_page(client.get(f"/bench/{bench.pk}/"))
    assert f'formaction="/bench/{bench.pk}/look/"' in text
    assert f'hx-post="/bench/{bench.pk}/look/"' in text
    assert "Lean the scion" not in text
    typed = {"stock": "7", "scion": "3", "count": "4", "label_medium": "pencil"}
    part = client.post(f"/bench/{bench.pk}/look/", typed, headers={"HX-Request": "true"}).content.decode()
    page = check_page(client.post(f"/bench/{bench.pk}/look/", typed))
    for words in (
        "Stock 7.0 mm, scion 3.0 mm. Lean the scion by 1.4 mm",
        "20 mm long and 0.9 mm deep",
        "97 of 100",
        "Step by step, and what it rests on",
    ):
        assert words in part
        assert words in page
    assert "<html" not in part
    for name, value in typed.items():
        assert re.search(rf'name="{name}"[^>]*value="{value}"|value="{value}"[^>]*name="{name}"', page)
    assert '<details class="sheet" open>' in page
    assert not Graft.objects.exists()


def test_half_of_a_pair_is_no_question_yet(client: Client, bench: BenchDay) -> None:
    answer = client.post(f"/bench/{bench.pk}/look/", {"stock": "7"})
    assert (answer.status_code, "the advice needs both thicknesses" in check_page(answer)) == (422, True)
    for typed in ({"stock": "7"}, {"stock": "7", "scion": "thin"}):
        part = client.post(f"/bench/{bench.pk}/look/", typed, headers={"HX-Request": "true"})
        assert (part.status_code, "Lean" in part.content.decode()) == (200, False)


def test_a_bench_without_a_method_asks_for_one(client: Client, bench: BenchDay) -> None:
    save_noun(BenchDay, {"method": None}, now=timezone.now(), pk=bench.pk)
    text = client.post(f"/bench/{bench.pk}/look/", {"stock": "7", "scion": "3"}, headers={"HX-Request": "true"}).content.decode()
    assert "Say by which method you graft" in text


def test_cut_and_lean_are_written_down_with_the_graft(client: Client, cultivar: Cultivar) -> None:
    bench = save_noun(BenchDay, {"day": today_at_nursery(), "cultivar": cultivar}, now=timezone.now())
    client.post(f"/bench/{bench.pk}/graft/", {"stock": "7", "scion": "3", "cut": "18", "lean": "0"})
    made = Graft.objects.get()
    assert (made.cut_mm, made.lean_mm) == (18.0, 0.0)


def test_where_no_method_is_named_the_form_shows_the_one_that_was_answered(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/bench/join/", {"stock": "7", "scion": "3"}))
    [(ident, name)] = re.findall(r'<option value="([0-9a-f-]{36})" selected>([^<]+)<', text)
    assert f"Step by step: {name}" in text
    assert f"Reckoned for {name}, a practised hand" in text
    assert Method.objects.get(pk=ident).name == name
