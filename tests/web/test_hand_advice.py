"""How to set a scion, asked by a phone at its bench: the same as on the page of that bench."""

from __future__ import annotations

import html
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.book.commands import save_noun
from scionary.book.models import BenchDay, Cultivar, Event, Method, Nursery
from web.phones import Phone
from web.rendered import check_page

pytestmark = pytest.mark.django_db


def setting(cultivar: Cultivar, method: Method, **more: Any) -> dict[str, Any]:
    return {"cultivar": str(cultivar.pk), "method": str(method.pk), "day": today_at_nursery().isoformat(), **more}


def asked(phone: Phone, bench: dict[str, Any], **sizes: Any) -> Any:
    return phone.post("/hand/advice/", {"bench": bench, **sizes})


@pytest.mark.parametrize(("stock", "scion"), [(7.0, 3.0), (9.5, 4.0), (3.0, 6.0), (40.0, 2.0)])
def test_a_phone_gets_the_advice_of_the_bench_page(
    phone: Phone, client: Client, cultivar: Cultivar, method: Method, stock: float, scion: float
) -> None:
    bench = save_noun(BenchDay, {"day": today_at_nursery(), "cultivar": cultivar, "method": method, "grafter": "Ines"}, now=timezone.now())
    page = check_page(client.post(f"/bench/{bench.pk}/look/", {"stock": stock, "scion": scion}, headers={"HX-Request": "true"}))
    told = asked(phone, setting(cultivar, method, grafter="Ines"), stock_mm=stock, scion_mm=scion).json()
    assert html.escape(told["line"]).replace("&#x27;", "&#39;") in page.replace("&#x27;", "&#39;")
    drawn = page.partition("<figure")[2].partition("</figure>")[0]
    assert told["drawing"].partition("<figure")[2].partition("</figure>")[0] == drawn
    assert all(html.escape(words) in page for words in told["cautions"])
    assert bool(told["drawing"]) == (">fits<" in page)


def test_nothing_is_written(phone: Phone, cultivar: Cultivar, method: Method) -> None:
    before = Event.objects.count()
    assert asked(phone, setting(cultivar, method), stock_mm=7, scion_mm=3).status_code == 200
    assert (Event.objects.count(), BenchDay.objects.count()) == (before, 0)


@pytest.mark.parametrize(
    ("changed", "sizes", "words"),
    [
        ({"method": str(UUID(int=7))}, {"stock_mm": 7, "scion_mm": 3}, "The book holds this method no more"),
        ({"method": None}, {"stock_mm": 7, "scion_mm": 3}, "Say by which method you graft."),
        ({"method": "no id"}, {"stock_mm": 7, "scion_mm": 3}, "Method is 'no id'"),
        ({"cultivar": None}, {"stock_mm": 7, "scion_mm": 3}, "'cultivar' is missing"),
        ({}, {"stock_mm": 7}, "Measure stock and scion."),
        ({}, {"stock_mm": -7, "scion_mm": 3}, "0.1 to 500"),
        ({}, {"stock_mm": "thick", "scion_mm": 3}, "0.1 to 500"),
        ({"grafter": ["Ines"]}, {"stock_mm": 7, "scion_mm": 3}, "Grafter is"),
    ],
)
def test_what_cannot_be_advised_on_is_told_in_words(
    phone: Phone, cultivar: Cultivar, method: Method, changed: dict[str, Any], sizes: dict[str, Any], words: str
) -> None:
    answer = asked(phone, setting(cultivar, method) | changed, **sizes)
    assert answer.status_code == 422
    assert words in answer.json()["words"]


def test_a_method_of_which_the_book_does_not_know_how_it_joins_is_named(phone: Phone, cultivar: Cultivar, nursery: Nursery) -> None:
    method = save_noun(Method, {"name": "our own way"}, now=timezone.now())
    answer = asked(phone, setting(cultivar, method), stock_mm=7, scion_mm=3)
    assert "does not know how our own way joins" in answer.json()["words"]


@pytest.mark.parametrize("body", [{}, {"bench": 7, "stock_mm": 7, "scion_mm": 3}, {"bench": []}])
def test_what_is_no_bench_is_refused_in_words(phone: Phone, body: dict[str, Any]) -> None:
    answer = phone.post("/hand/advice/", body)
    assert (answer.status_code, "is missing" in answer.json()["words"]) == (422, True)


def test_a_phone_that_the_book_does_not_know_is_told_nothing(phone: Phone, cultivar: Cultivar, method: Method) -> None:
    phone.token = "nobody's"
    assert asked(phone, setting(cultivar, method), stock_mm=7, scion_mm=3).status_code == 401


def test_the_wood_is_advised_on_as_it_is_today_and_not_on_the_day_that_a_phone_says(
    phone: Phone, cultivar: Cultivar, method: Method
) -> None:
    early = setting(cultivar, method) | {"day": (today_at_nursery() - timedelta(days=180)).isoformat()}
    told = [asked(phone, bench, stock_mm=7, scion_mm=3).json()["line"] for bench in (early, setting(cultivar, method))]
    assert told[0] == told[1]
