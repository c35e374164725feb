"""scionary findings --signs, and what scionary find says of a plant that waits."""

from collections.abc import Callable
from typing import Any

import pytest

from scionary.book.commands import Written
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db


@pytest.fixture
def followed(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    """12 grafts of the year before with a stalk scored and a known end; 8 took."""
    for i, plant in enumerate(graft(12, days=-200).plants):
        write("scored", plant, sign="stalk_drops", answer="yes" if i < 9 else "no", days=-186)
        write("scored", plant, sign="firm", answer="yes" if i < 8 else "no", days=-160)


def test_findings_of_signs_say_what_each_is_worth(scionary: Callable[..., Any], followed: None) -> None:
    said = scionary("findings", "--signs").out
    assert "Of 8 that took, 8 dropped their stalk; so did 1 of 4 that failed." in said
    assert "assumes: Which plants were followed up to their end depended on the sign alone" in said
    answer = scionary("findings", "--signs", "--json").json
    assert answer["signs"][0]["counts"]["yes_taken"] == 8
    assert answer["bud_push"] is None


def test_findings_of_signs_in_an_empty_book(scionary: Callable[..., Any]) -> None:
    assert scionary("findings", "--signs").out == "No early sign was followed up to a known end yet.\n"


def test_find_says_whether_to_wait_and_what_turns_it(scionary: Callable[..., Any], followed: None, graft: Callable[..., Written]) -> None:
    name = graft().plants[0].spoken
    said = scionary("find", name, "--on", "2026-02-20").out
    assert "Wait: " in said
    assert "it can be grafted again until 18 April 2026" in said
    set_by_hand = scionary("find", name, "--on", "2026-02-20", "--worth", "80", "--place", "60", "--json").json["advice"]
    assert (set_by_hand["step"], set_by_hand["stakes"]["worth"]) == ("give up", 80.0)


def test_find_says_nothing_of_the_kind_where_the_take_is_known(scionary: Callable[..., Any], followed: None) -> None:
    assert scionary("find", "Red Tarn 1", "--json").json["advice"] is None


def test_a_worth_below_nothing_is_refused(scionary: Callable[..., Any], followed: None) -> None:
    assert scionary("find", "Red Tarn 1", "--worth", "-1").code == 2
