"""Wishes as they are said, one a line."""

from __future__ import annotations

from datetime import date, datetime

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
        ("15 x Red Tarn @ 25", SaidWish(15, "Red Tarn", "25")),
        ("8 Ash Gill at 45 by 2027-09-01", SaidWish(8, "Ash Gill", "45", date(2027, 9, 1))),
        ("8 Ash Gill by 2027-09-01", SaidWish(8, "Ash Gill", None, date(2027, 9, 1))),
        ("8 Ash Gill by 2027-02-30", None), ("8 Ash Gill by 1.9.2027", None), ("8 Ash Gill at -3", None), ("8 Ash Gill @ some", None),
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


def test_names_that_are_nearly_one_another_are_asked_about(nursery: Nursery) -> None:
    with pytest.raises(Refused, match="Quiet Ril: perhaps Quiet Rill"):
        lines_said("6 Quiet Rill\n6 Quiet Ril", anyway=False)
    assert len(lines_said("3 Seedling 1\n3 Seedling 2\n6 Quiet Rill\n2 Quiet Rill", anyway=False)) == 4


def test_the_same_lines_sent_twice_are_added_once(cultivar: Cultivar, now: datetime) -> None:
    said, ident = lines_said("20 Red Tarn at 30 by 2026-09-01\n3 Orrery", anyway=False), uuid7()
    for _ in range(2):
        save_lines(said, season=2026, assurance=0.8, now=now, ident=ident)
    rows = Wish.objects.order_by("wanted").values_list("cultivar__spoken", "wanted", "worth", "assurance")
    assert [(name, wanted, None if worth is None else float(worth), sure) for name, wanted, worth, sure in rows] == [
        ("Orrery", 3, None, 0.8),
        ("Red Tarn", 20, 30.0, 0.8),
    ]
    assert Wish.objects.get(wanted=20).by_when == date(2026, 9, 1)


def test_what_is_worth_is_kept_from_the_terminal_too(nursery: Nursery, now: datetime) -> None:
    [made] = add_wishes(["20 Red Tarn at 30 by 2026-09-01"], season=2026, today=now.date(), assurance=0.9, now=now)
    assert (made.cultivar.spoken, float(made.worth or 0), made.by_when) == ("Red Tarn", 30.0, date(2026, 9, 1))
