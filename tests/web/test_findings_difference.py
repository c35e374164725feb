"""Two levels held against each other on a page that works without script."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest
from django.test import Client

from scionary.answers.difference import difference
from scionary.book.commands import cultivar_called, save_noun
from scionary.book.models import Nursery, RootstockLot, Tally
from web.rendered import check_page

pytestmark = pytest.mark.django_db
PAGE = "/findings/difference/"


@pytest.fixture
def lots(nursery: Nursery, now: datetime) -> dict[str, RootstockLot]:
    """Two lots with one cultivar on both, and another on the good one alone."""
    found = {name: save_noun(RootstockLot, {"name": name}, now=now) for name in ("24-A", "24-B", "24-C")}
    rows = (("24-A", "Red Tarn", 36), ("24-A", "Ash Gill", 35), ("24-B", "Red Tarn", 9))
    for lot, cultivar, takes in rows:
        values: dict[str, Any] = {"cultivar": cultivar_called(cultivar, now=now), "lot": found[lot], "grafts": 40, "takes": takes}
        save_noun(Tally, {**values, "season": 2024, "stage": "firm"}, now=now)
    return found


def test_without_names_the_plainest_pair_is_shown(client: Client, lots: dict[str, RootstockLot]) -> None:
    text = check_page(client.get(PAGE, {"stage": "firm", "factor": "lot"}))
    assert "Stock lot 24-B is lower than 24-A with a chance of" in text
    assert "24-C" not in text


def test_the_page_says_what_the_terminal_says(client: Client, lots: dict[str, RootstockLot]) -> None:
    given = {"stage": "firm", "factor": "lot", "first": str(lots["24-A"].pk), "second": str(lots["24-B"].pk)}
    answer = difference("24-A", "24-B", stage="firm", factor="lot")
    text = check_page(client.get(PAGE, given))
    assert answer.sentence in text
    assert f"<td>{answer.points_words}</td>" in text
    assert f'<option value="{lots["24-A"].pk}" selected>24-A (71 of 80)</option>' in text


def test_what_all_grafts_of_a_lot_share_is_said(client: Client, lots: dict[str, RootstockLot]) -> None:
    text = check_page(client.get(PAGE, {"stage": "firm", "factor": "lot"}))
    assert "Every graft on stock lot 24-B was Red Tarn" not in text  # half of the other lot's were Red Tarn too
    text = check_page(client.get(PAGE, {"stage": "firm", "factor": "cultivar"}))
    assert "Every graft of Ash Gill stood on stock lot 24-A" not in text


def test_one_level_alone_is_not_compared(client: Client, lots: dict[str, RootstockLot]) -> None:
    text = check_page(client.get(PAGE, {"stage": "firm", "factor": "season"}))
    assert "Only one season has grafts with a known outcome at this stage, so there is nothing to compare." in text


def test_an_empty_book_has_nothing_to_compare(client: Client, nursery: Nursery) -> None:
    assert "No graft has a known outcome at this stage by cultivar, so there is nothing to compare." in check_page(client.get(PAGE))


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"first": "nobody", "second": "24-A"}, "is called &#x27;nobody&#x27;"),
        ({"first": "24-A", "second": "24-A"}, "24-A cannot be compared with itself"),
        ({"first": "24-C", "second": "24-A"}, "is called &#x27;24-C&#x27;"),
        ({"first": "24-A"}, "is called &#x27;&#x27;"),
        ({"factor": "moon"}, "One of:"),
    ],
)
def test_what_cannot_be_compared_is_refused_in_words(
    client: Client, lots: dict[str, RootstockLot], given: dict[str, str], said: str
) -> None:
    response = client.get(PAGE, {"stage": "firm", "factor": "lot", **given})
    assert response.status_code == 422
    assert said in response.content.decode()
