"""Findings, early signs: what each is worth, when buds push, the season's total."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client

from scionary.answers.bud_looks import learn_push
from scionary.book.commands import Written
from scionary.book.models import Nursery
from scionary.book.record import Answer
from web.rendered import check_page

pytestmark = pytest.mark.django_db
Write = Callable[..., Answer]
Grafts = Callable[..., Written]


@pytest.fixture
def followed(graft: Grafts, write: Write) -> None:
    """24 grafts of the year before with both signs and a known end; 16 took."""
    for i, plant in enumerate(graft(24, days=-200).plants):
        write("scored", plant, sign="stalk_drops", answer="yes" if i < 18 else "no", days=-186)
        for day in (20, 30, 45):
            pushed = i < 16 and 22 + i % 9 <= day
            write("scored", plant, sign="bud_moving", answer="yes" if pushed else "no", days=-200 + day)
        write("scored", plant, sign="firm", answer="yes" if i < 16 else "no", days=-140)


def test_an_empty_book_says_what_the_page_is_for(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/findings/signs/"))
    assert "here stands what the signs were worth" in text
    assert "When buds push" not in text


def test_each_sign_has_its_sentence_its_picture_and_its_table(client: Client, followed: None) -> None:
    text = check_page(client.get("/findings/signs/"))
    assert "Of 16 that took, 16 dropped their stalk; so did 2 of 8 that failed." in text
    assert "Shares that show a stalk that drops: the table below has the numbers" in text
    assert '<td>took</td><td class="number">16</td><td class="number">0</td>' in text
    assert "It says that the scion is alive, not that it is united." in text
    assert text.count("so the sign confirms itself") == 2
    assert "Only what was seen before the day of the firm score counts" in text


def test_the_curve_stands_there_once_it_was_learned(client: Client, followed: None) -> None:
    assert "worked out beside the pages" in check_page(client.get("/findings/signs/"))
    learn_push([])
    text = check_page(client.get("/findings/signs/"))
    assert "Half of the buds of takes have moved by about day" in text
    assert "Share of buds that have moved, by day after grafting: the table below has the numbers" in text
    assert "Learned from looks at 16 grafts that took and 8 that failed" in text


def test_the_season_s_total_stands_first(client: Client, followed: None, graft: Grafts) -> None:
    graft(12)
    text = check_page(client.get("/findings/signs/"))
    assert "Of 12 grafts of 2026, between" in text
    assert text.index("Of 12 grafts of 2026") < text.index("A stalk that drops</h2>")


def test_the_page_is_reached_from_findings(client: Client, followed: None) -> None:
    assert 'href="/findings/signs/"' in check_page(client.get("/findings/"))
