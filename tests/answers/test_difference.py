"""Two levels held against each other: chance, size, and what else it may be."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from scionary.answers.difference import contrast, difference, usual_pair
from scionary.answers.rates import rates
from scionary.answers.take_model import take_model
from scionary.book.commands import cultivar_called, save_noun
from scionary.book.models import Nursery, RootstockLot, Tally
from scionary.errors import Refused
from scionary.take import compare

pytestmark = pytest.mark.django_db


def counted(name: str, takes: int, grafts: int, now: datetime, **more: Any) -> None:
    values = {"cultivar": cultivar_called(name, now=now), "season": 2024, "grafts": grafts, "takes": takes, "stage": "firm"}
    save_noun(Tally, {**values, **more}, now=now)


def lot(name: str, now: datetime) -> RootstockLot:
    return RootstockLot.objects.filter(name=name).first() or save_noun(RootstockLot, {"name": name}, now=now)


def test_a_plain_difference_is_said_with_its_chance_and_size(nursery: Nursery, now: datetime) -> None:
    for season in (2021, 2022, 2023, 2024):  # one count alone is one filling, whose luck may be the reason
        counted("Red Tarn", 28, 30, now, season=season)
        counted("Ash Gill", 5, 30, now, season=season)
    found = difference("Red Tarn", "Ash Gill", stage="firm")
    assert found.plain
    assert found.why_not == ""
    assert found.sentence.startswith("Ash Gill is lower than Red Tarn with a chance of over 99 %: by ")
    assert 0.4 < found.points_low < found.points < found.points_high < 0.9
    assert found.sentence.endswith(f"{round(100 * found.points_low)} to {round(100 * found.points_high)}.")


def test_it_is_what_the_engine_says_whichever_is_named_first(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 30, 40, now)
    counted("Ash Gill", 22, 40, now)
    one, other = difference("Red Tarn", "Ash Gill", stage="firm"), difference("Ash Gill", "Red Tarn", stage="firm")
    engine = compare(take_model("firm").fit, "cultivar", one.first.key, one.second.key)
    assert (1 - one.chance_lower, one.points, one.odds_ratio) == (engine.chance_higher, engine.points, engine.odds_ratio)
    assert one.sentence == other.sentence
    assert one.points == -other.points


def test_alike_levels_are_not_told_apart(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 30, 50, now)
    counted("Ash Gill", 30, 50, now)
    found = difference("Red Tarn", "Ash Gill", stage="firm")
    assert not found.plain
    assert found.sentence.startswith("Nothing tells ")
    assert " higher to " in found.sentence
    assert not contrast(rates("firm")).plain  # type: ignore[union-attr]


def test_counts_far_apart_that_tell_nothing_say_what_the_two_did_not_share(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 4, 6, now, lot=lot("24-A", now))
    counted("Ash Gill", 3, 6, now, lot=lot("24-B", now))
    counted("Lanthorn", 10, 20, now, lot=lot("24-A", now), season=2023)
    counted("Lanthorn", 10, 20, now, lot=lot("24-B", now), season=2023)
    found = difference("Red Tarn", "Ash Gill", stage="firm")
    assert not found.plain
    assert found.why_not.startswith("Counted: 4 of 6 against 3 of 6; these two differ by stock lot")
    assert "season" not in found.laid_on  # both are of 2024


def test_a_name_that_fits_several_is_answered_with_them(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 30, 50, now)
    counted("Red Fell", 30, 50, now)
    with pytest.raises(Refused, match=r"'red' fits several: Red Fell and Red Tarn\. Name one of them in full\."):
        difference("red", "Red Tarn", stage="firm")


def test_a_name_is_read_as_a_person_says_it(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 30, 50, now, lot=lot("24-A", now))
    counted("Ash Gill", 30, 50, now, lot=lot("24-B", now))
    assert difference("red  TARN", "ash gill", stage="firm").first.name == "Red Tarn"
    assert difference("24-a", "24-b", stage="firm", factor="lot").second.name == "24-B"


@pytest.mark.parametrize(
    ("second", "said"),
    [
        ("Ash Gil", "Did you mean Ash Gill?"),
        ("Thornwick", "There are: Ash Gill and Red Tarn."),
        ("red tarn", "cannot be compared with itself"),
        ("", "is called ''"),
        ("Moon Garth", "Moon Garth"),
    ],
)
def test_what_cannot_be_compared_is_refused_with_what_can(nursery: Nursery, now: datetime, second: str, said: str) -> None:
    counted("Red Tarn", 30, 50, now)
    counted("Ash Gill", 30, 50, now)
    cultivar_called("Moon Garth", now=now)  # in the book, and never grafted
    with pytest.raises(Refused, match=said.replace("?", r"\?")):
        difference("Red Tarn", second, stage="firm")


def test_seasons_are_offered_the_latest_first(nursery: Nursery, now: datetime) -> None:
    for season in (2022, 2024, 2023):
        counted("Red Tarn", 20, 30, now, season=season)
    assert usual_pair("firm", "season") == ("2024", "2023")
    assert difference("2024", "2022", stage="firm", factor="season").sentence.count("2022") >= 1


def test_the_lowest_and_the_highest_are_pointed_at(nursery: Nursery, now: datetime) -> None:
    for name, takes in (("Red Tarn", 55), ("Ash Gill", 10), ("Lanthorn", 30)):
        counted(name, takes, 60, now)
    counted("Fernwath", 0, 7, now)  # too few to be pointed at unasked
    found = contrast(rates("firm"))
    assert found is not None
    assert (found.first.name, found.second.name) == ("Ash Gill", "Red Tarn")


def test_few_grafts_are_not_pointed_at(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 55, 60, now)
    counted("Ash Gill", 0, 7, now)
    assert contrast(rates("firm")) is None


def test_what_all_grafts_of_both_share_apart_may_be_the_reason(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 50, 60, now, lot=lot("24-A", now))
    counted("Ash Gill", 10, 60, now, lot=lot("24-B", now))
    assert difference("24-B", "24-A", stage="firm", factor="lot").confounded == [
        "Every graft on stock lot 24-B was Ash Gill and every graft on stock lot 24-A was Red Tarn, so it may be the cultivar."
    ]


def test_what_one_shares_alone_may_be_the_reason(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 50, 60, now, lot=lot("24-A", now))
    counted("Lanthorn", 50, 60, now, lot=lot("24-A", now))
    counted("Ash Gill", 10, 60, now, lot=lot("24-B", now))
    assert difference("24-B", "24-A", stage="firm", factor="lot").confounded == [
        "Every graft on stock lot 24-B was Ash Gill, so it may be the cultivar."
    ]


def test_a_comparison_that_hangs_on_few_says_on_how_many(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 50, 60, now, lot=lot("24-A", now))
    counted("Ash Gill", 3, 5, now, lot=lot("24-A", now))
    counted("Ash Gill", 10, 60, now, lot=lot("24-B", now))
    assert difference("24-B", "24-A", stage="firm", factor="lot").confounded == [
        "Every graft on stock lot 24-B was Ash Gill; of 24-A only 5 of 65, so the comparison hangs on few."
    ]


def test_several_on_each_side_and_none_on_both_are_said(nursery: Nursery, now: datetime) -> None:
    for name, where in (("Red Tarn", "24-A"), ("Lanthorn", "24-A"), ("Ash Gill", "24-B"), ("Fernwath", "24-B")):
        counted(name, 20, 30, now, lot=lot(where, now))
    assert difference("24-B", "24-A", stage="firm", factor="lot").confounded == [
        "No cultivar stands on both sides, so the cultivars may be a part of it."
    ]


def test_what_both_share_alike_is_no_reason(nursery: Nursery, now: datetime) -> None:
    for name, where in (("Red Tarn", "24-A"), ("Ash Gill", "24-B"), ("Ash Gill", "24-A"), ("Red Tarn", "24-B")):
        counted(name, 20, 30, now, lot=lot(where, now))
    counted("Lanthorn", 20, 30, now, lot=lot("23-A", now), season=2023)
    assert difference("24-B", "24-A", stage="firm", factor="lot").confounded == []


def test_grafts_of_which_it_is_not_written_down_are_said_to_be_left_out(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 50, 60, now, lot=lot("24-A", now))
    counted("Ash Gill", 10, 30, now, lot=lot("24-B", now))
    counted("Ash Gill", 10, 30, now)
    [said] = difference("Ash Gill", "Red Tarn", stage="firm").confounded
    assert said.startswith(
        "Every graft of Ash Gill whose stock lot is written down stood on stock lot 24-B and every graft of Red Tarn stood"
    )


def test_a_day_belongs_to_its_season_and_is_not_said_to_be_mixed_up_with_it(nursery: Nursery, now: datetime) -> None:
    for year, takes in ((2023, 10), (2024, 20)):
        for month in (7, 8):
            counted("Red Tarn", takes, 30, now, season=year, grafted_on=f"{year}-0{month}-10")
    found = difference("2024-08-10", "2023-08-10", stage="firm", factor="day")
    assert found.confounded == []
    assert "A difference between seasons themselves is not in it." in found.notes
    same = difference("2024-08-10", "10 July 2024", stage="firm", factor="day")
    assert "A difference between seasons themselves is not in it." not in same.notes
