"""Wish lists from a spreadsheet."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from scionary.answers.wish_import import WishReading, accept_wishes, preview_wishes
from scionary.book.models import Cultivar, RawFile, Wish
from scionary.errors import Refused

NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)
TODAY = date(2026, 7, 10)
LIST = b"""cultivar,how many,by when,price,pot,notes
Red Tarn,20,2027-06-01,45.50,4-inch square,for the fair
Ash Gill,3,May 2028,,two gallon,
Lanthorn,1,2027,,,
"""
PUZZLING = LIST + b"Fell Lace,a few,,,,\nMerrybeck,,,,,\n"
pytestmark = pytest.mark.usefixtures("nursery")


def test_the_preview_says_what_each_row_becomes_and_writes_nothing() -> None:
    preview = preview_wishes(PUZZLING, "wishes.csv", today=TODAY)
    assert [(row.row, row.becomes) for row in preview.rows] == [
        (2, "wish"),
        (3, "wish"),
        (4, "wish"),
        (5, "not understood"),
        (6, "not understood"),
    ]
    assert preview.rows[0].words == "20 Red Tarn by 2027-06-01, worth 45.50 each."
    assert preview.rows[4].words == "how many Merrybeck are wanted is not said."
    assert preview.words == "3 wishes, 24 plants, for the growing year 2026. 2 rows not understood."
    assert (Wish.objects.count(), Cultivar.objects.count(), RawFile.objects.count()) == (0, 0, 0)
    json.dumps(preview.to_dict())


def test_a_list_without_a_number_column_asks_which_one_it_is() -> None:
    preview = preview_wishes(b"Sorte;Anzahl\nRed Tarn;4\n", "wishes.csv", today=TODAY)
    assert (preview.uncounted, preview.rows[0].remedy) == (True, "Say which column holds it.")
    assert preview.warnings == ("No column is read as how many are wanted: say which one it is, under What the columns hold.",)
    counted = preview_wishes(b"Sorte;Anzahl\nRed Tarn;4\nTotal;4\n", "wishes.csv", today=TODAY, how=WishReading({"Anzahl": "number"}))
    assert (counted.uncounted, counted.wishes) == (False, 2)
    assert "Row 3: if Total is the sum" in counted.warnings[0]


def test_a_wish_for_none_is_told_so() -> None:
    [row] = preview_wishes(b"cultivar,number\nRed Tarn,0\n", "wishes.csv", today=TODAY).rows
    assert (row.words, row.remedy) == ("none of Red Tarn is wanted.", "Leave the row out, or write how many.")


def test_an_accepted_list_becomes_wishes() -> None:
    result = accept_wishes(LIST, "wishes.csv", now=NOW, how=WishReading(season=2027))
    assert (result.wishes, result.wanted, result.new_cultivars) == (3, 24, ("Ash Gill", "Lanthorn", "Red Tarn"))
    wishes = {wish.cultivar.spoken: wish for wish in Wish.objects.select_related("cultivar", "pot_kind")}
    first = wishes["Red Tarn"]
    assert (first.wanted, first.season, first.by_when, first.worth) == (20, 2027, date(2027, 6, 1), Decimal("45.50"))
    assert first.pot_kind is not None
    assert (first.pot_kind.name, first.note) == ("4-inch square", "for the fair")
    assert (wishes["Ash Gill"].by_when, wishes["Ash Gill"].note) == (date(2028, 5, 31), "size: two gallon")
    assert wishes["Lanthorn"].by_when == date(2027, 12, 31)
    assert RawFile.objects.get().kind == "wishes"


def test_rows_not_understood_stay_behind_only_when_the_person_says_so() -> None:
    with pytest.raises(Refused, match=r"wishes.csv, row 5, how many: 'a few' is no number of plants"):
        accept_wishes(PUZZLING, "wishes.csv", now=NOW)
    assert (Wish.objects.count(), Cultivar.objects.count()) == (0, 0)
    assert accept_wishes(PUZZLING, "wishes.csv", now=NOW, skip_not_understood=True).rows_left_out == (5, 6)


def test_the_same_list_twice_is_refused() -> None:
    accept_wishes(LIST, "wishes.csv", now=NOW)
    with pytest.raises(Refused, match="this very list was taken in on 2026-07-10"):
        accept_wishes(LIST, "wishes.csv", now=NOW)
    assert Wish.objects.count() == 3


def test_late_in_the_evening_a_list_was_taken_in_on_the_nursery_s_day() -> None:
    accept_wishes(LIST, "wishes.csv", now=NOW.replace(hour=23))
    assert preview_wishes(LIST, "wishes.csv", today=TODAY).read_before == "2026-07-11"
    with pytest.raises(Refused, match="this very list was taken in on 2026-07-11"):
        accept_wishes(LIST, "wishes.csv", now=NOW)


def test_wishes_past_their_day_and_those_that_stand_already_are_pointed_out() -> None:
    accept_wishes(LIST, "wishes.csv", now=NOW)
    more = b"cultivar,how many,by when\nRed Tarn,5,2026-01-01\n"
    late, again = preview_wishes(more, "more.csv", today=TODAY).warnings
    assert late == "Row 2: the day by which it is wanted is past."
    assert again == "There is a wish for Red Tarn in 2026 already; these come on top of it."


def test_a_misspelt_name_is_offered_and_put_right() -> None:
    accept_wishes(LIST, "wishes.csv", now=NOW)
    more = b"cultivar,how many\nRed Tran,5\n"
    assert preview_wishes(more, "more.csv", today=TODAY).rows[0].words == "5 Red Tran. Did you mean Red Tarn?"
    result = accept_wishes(more, "more.csv", now=NOW, how=WishReading(cultivars={"Red Tran": "Red Tarn"}))
    assert result.new_cultivars == ()
    assert sum(Wish.objects.filter(cultivar__spoken="Red Tarn").values_list("wanted", flat=True)) == 25


def test_dates_in_doubt_are_asked_for() -> None:
    doubt = b"cultivar,how many,by when\nRed Tarn,5,03/04/2027\nAsh Gill,2,05/06/2027\n"
    assert [question.argument for question in preview_wishes(doubt, "wishes.csv", today=TODAY).questions] == ["date_order"]
    with pytest.raises(Refused, match="day and month of some dates cannot be told apart"):
        accept_wishes(doubt, "wishes.csv", now=NOW, skip_not_understood=True)
    accept_wishes(doubt, "wishes.csv", now=NOW, how=WishReading(date_order="mdy"))
    assert Wish.objects.order_by("by_when")[0].by_when == date(2027, 3, 4)


def test_how_sure_is_taken_from_the_list_and_said_in_years() -> None:
    data = b"cultivar,number,sure\nRed Tarn,20,80 %\nAsh Gill,3,\n"
    assert [row.words for row in preview_wishes(data, "list.csv", today=TODAY).rows] == ["20 Red Tarn, eight years in ten.", "3 Ash Gill."]
    accept_wishes(data, "list.csv", now=NOW)
    assert dict(Wish.objects.values_list("cultivar__spoken", "assurance")) == {"Red Tarn": 0.8, "Ash Gill": 0.9}
