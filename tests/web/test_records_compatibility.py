"""The table of what carries what: the usual rows, a person's own before them, and what this book lost beside them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from html import unescape
from typing import Any

from django.test import Client

from scionary.answers.compatible import rows_of
from scionary.book.commands import Written, save_noun
from scionary.book.models import Cultivar, Nursery, RootstockLot
from scionary.union import compatibility
from web.rendered import check_page

ROW = {"stock": "Acer circinatum", "scion": "Acer palmatum", "verdict": "doubtful", "source": "two lots of ours", "note": "slow"}


def table(client: Client) -> str:
    return unescape(check_page(client.get("/book/compatibility/")))


def test_the_usual_rows_stand_with_their_sources(client: Client, nursery: Nursery) -> None:
    text = table(client)
    for words in ("Acer on Acer sect. platanoidea", "milky sap; only maples of its own section", "(weak)", "common practice, no source"):
        assert words in text
    assert "yours" not in text


def test_a_row_of_ones_own_goes_before_the_usual_ones(client: Client, nursery: Nursery) -> None:
    check_page(client.post("/book/compatibility/row/", ROW, follow=True))
    assert "two lots of ours" in table(client)
    assert compatibility("Acer circinatum", "Acer palmatum 'Red Tarn'", rows_of()).verdict == "doubtful"


def test_a_usual_row_is_changed_and_comes_back_when_the_change_is_taken_out(client: Client, nursery: Nursery) -> None:
    text = unescape(check_page(client.get("/book/compatibility/row/", {"stock": "hamamelis", "scion": "hamamelis"})))
    assert "The usual row says: carries it" in text
    changed = {
        "stock": "hamamelis",
        "scion": "hamamelis",
        "verdict": "fails",
        "source": "ours",
        "was_stock": "hamamelis",
        "was_scion": "hamamelis",
    }
    client.post("/book/compatibility/row/", changed)
    assert table(client).count("Hamamelis on Hamamelis") == 1
    assert compatibility("Hamamelis virginiana", "Hamamelis mollis", rows_of()).verdict == "fails"
    client.post("/book/compatibility/row/out/", {"stock": "hamamelis", "scion": "hamamelis"})
    assert compatibility("Hamamelis virginiana", "Hamamelis mollis", rows_of()).verdict == "good"


def test_the_same_row_twice_and_what_is_no_name_are_refused_at_the_field(client: Client, nursery: Nursery) -> None:
    client.post("/book/compatibility/row/", ROW)
    again = client.post("/book/compatibility/row/", ROW)
    assert again.status_code == 422
    assert "stand there already" in check_page(again)
    assert client.post("/book/compatibility/row/", {**ROW, "stock": ""}).status_code == 422
    assert client.post("/book/compatibility/row/", {**ROW, "verdict": "maybe"}).status_code == 422
    assert len(Nursery.objects.get().compatibility) == 1


def test_what_this_book_lost_stands_beside_the_table(
    client: Client, cultivar: Cultivar, lot: RootstockLot, graft: Callable[..., Written], write: Callable[..., Any], now: datetime
) -> None:
    save_noun(Cultivar, {"botanical": "Acer palmatum 'Red Tarn'"}, now=now, pk=cultivar.pk)
    save_noun(RootstockLot, {"species": "Acer rubrum"}, now=now, pk=lot.pk)
    plants = graft(3, lot=lot.pk).plants
    write("lost", plants[0], days=40)
    text = table(client)
    assert "Acer palmatum on Acer rubrum" in text
    assert "1 of 3 lost; the table: doubtful" in text
