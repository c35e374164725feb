"""The page of phones: whom the book hears from, and ending a phone that is lost."""

from __future__ import annotations

import re
from typing import Any
from uuid import UUID

import numpy as np
import pytest
from django.contrib.auth import get_user_model
from django.test import Client

from scionary.book.leases import take_numbers
from scionary.book.models import Cultivar, Device, Nursery
from scionary.files.symbols import read_symbols
from web.phones import Phone, grafted
from web.rendered import check_page

pytestmark = pytest.mark.django_db
PAGE = "/book/phones/"


def test_the_book_leads_to_its_phones(client: Client, nursery: Nursery) -> None:
    assert f'href="{PAGE}"' in check_page(client.get("/book/"))
    assert "No phone writes without a signal yet." in check_page(client.get(PAGE))


def test_a_phone_stands_there_with_its_codes_and_the_pages_own_numbers_do_not(client: Client, phone: Phone, cultivar: Cultivar) -> None:
    take_numbers("", 1, now=Device.objects.get().added_at)
    codes = phone.lease()
    phone.send(grafted(cultivar.pk, 1, code_number=codes[0]))
    Device.objects.update(user=get_user_model().objects.create_user("ida"))
    text = check_page(client.get(PAGE))
    assert "Mara&#x27;s phone" in text
    assert "ida · last sent something on" in text
    assert "199 codes left" in text
    assert text.count("codes left") == 1, "only phones stand here"


def test_an_ended_phone_is_told_so_and_listed_below(client: Client, phone: Phone) -> None:
    phone.lease()
    ident = Device.objects.get().pk
    assert f'action="{PAGE}{ident}/end/"' in client.get(PAGE).content.decode()
    answer = client.post(f"{PAGE}{ident}/end/")
    assert (answer.status_code, answer["Location"]) == (303, PAGE)
    text = check_page(client.get(PAGE))
    assert "No phone writes without a signal yet." in text
    assert "<h2>Ended</h2>" in text
    assert f"{PAGE}{ident}/end/" not in text
    assert phone.get().status_code == 401


def test_looking_at_an_end_ends_nothing_and_a_phone_of_nobody_is_said_so(client: Client, phone: Phone) -> None:
    ident = Device.objects.get().pk
    assert client.get(f"{PAGE}{ident}/end/").status_code == 405
    assert phone.get().status_code == 200
    answer = client.post(f"{PAGE}{UUID(int=7)}/end/")
    assert (answer.status_code, "no such phone" in answer.content.decode()) == (404, True)


def test_where_the_pages_are_shared_a_phone_is_told_the_way(client: Client, nursery: Nursery, settings: Any) -> None:
    assert "scionary share" in check_page(client.get(PAGE))
    settings.SHARED_ADDRESS, settings.TRUST_ADDRESS = "https://192.168.1.20:8443", "http://192.168.1.20:8080"
    text = check_page(client.get(PAGE))
    assert "Take the certificate" in text
    assert "scionary share" not in text
    symbols = re.findall(
        r'<svg class="symbol" viewBox="0 0 (\d+) \d+" role="img" aria-label="QR symbol: ([^"]+)"><path d="([^"]+)"/>', text
    )
    assert [read_back(int(side), path) for side, _, path in symbols] == [words for _, words, _ in symbols]
    assert [words for _, words, _ in symbols] == ["http://192.168.1.20:8080/", "https://192.168.1.20:8443/hand/"]


def read_back(side: int, path: str) -> str:
    """What a camera reads of a symbol drawn in this path."""
    picture = np.full((side, side), 255, np.uint8)
    for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", path):
        picture[int(y), int(x)] = 0
    [found] = read_symbols(np.kron(picture, np.ones((4, 4), np.uint8)))
    return found.text
