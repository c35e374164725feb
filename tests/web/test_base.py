"""What stands round every page: policy, refusals in words, the host's name, fragments."""

from __future__ import annotations

import gzip
from uuid import uuid4

import pytest
from django.test import Client

from scionary.book.models import Dome, Event, Nursery, Plant
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("address", ["/due/", "/domes/", "/domes/new/", "/due/in-leaf/", "/account/login/"])
def test_a_page_of_an_empty_book_answers_and_keeps_its_policy(client: Client, nursery: Nursery, address: str) -> None:
    response = client.get(address)
    assert response.status_code == 200
    text = check_page(response)
    assert text.count("<h1>") == 1
    assert 'aria-label="Parts"' in text


def test_the_start_leads_to_due(client: Client, nursery: Nursery) -> None:
    assert client.get("/").headers["Location"] == "/due/"


def test_every_post_form_carries_the_token_and_every_fragment_a_real_address(
    client: Client, plant: Plant, dome: Dome, write: object
) -> None:
    write("moved", plant, dome=dome.pk)  # type: ignore[operator]
    for address in (f"/domes/{dome.pk}/", f"/domes/{dome.pk}/round/"):
        text = check_page(client.get(address))
        posts = text.split("<form")[1:]
        assert posts
        for form in posts:
            opening, body = form.split(">", 1)
            if 'method="post"' in opening:
                assert "csrfmiddlewaretoken" in body.split("</form>")[0]
            if "hx-post=" in opening:
                assert opening.split('hx-post="')[1].split('"')[0] == opening.split('action="')[1].split('"')[0]


def test_an_unknown_dome_is_a_page_in_words(client: Client, nursery: Nursery) -> None:
    response = client.get(f"/domes/{uuid4()}/")
    assert response.status_code == 404
    text = check_page(response)
    assert "The book holds no such dome." in text
    assert "Choose one that is listed under Domes." in text


def test_a_refusal_inside_a_part_takes_the_place_of_the_page(client: Client, nursery: Nursery) -> None:
    response = client.get(f"/domes/{uuid4()}/", headers={"HX-Request": "true"})
    assert response.status_code == 404
    assert response["HX-Retarget"] == "#main"


def test_a_form_without_its_token_is_refused_in_words(nursery: Nursery, dome: Dome) -> None:
    response = Client(enforce_csrf_checks=True).post(f"/domes/{dome.pk}/water/", {})
    assert response.status_code == 403
    assert "Nothing was written" in check_page(response)
    assert not Event.objects.filter(kind="watered").exists()


def test_a_strange_host_name_is_refused(client: Client, nursery: Nursery) -> None:
    assert client.get("/due/", headers={"Host": "elsewhere.example"}).status_code == 400


def test_times_are_shown_in_the_nursery_s_zone(client: Client, dome: Dome, write: object) -> None:
    write("watered", dome)  # type: ignore[operator]  # 10:30 UTC in February is 11:30 in Zurich
    assert "Sat 14 Feb 2026, 11:30" in client.get(f"/domes/{dome.pk}/").content.decode()


def test_reading_a_page_writes_nothing(client: Client, plant: Plant, dome: Dome) -> None:
    before = Event.objects.count()
    for address in ("/due/", "/domes/", f"/domes/{dome.pk}/", f"/domes/{dome.pk}/round/", "/due/in-leaf/"):
        client.get(address)
    assert Event.objects.count() == before
    for address in ("/undo/", "/due/done/", f"/domes/{dome.pk}/water/", f"/domes/{dome.pk}/round/rest/"):
        assert client.get(address).status_code == 405


def test_undo_names_only_what_the_book_holds(client: Client, nursery: Nursery) -> None:
    assert client.post("/undo/", {"event": "not-an-id"}).status_code == 404
    assert client.post("/undo/", {"event": str(uuid4())}).status_code == 404


def test_undo_does_not_lead_out_of_the_book(client: Client, dome: Dome, write: object) -> None:
    answer = write("watered", dome)  # type: ignore[operator]
    response = client.post("/undo/", {"event": str(answer.id), "next": "https://elsewhere.example/"})
    assert response.headers["Location"] == "/due/"


def test_a_long_page_comes_packed_to_whoever_unpacks_it(client: Client, nursery: Nursery) -> None:
    plain, packed = client.get("/bench/new/"), client.get("/bench/new/", headers={"Accept-Encoding": "gzip"})
    assert packed["Content-Encoding"] == "gzip"
    assert len(packed.content) < len(plain.content) / 2
    assert b"</html>" in gzip.decompress(packed.content)
    assert "Content-Encoding" not in plain.headers
