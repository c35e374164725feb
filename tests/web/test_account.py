"""Signing in: asked for when the server listens beyond its own machine, and only then."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from typing import Any
from urllib.parse import urlencode

import pytest
from django.contrib.auth import get_user_model
from django.test import Client
from django.urls import URLResolver, get_resolver

from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, Nursery
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def beyond(settings: Any, nursery: Nursery) -> None:
    settings.LOGIN_REQUIRED = True
    get_user_model().objects.create_user("ida", password="a long word for tests")


def test_on_its_own_machine_no_account_is_asked_for(client: Client, nursery: Nursery) -> None:
    assert client.get("/due/").status_code == 200


def test_beyond_this_machine_every_page_asks_for_an_account(client: Client, beyond: None, dome: Dome) -> None:
    for address in ("/", "/due/", "/domes/", f"/domes/{dome.pk}/card.pdf"):
        assert client.get(address).headers["Location"].startswith("/account/login/?next=")
    assert client.post(f"/domes/{dome.pk}/water/", {}).headers["Location"].startswith("/account/login/")
    assert not Event.objects.filter(kind="watered").exists()


def test_all_addresses_but_those_named_here_ask_for_an_account(client: Client, beyond: None) -> None:
    """Those of the hand look themselves who asks: the frame and its words hold nothing of the book, the doors answer 401."""
    open_ones = {route for route in every_route() if not asks_for_an_account(client, route)}
    assert open_ones == {
        "account/login/",
        "account/logout/",
        "calendar/<str:secret>.ics",
        "hand/",
        "hand/advice/",
        "hand/data/",
        "hand/device/",
        "hand/events/",
        "hand/lease/",
        "hand/words.json",
        "hand/<path:rest>",
        "manifest.webmanifest",
        "sw.js",
    }
    assert len(list(every_route())) > 120
    assert client.get("/hand/data/").status_code == 401
    assert [
        client.post(f"/hand/{door}/", "{}", content_type="application/json").status_code for door in ("advice", "device", "lease", "events")
    ] == [401] * 4
    assert client.get("/calendar/x.ics").status_code == 404


def every_route(resolver: URLResolver | None = None, before: str = "") -> Iterator[str]:
    """Every route of the site, files among them."""
    for pattern in (resolver or get_resolver()).url_patterns:
        route = f"{before}{pattern.pattern}"
        if isinstance(pattern, URLResolver):
            yield from every_route(pattern, route)
        else:
            yield route


def asks_for_an_account(client: Client, route: str) -> bool:
    """Whether both reading and writing there lead a stranger to signing in."""
    address = "/" + re.sub(r"<(?:\w+:)?\w+>", "7", route)
    answers = [client.get(address), client.post(address)]
    return all(answer.status_code == 302 and answer["Location"].startswith("/account/login/?next=") for answer in answers)


def test_a_part_that_is_asked_for_after_signing_out_leads_the_whole_page_to_signing_in(client: Client, beyond: None, dome: Dome) -> None:
    page = f"/domes/{dome.pk}/round/?day=2026-02-14"
    headers = {"HX-Request": "true", "HX-Current-URL": f"http://testserver{page}"}
    onward = urlencode({"next": page}, safe="/")
    sent = client.post(f"/domes/{dome.pk}/water/", {}, headers=headers)
    for response, address in ((client.get("/due/", headers=headers), f"?{onward}"), (sent, f"?lost=1&{onward}")):
        assert response.status_code == 401
        assert response["HX-Redirect"] == f"/account/login/{address}"
        assert response.content == b""
    assert "what you sent last is not written down" in check_page(client.get(sent["HX-Redirect"]))


def hidden(text: str) -> dict[str, str]:
    """What the first form of a page holds."""
    form = text.split("<main", 1)[1].split("</form>", 1)[0]
    return {name: unescape(value) for name, value in re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)}


def test_what_is_sent_after_the_session_ended_goes_along_and_is_written_once(beyond: None, dome: Dome) -> None:
    client, page = Client(enforce_csrf_checks=True), f"/domes/{dome.pk}/"
    said = {"water_mm": "30", "note": 'the "far" corner', "event_id": str(uuid7())}
    asked = client.post(f"/domes/{dome.pk}/water/", said, headers={"Referer": f"http://testserver{page}"})
    assert asked.status_code == 401
    assert "is not written down yet" in check_page(asked)
    along = hidden(asked.content.decode())
    wrong = client.post("/account/login/", {**along, "username": "ida", "password": "wrong"})
    along = hidden(check_page(wrong))
    came = client.post("/account/login/", {**along, "username": "ida", "password": "a long word for tests"})
    assert f'href="{page}"' in check_page(came)
    assert not Event.objects.filter(kind="watered").exists()
    for _ in range(2):
        assert client.post(f"/domes/{dome.pk}/water/", hidden(came.content.decode())).status_code == 303
    event = Event.objects.get(kind="watered")
    assert (event.who, event.payload["water_mm"]) == ("ida", 30)


@pytest.mark.parametrize("to", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)"])
def test_what_goes_along_is_sent_to_this_book_alone(client: Client, beyond: None, to: str) -> None:
    given = {"username": "ida", "password": "a long word for tests", "next": "/domes/", "unsent": '[["how", "changed"]]', "unsent_to": to}
    assert client.post("/account/login/", given).headers["Location"] == "/domes/"


@pytest.mark.parametrize("headers", [{}, {"Referer": "https://elsewhere.example/"}])
def test_nothing_goes_along_that_another_page_sent(client: Client, beyond: None, dome: Dome, headers: dict[str, str]) -> None:
    assert client.post(f"/domes/{dome.pk}/water/", {"water_mm": "30"}, headers=headers).status_code == 302


def test_what_is_too_long_to_go_along_is_said_not_to_be_written(client: Client, beyond: None, dome: Dome) -> None:
    sent = client.post(f"/domes/{dome.pk}/water/", {"note": "x" * 100_001}, headers={"Referer": f"http://testserver/domes/{dome.pk}/"})
    assert "what you sent last is not written down" in check_page(client.get(sent.headers["Location"]))


def test_a_stranger_is_shown_nothing_of_the_book(client: Client, beyond: None) -> None:
    text = check_page(client.get("/account/login/"))
    assert "Tarn Bridge" not in text
    assert 'aria-label="Parts"' not in text


def test_with_the_right_password_the_page_that_was_asked_for_comes(client: Client, beyond: None) -> None:
    given = {"username": "ida", "password": "a long word for tests", "next": "/domes/"}
    assert client.post("/account/login/", given).headers["Location"] == "/domes/"
    assert client.get("/domes/").status_code == 200


def test_what_an_account_writes_carries_its_name(client: Client, beyond: None, dome: Dome) -> None:
    client.post("/account/login/", {"username": "ida", "password": "a long word for tests"})
    client.post(f"/domes/{dome.pk}/water/", {})
    assert Event.objects.get(kind="watered").who == "ida"


def test_a_wrong_password_keeps_the_form_and_many_are_stopped(client: Client, beyond: None) -> None:
    statuses = []
    for _ in range(6):
        response = client.post("/account/login/", {"username": "ida", "password": "wrong"})
        statuses.append(response.status_code)
        check_page(response)
    assert statuses[0] == 200
    assert statuses[-1] == 429
    right = client.post("/account/login/", {"username": "ida", "password": "a long word for tests"})
    assert right.status_code == 429


def test_signing_out_ends_it(client: Client, beyond: None) -> None:
    client.post("/account/login/", {"username": "ida", "password": "a long word for tests"})
    client.post("/account/logout/")
    assert client.get("/due/").status_code == 302


def test_a_host_that_is_not_named_is_refused_in_words_not_as_a_fault(client: Client, beyond: None) -> None:
    answer = client.get("/due/", headers={"Host": "elsewhere.example"})
    assert answer.status_code == 400
    assert "fault in the program" not in answer.content.decode()
