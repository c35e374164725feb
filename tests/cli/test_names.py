"""Names in the terminal: the same looks and joinings as on the pages."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, OtherName, Plant
from scionary.book.projection import columns

pytestmark = pytest.mark.django_db
Run = Callable[..., Any]


@pytest.fixture
def tran(cultivar: Cultivar, now: datetime) -> Cultivar:
    return save_noun(Cultivar, {"spoken": "Red Tran"}, now=now)


@pytest.fixture
def plants(graft: Callable[..., Any], tran: Cultivar) -> list[Plant]:
    """Red Tarn 1, Red Tran 1 and 2."""
    return [*graft(1).plants, *graft(2, cultivar=tran.pk).plants]


def test_names_that_may_be_one_are_listed(scionary: Run, plants: list[Plant]) -> None:
    said = scionary("names", "alike")
    assert said.code == 0
    assert "1 pair of names may be one." in said.out
    assert "Red Tran  2 plants  Red Tarn    1 plant  they are spelt nearly alike" in said.out
    (pair,) = scionary("names", "alike", "--json").json["pairs"]
    assert (pair["first"]["spoken"], pair["first"]["plants"], pair["second"]["has"]) == ("Red Tran", 2, "1 plant")


def test_they_are_two_and_may_be_one_again(scionary: Run, plants: list[Plant]) -> None:
    assert "Red Tarn and Red Tran are two" in scionary("names", "two", "Red Tarn", "Red Tran").out
    assert "No two names look like one." in scionary("names", "alike").out
    assert "offered again" in scionary("names", "two", "Red Tran", "Red Tarn", "--again").out
    assert "1 pair" in scionary("names", "alike").out
    assert scionary("names", "two", "Red Tran", "Red Tarn", "--again").code == 2


def test_a_look_says_what_would_change_and_writes_nothing(scionary: Run, plants: list[Plant]) -> None:
    before = columns()
    said = scionary("names", "join", "Red Tarn", "Red Tran", "--look")
    assert said.code == 0
    assert "2 labels to write again. Nothing is written yet." in said.out
    assert "Red Tran 1  Red Tarn 3  write again" in said.out
    assert scionary("names", "join", "Red Tarn", "Red Tran", "--look", "--json").json["written"] is False
    assert columns() == before


def test_joined_shown_and_taken_apart(scionary: Run, plants: list[Plant]) -> None:
    before = columns()
    joined = scionary("names", "join", "red tarn", "red tran", "--json").json
    assert (joined["written"], joined["plants"][0]) == (
        True, {"before": "Red Tran 1", "after": "Red Tarn 3", "label": True, "renumbered": True},
    )  # fmt: skip
    shown = scionary("names", "show", "Red Tran")
    assert "Red Tarn: Red Tran (was kept as a cultivar of its own)." in shown.out
    assert "Red Tran was joined with Red Tarn." in shown.out
    assert "Red Tran 1      Red Tarn 3" in shown.out
    assert scionary("find", "Red Tran 1").out.startswith("Written as Red Tran, kept as Red Tarn. Red Tarn 3, ")
    assert "Red Tran and Red Tarn are two again." in scionary("names", "undo", "Red Tran").out
    assert columns() == before
    assert "taken apart again" in scionary("names", "show", "Red Tran").out


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (("join", "Red Tarn", "red  TARN"), "cannot be joined with itself"),
        (("join", "Red Tarn", "Snowbed"), "the book holds no 'Snowbed'"),
        (("join", "Red Tarm", "Red Tran"), "Did you mean Red Tarn?"),
        (("join", "Red Tarn", ""), "the book holds no ''"),
        (("undo", "Red Tarn"), "nothing was joined with 'Red Tarn'"),
        (("remove", "Red Tarn"), "no cultivar is also called 'Red Tarn'"),
        (("add", "Red Tarn", "Red Tran"), "Red Tran is a cultivar of its own"),
        (("add", "Red Tarn", "x" * 500), "at most 60 characters"),
        (("add", "Red Tarn", "🌱"), "no name is typed"),
        (("add", "Red Tarn", "   "), "no name is typed"),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_do(scionary: Run, tran: Cultivar, typed: tuple[str, ...], told: str) -> None:
    said = scionary("names", *typed)
    assert said.code == 2
    assert told in said.err
    assert not OtherName.objects.exists()


def test_joined_twice_it_says_so(scionary: Run, plants: list[Plant]) -> None:
    assert scionary("names", "join", "Red Tarn", "Red Tran").code == 0
    again = scionary("names", "join", "Red Tarn", "Red Tran")
    assert again.code == 2
    assert "Red Tran was joined with Red Tarn already" in again.err


def test_another_name_is_added_used_said_and_removed(scionary: Run, cultivar: Cultivar) -> None:
    assert "Red Tarn is also found as Tarn Blush." in scionary("names", "add", "Red Tarn", "Tarn Blush").out
    assert scionary("names", "show", "tarn blush", "--json").json["others"] == [{"name": "Tarn Blush", "kind": "synonym"}]
    grafted = scionary("bench", "Tarn Blush", "2", "--json")
    assert [plant["name"] for plant in grafted.json["plants"]] == ["Red Tarn 1", "Red Tarn 2"]
    assert "Look: Written as Tarn Blush, kept as Red Tarn." in grafted.err
    planned = scionary("plan", "20 Tarn Blush")
    assert "Look: Written as Tarn Blush, kept as Red Tarn." in planned.err
    assert "Tarn Blush" not in planned.out
    assert "Tarn Blush no longer finds Red Tarn." in scionary("names", "remove", "TARN blush").out
    assert "no other name" in scionary("names", "show", "Red Tarn").out
