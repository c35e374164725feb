"""A wish list on file becomes wishes to plan as the book would take them; what is wrong in it is told all at once."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from tests.small_nursery import TODAY, small_nursery

from scionary.answers.wish_import import WishReading
from scionary.answers.wishes_on_file import WishesOnFile, wishes_on_file
from scionary.book.models import Nursery, PotKind
from scionary.errors import BadFile, Refused

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _book(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)


def read(text: str, how: WishReading | None = None) -> WishesOnFile:
    return wishes_on_file(text.encode(), "list.csv", today=TODAY, how=how)


@pytest.mark.parametrize(
    ("written", "day"),
    [("2026-03-15", date(2026, 3, 15)), ("March 2026", date(2026, 3, 31)), ("2026", date(2026, 12, 31)), ("", None)],
)
def test_by_when_is_kept_to_the_last_day_of_what_is_written(written: str, day: date | None) -> None:
    [wish] = read(f"cultivar,number,by when\nRed Tarn,4,{written}\n").wishes
    assert wish.by_when == day


def test_a_day_that_is_past_is_told() -> None:
    found = read("cultivar,number,by when\nRed Tarn,4,2026-01-05\nAsh Gill,2,2026-08-01\n")
    assert found.told == ("Row 2: the day by which it is wanted is past.",)


def test_a_day_that_can_be_read_in_two_ways_is_asked_about() -> None:
    text = "cultivar,number,by when\nRed Tarn,4,03/04/2026\n"
    with pytest.raises(Refused, match="day and month of some dates"):
        read(text)
    [wish] = read(text, WishReading(date_order="dmy")).wishes
    assert wish.by_when == date(2026, 4, 3)


def test_a_row_that_is_perhaps_a_sum_is_told() -> None:
    found = read("cultivar,number\nRed Tarn,4\nTOTAL,4\n")
    assert found.told == ("Row 3: if TOTAL is the sum of the rows and no cultivar, take that row out of the file.",)


def test_all_bad_rows_are_told_at_once() -> None:
    with pytest.raises(BadFile) as caught:
        read("cultivar,number,worth\nRed Tarn,many,4\nAsh Gill,3,dear\nSlate Veil,,2\nRed Tarn,200000,1\n")
    for words in ("row 2, number 'many'", "row 3, worth 'dear'", "row 4, number ''", "row 5, number '200000'"):
        assert words in str(caught.value)


def test_a_header_that_says_nothing_is_named() -> None:
    with pytest.raises(BadFile, match="no column says how many are wanted; not read: Anzahl"):
        read("cultivar,Anzahl\nRed Tarn,4\n")
    how = WishReading(mapping={"Anzahl": "number"})  # as it is told to say; the other columns are guessed as before
    [wish] = read("cultivar,Anzahl\nRed Tarn,4\n", how).wishes
    assert wish.wanted == 4
    assert read("cultivar,number,Hof\nRed Tarn,4,x\n").told == ("Not read, since the header does not say what it holds: Hof.",)


def test_names_that_are_nearly_the_books_are_pointed_out_and_can_be_settled() -> None:
    found = read("cultivar,number\nAsh Gil,4\n")
    assert [(name.name, name.known, name.perhaps) for name in found.cultivars] == [("Ash Gil", False, ("Ash Gill",))]
    [wish] = read("cultivar,number\nAsh Gil,4\n", WishReading(cultivars={"Ash Gil": "Ash Gill"})).wishes
    assert (wish.name, wish.genus) == ("Ash Gill", "Acer")


def test_a_pot_of_the_book_is_taken_from_the_size() -> None:
    first, second = read("cultivar,number,size\nRed Tarn,4,4-Inch Square\nAsh Gill,2,tall\n").wishes
    assert first.pot == PotKind.objects.get(name="4-inch square").pk
    assert second.pot is None
