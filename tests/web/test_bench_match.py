"""Matching scions to stocks on a page: typed, pasted or measured before; listed, printed, and written down as used."""

from __future__ import annotations

from html import unescape
from typing import Any

import pytest
from django.test import Client

from scionary.answers.measured_stems import measured_row, write_measured
from scionary.book.ids import uuid7
from scionary.book.models import Event, RootstockLot
from web.rendered import check_page

ASKED = {"scions": "3.1 Red Tarn\n5", "stocks": "7\n9\n8 24-B", "unit": "mm", "method": "side_veneer", "names": "on"}


def matched(client: Client, **more: Any) -> str:
    return unescape(check_page(client.post("/bench/match/", {**ASKED, **more})))


@pytest.fixture
def measured(lot: RootstockLot, now: Any) -> RootstockLot:
    for number, thickness in ((14, 7.2), (15, 6.4), (16, 8.0)):
        write_measured(lot, number, thickness, now=now, event_id=uuid7())
    return lot


def test_the_page_needs_no_data_and_writes_none(client: Client, nursery: Any) -> None:
    before = Event.objects.count()
    assert "Scions, one a line" in check_page(client.get("/bench/match/"))
    text = matched(client)
    assert "2 pairs: every scion has its stock." in text
    assert "with scion 1, Red Tarn" in text
    assert "Cut away from hand and body" in text
    assert Event.objects.count() == before


def test_measured_stocks_are_matched_by_their_numbers_and_are_used_afterwards(client: Client, measured: RootstockLot) -> None:
    text = matched(client, stocks="", lots=[str(measured.pk)])
    assert "Stock 24-B 1" in text
    stems = [f"lots:{measured.pk}:14", f"lots:{measured.pk}:15"]
    check_page(client.post("/bench/match/used/", {"stem": stems}, follow=True))
    assert [stem.number for stem in measured_row(measured).there] == [16]


def test_a_lot_of_which_none_is_measured_counts_with_its_usual_thickness(client: Client, lot: RootstockLot) -> None:
    assert "60 not measured; usual thickness 7 mm" in unescape(check_page(client.get("/bench/match/")))
    assert "2 pairs" in matched(client, stocks="", lots=[str(lot.pk)])


def test_what_is_left_over_and_what_to_order_is_told(client: Client, nursery: Any) -> None:
    text = matched(client, scions="3\n20", stocks="7\n8")
    assert "Scions left over: 2 (20 mm)." in text
    assert "1 stock of " in text


def test_the_list_is_a_pdf(client: Client, nursery: Any) -> None:
    answer = client.post("/bench/match/list.pdf", ASKED)
    assert (answer.status_code, answer.content[:4]) == (200, b"%PDF")


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"scions": ""}, "None stand there"),
        ({"stocks": "7\nthick"}, "Line 2: 'thick' begins with no thickness"),
        ({"method": "glue"}, "No method is called"),
        ({"lots": ["nothing"]}, "nothing"),
    ],
)
def test_what_cannot_be_is_said_on_the_page(client: Client, lot: RootstockLot, wrong: dict[str, Any], told: str) -> None:
    answer = client.post("/bench/match/", {**ASKED, **wrong})
    assert answer.status_code == 422
    assert told.casefold() in unescape(check_page(answer)).casefold()


def test_stems_that_nobody_knows_are_refused(client: Client, lot: RootstockLot) -> None:
    for stem in ("", "lots:x:1", f"trees:{lot.pk}:1", f"lots:{lot.pk}:one"):
        assert client.post("/bench/match/used/", {"stem": stem}).status_code >= 400
    assert not Event.objects.filter(kind="measured").exists()
