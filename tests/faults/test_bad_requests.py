"""A sweep of what a browser, a stranger or a broken link can send to every address: always a page in words, never an error of ours.

Short form: each address is tried with a sixth of the queries and bodies, one with a wrong id by GET and POST alone, each field with a
fifth of what is typed. Long form: SCIONARY_SWEEP=all.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from typing import Any
from uuid import uuid4

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from scionary.book.commands import Written, save_noun
from scionary.book.models import BenchDay, Cultivar, Dome, MotherTree, Nursery, RootstockLot, Sensor, Trial, Wish

pytestmark = pytest.mark.django_db

NAMES = (
    "page",
    "season",
    "q",
    "on",
    "day",
    "days",
    "to",
    "end",
    "stage",
    "by",
    "state",
    "dome",
    "cultivar",
    "sheet",
    "first",
    "stock",
    "scion",
)
VALUES = ("-1", "zzz", "²", "%00", "%FF%FE", "9" * 30, "0001-01-01", "9999-12-31", "nan", "x" * 5000)
QUERIES = ["&".join(f"{name}={value}" for name in NAMES) for value in VALUES] + ["next=//evil.example/", "q=Red+Tarn+²"]
TYPED = ["", "x", "-1", "nan", "9" * 30, "²", "\x00", "x" * 10_000, "2026-02-30", "9999-12-31"]
BODIES = [
    (b"\xff\xfe%00=%FF&a=%C0%80&event_id=%FF", "application/x-www-form-urlencoded"),
    (b"note=\xe9", "application/x-www-form-urlencoded; charset=utf-99"),
    (b"{bad", "application/json"),
    (b"--x\r\nbroken", "multipart/form-data; boundary=x"),
    (b"--x\r\nbroken", "multipart/form-data"),
    (b"note=" + b"x" * 3_000_000, "application/x-www-form-urlencoded"),
    (b"&".join(b"a%d=1" % number for number in range(6000)), "application/x-www-form-urlencoded"),
]
METHODS = ("get", "post", "put", "delete", "head", "options")
WHOLE = os.environ.get("SCIONARY_SWEEP") == "all"
SLOW_TO_WRITE = ("/book/export/", "/book/backup/")
ID = re.compile(r"<\w+:(\w+)>")


def addresses(patterns: list[URLPattern | URLResolver], begin: str = "/") -> Iterator[str]:
    for each in patterns:
        if isinstance(each, URLResolver):
            yield from addresses(each.url_patterns, begin + str(each.pattern))
        else:
            yield begin + str(each.pattern)


ROUTES = sorted(addresses(get_resolver().url_patterns))


@pytest.fixture
def real(
    nursery: Nursery,
    graft: Callable[..., Written],
    cultivar: Cultivar,
    dome: Dome,
    lot: RootstockLot,
    tree: MotherTree,
    trial: Callable[..., Trial],
    now: Any,
) -> Any:
    """Gives an address with ids that the book holds, where its kind of thing is plain from its first word."""
    bench = save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "dome": dome}, now=now)
    wish = save_noun(Wish, {"cultivar": cultivar, "wanted": 3, "season": 2026}, now=now)
    sensor = save_noun(Sensor, {"name": "Logger 1", "dome": dome}, now=now)
    plant = graft(3, dome=dome.pk, bench=bench.pk, lot=lot.pk).plants[0]
    by_part = {"bench": bench.pk, "plan": wish.pk, "domes": dome.pk, "plants": plant.pk, "book": cultivar.pk, "findings": trial().pk}
    by_name = {"plant": plant.pk, "sensor": sensor.pk, "noun": "cultivars", "place": 0, "kind": "past"}

    def fill(route: str) -> str:
        part = route.split("/")[1]
        return ID.sub(lambda found: str(by_name.get(found[1], by_part.get(part, uuid4()))), route)

    return fill


def part(values: list[Any], route: str) -> list[Any]:
    return values if WHOLE else values[ROUTES.index(route) % 6 :: 6]


def assert_in_words(response: HttpResponse, what: str) -> None:
    assert response.status_code < 500, what
    if response.status_code >= 400 and "html" in response.get("Content-Type", "text/html"):
        assert "<h1" in response.content.decode(), f"{what}: {response.status_code} without words"


class Forms(HTMLParser):
    """The forms of a page that are sent by POST: where they go, and what stands in them."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str]]] = []
        self.posting, self.select = False, ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.posting = given.get("method", "get").lower() == "post"
            if self.posting:
                self.found.append((given.get("action", ""), {}))
        elif self.posting and tag in ("input", "textarea", "select", "button") and given.get("name"):
            self.select = given["name"] if tag == "select" else ""
            self.found[-1][1].setdefault(given["name"], given.get("value", "") or _likely(given.get("type", "")))
        elif self.posting and tag == "option" and self.select and "selected" in given:
            self.found[-1][1][self.select] = given.get("value", "")


def _likely(kind: str) -> str:
    return {"number": "2", "date": "2026-02-14", "text": "Red Tarn"}.get(kind, "")


@pytest.mark.parametrize("route", ROUTES)
def test_every_address_answers_methods_ids_queries_and_broken_bodies_in_words(
    client: Client, real: Callable[[str], str], route: str
) -> None:
    client.raise_request_exception = False
    for address in {real(route), ID.sub(str(uuid4()), route), ID.sub("x", route)}:
        for method in METHODS if WHOLE or address == real(route) else METHODS[:2]:
            if not (address.startswith(SLOW_TO_WRITE) and method == "get"):
                response = getattr(client, method)(address)
                if method != "head":
                    assert_in_words(response, f"{method} {address}")
    for query in part(QUERIES, route) if not route.startswith(SLOW_TO_WRITE) else []:
        assert_in_words(client.get(f"{real(route)}?{query}"), f"{route}?{query[:60]}")
    for body, kind in part(BODIES, route):
        assert_in_words(client.generic("POST", real(route), body, content_type=kind), f"{route} {body[:30]!r}")


@pytest.mark.parametrize("route", [route for route in ROUTES if not route.startswith(SLOW_TO_WRITE)])
def test_every_field_of_every_form_takes_or_refuses_whatever_is_typed(client: Client, real: Callable[[str], str], route: str) -> None:
    client.raise_request_exception = False
    page = client.get(real(route))
    if page.status_code != 200 or "html" not in page["Content-Type"]:
        return
    forms = Forms()
    forms.feed(page.content.decode())
    for action, fields in {action: (action, fields) for action, fields in forms.found}.values():
        for place, name in enumerate(fields):
            for typed in TYPED if WHOLE else TYPED[place % 5 :: 5]:
                sent = {**fields, "event_id": str(uuid4()), name: typed}
                response = client.post(action or real(route), sent)
                assert_in_words(response, f"{action} {name}={typed[:30]!r}")
                assert not response.get("Location", "/").startswith(("//", "http")), "led away"


def test_a_form_without_its_token_is_refused_in_words(nursery: Nursery) -> None:
    response = Client(enforce_csrf_checks=True).post("/plan/add/", {"wanted": "3", "cultivar": "Red Tarn"})
    assert response.status_code == 403
    assert "Nothing was written." in response.content.decode()
    assert not Wish.objects.exists()


def test_an_address_that_only_takes_forms_says_so(client: Client, nursery: Nursery) -> None:
    response = client.get("/plan/add/")
    assert (response.status_code, response["Allow"]) == (405, "POST")
    assert "it only takes what a button or a form sends" in response.content.decode()


def test_a_form_beyond_its_limit_is_refused_in_words(client: Client, nursery: Nursery) -> None:
    response = client.post("/plan/add/", {f"a{number}": "1" for number in range(6000)})
    assert response.status_code == 400
    assert "If it was a very long form, send it in parts." in response.content.decode()
