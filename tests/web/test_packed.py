"""Scripts and styles are packed for whoever can unpack them; all else goes as it is."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest
from django.test import Client

import scionary

pytestmark = pytest.mark.django_db
LOOK = (Path(scionary.__file__).parent / "web/static/scionary/look.css").read_bytes()
ADDRESS = "/static/scionary/look.css"
PACKED = {"accept-encoding": "gzip"}


def test_a_style_comes_packed_and_is_the_same_unpacked(client: Client) -> None:
    answer = client.get(ADDRESS, headers=PACKED)
    sent = b"".join(answer)  # type: ignore[call-overload]
    assert (answer["Content-Encoding"], gzip.decompress(sent)) == ("gzip", LOOK)
    assert len(sent) < len(LOOK) / 3
    assert "Accept-Encoding" in answer["Vary"]


def test_whoever_cannot_unpack_gets_it_as_it_is(client: Client) -> None:
    answer = client.get(ADDRESS)
    assert not answer.has_header("Content-Encoding")
    assert b"".join(answer) == LOOK  # type: ignore[call-overload]


def test_what_is_the_same_still_is_not_sent_again(client: Client) -> None:
    before = client.get(ADDRESS, headers=PACKED)
    marks = {name: before[given] for name, given in (("if-none-match", "ETag"), ("if-modified-since", "Last-Modified")) if given in before}
    again = client.get(ADDRESS, headers={**PACKED, **marks})
    assert (again.status_code, b"".join(again)) == (304, b"")  # type: ignore[call-overload]
    assert not again.has_header("Content-Encoding")


def test_a_part_of_a_file_and_a_picture_are_not_packed(client: Client) -> None:
    part = client.get(ADDRESS, headers={**PACKED, "range": "bytes=0-299"})
    assert (part.status_code, b"".join(part)) == (206, LOOK[:300])  # type: ignore[call-overload]
    assert not client.get("/static/scionary/ring-192.png", headers=PACKED).has_header("Content-Encoding")
