"""Wishes as they are said, one a line."""

from __future__ import annotations

from datetime import datetime

import pytest

from scionary.answers.season_plan import add_wishes
from scionary.answers.wish_lines import SaidWish, lines_said, save_lines, wish_said
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Nursery, Wish
from scionary.errors import Refused

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("text", "wish"),
    [
        ("20 Red Tarn", SaidWish(20, "Red Tarn")),
        ("20 x Red Tarn at 30", SaidWish(20, "Red Tarn", "30")),
        (" 3× Ash Gill at 12,50 ", SaidWish(3, "Ash Gill", "12.50")),
        ("4 Look at Me", SaidWish(4, "Look at Me")),
        ("Red Tarn", None), ("0 Red Tarn", None), ("200000 Red Tarn", None), ("20", None),
    ],
)  # fmt: skip
def test_a_wish_is_a_number_and_a_name_and_perhaps_what_one_is_worth(text: str, wish: SaidWish | None) -> None:
    assert wish_said(text) == wish


def test_all_lines_that_are_no_wish_are_told_at_once(nursery: Nursery) -> None:
    with pytest.raises(Refused, match="no wish: line 2, 'Red Tarn'; line 4, 'many Ash Gill'"):
        lines_said("20 Red Tarn\nRed Tarn\n\nmany Ash Gill\n", anyway=False)
    with pytest.raises(Refused, match="0 lines cannot be taken"):
        lines_said(" \n", anyway=False)


def test_names_that_are_nearly_the_books_are_asked_about(cultivar: Cultivar) -> None:
    with pytest.raises(Refused, match="Red Tran: perhaps Red Tarn"):
        lines_said("20 Red Tran\n3 Red Tarn", anyway=False)
    assert [wish.name for wish in lines_said("20 Red Tran\n3 Red Tarn", anyway=True)] == ["Red Tran", "Red Tarn"]


def test_the_same_lines_sent_twice_are_added_once(cultivar: Cultivar, now: datetime) -> None:
    said, ident = lines_said("20 Red Tarn at 30\n3 Orrery", anyway=False), uuid7()
    for _ in range(2):
        save_lines(said, season=2026, assurance=0.8, now=now, ident=ident)
    rows = Wish.objects.order_by("wanted").values_list("cultivar__spoken", "wanted", "worth", "assurance")
    assert [(name, wanted, None if worth is None else float(worth), sure) for name, wanted, worth, sure in rows] == [
        ("Orrery", 3, None, 0.8),
        ("Red Tarn", 20, 30.0, 0.8),
    ]


def test_what_is_worth_is_kept_from_the_terminal_too(nursery: Nursery, now: datetime) -> None:
    [made] = add_wishes(["20 Red Tarn at 30"], season=2026, today=now.date(), assurance=0.9, now=now)
    assert (made.cultivar.spoken, float(made.worth or 0)) == ("Red Tarn", 30.0)
