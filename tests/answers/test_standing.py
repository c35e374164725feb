"""Plants that already stand in a dome, from one line of text."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from scionary.answers.standing import (
    Grafted,
    StandingLine,
    plants_already_standing,
    preview_standing,
    read_standing,
    read_when,
)
from scionary.book.commands import cultivar_called, save_noun, start_book
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Graft, Plant
from scionary.errors import Refused, UnknownSubject

NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)
TODAY = date(2026, 7, 10)


@pytest.mark.parametrize(
    "text",
    [
        "3 Red Tarn, 2 Ash Gill",
        "Red Tarn 3, Ash Gill 2",
        "3 x Red Tarn; 2 x Ash Gill",
        "3× Red Tarn and 2× Ash Gill",
        "Red Tarn x 3\nAsh Gill x 2",
        "Red Tarn: 3, Ash Gill: 2,",
        "  3   Red  Tarn ,, 2 Ash Gill\n",
    ],
)
def test_numbers_may_stand_before_or_behind(text: str) -> None:
    assert read_standing(text) == [StandingLine("Red Tarn", 3), StandingLine("Ash Gill", 2)]


def test_a_name_alone_is_one_plant() -> None:
    assert read_standing("Lanthorn") == [StandingLine("Lanthorn", 1)]


def test_a_name_that_begins_like_the_sign_for_times_keeps_its_letter() -> None:
    assert read_standing("2 Xanthe") == [StandingLine("Xanthe", 2)]


def test_a_name_with_a_number_is_told_apart_by_a_colon() -> None:
    with pytest.raises(Refused, match="two numbers: which is how many"):
        read_standing("3 Fell Lace 7")
    assert read_standing("Fell Lace 7: 3") == [StandingLine("Fell Lace 7", 3)]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "nothing is named"),
        (" , ;", "nothing is named"),
        ("12", "no name is given"),
        ("0 Red Tarn", "0 plants"),
        ("-2 Red Tarn", "no whole number above zero"),
        ("2.5 Red Tarn", "no whole number above zero"),
        ("501 Red Tarn", "501 plants"),
        ("300 Red Tarn, 300 Ash Gill", "600 plants at once"),
        ("2 " + "Red " * 30, "the name has 119 characters"),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(text: str, message: str) -> None:
    with pytest.raises(Refused, match=message) as caught:
        read_standing(text)
    assert caught.value.where.startswith("plants")
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("text", "day", "precision"),
    [
        ("2026-06-14", date(2026, 6, 14), "day"),
        ("about 2026-06-14", date(2026, 6, 14), "month"),
        ("2026-06", date(2026, 6, 15), "month"),
        ("2025", date(2025, 7, 1), "year"),
        ("5 weeks ago", date(2026, 6, 5), "month"),
        ("10 days ago", date(2026, 6, 30), "day"),
        ("about 2 months ago", date(2026, 5, 11), "month"),
        ("five weeks ago", date(2026, 6, 5), "month"),
        ("Twelve days ago", date(2026, 6, 28), "day"),
        ("a month ago", date(2026, 6, 10), "month"),
    ],
)
def test_a_day_is_read_as_exactly_as_it_is_known(text: str, day: date, precision: str) -> None:
    assert read_when(text, today=TODAY) == Grafted(day, precision)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("5 weeks ago", "about 5 June 2026"),
        ("10 days ago", "30 June 2026"),
        ("about 2026-06-14", "about 14 June 2026"),
        ("2026-06", "June 2026"),
        ("2025", "2025"),
    ],
)
def test_a_day_is_said_again_as_exactly_as_it_was_meant(text: str, words: str) -> None:
    assert read_when(text, today=TODAY).words == words


@pytest.mark.parametrize("text", ["2026-02-30", "spring", "", "2026-13", "14/06/2026"])
def test_no_day_is_refused(text: str) -> None:
    with pytest.raises(Refused, match="is no day that exists"):
        read_when(text, today=TODAY)


@pytest.fixture
def dome(db: None) -> Dome:
    start_book(now=NOW, name="Tarn Bridge", time_zone="Europe/Zurich")
    return save_noun(Dome, {"name": "Dome 1"}, now=NOW)


def test_each_plant_gets_a_code_a_place_and_its_date(dome: Dome) -> None:
    lines = read_standing("2 Red Tarn, Ash Gill")
    written = plants_already_standing(dome.pk, lines, grafted=Grafted(date(2026, 6, 14)), now=NOW)
    assert [plant.spoken for plant in written.plants] == ["Red Tarn 1", "Red Tarn 2", "Ash Gill 1"]
    assert [plant.place for plant in written.plants] == [1, 2, 3]
    assert len({plant.code for plant in written.plants}) == 3
    assert written.new_cultivars == ("Red Tarn", "Ash Gill")
    assert written.flags == ()
    assert {(g.grafted_at.date(), g.precision) for g in Graft.objects.all()} == {(date(2026, 6, 14), "day")}
    assert written.to_dict()["plants"][0]["id"] == str(written.plants[0].id)


def test_about_a_month_that_still_runs_is_not_put_into_the_future(dome: Dome) -> None:
    written = plants_already_standing(dome.pk, [StandingLine("Red Tarn", 1)], grafted=Grafted(date(2026, 7, 15), "month"), now=NOW)
    graft = Graft.objects.get()
    assert (graft.grafted_at, graft.precision) == (NOW, "month")
    assert written.flags == ()


def test_a_day_in_the_future_is_written_and_flagged(dome: Dome) -> None:
    written = plants_already_standing(dome.pk, [StandingLine("Red Tarn", 1)], grafted=Grafted(date(2027, 7, 15)), now=NOW)
    assert written.flags == ("the date 2027-07-15 lies in the future",)


def test_the_preview_says_what_is_new_and_what_was_perhaps_meant(dome: Dome) -> None:
    cultivar_called("Red Tarn", now=NOW)
    known, misspelt = preview_standing(read_standing("2 red tarn, Red Tran"))
    assert (known.cultivar, known.known, known.perhaps) == ("Red Tarn", True, ())
    assert (misspelt.known, misspelt.perhaps) == (False, ("Red Tarn",))
    assert misspelt.words.endswith("Did you mean Red Tarn?")
    assert Cultivar.objects.count() == 1


def test_a_dome_of_nobody_is_refused_and_nothing_is_written(dome: Dome) -> None:
    with pytest.raises(UnknownSubject, match="no such dome"):
        plants_already_standing(uuid7(), [StandingLine("Red Tarn", 1)], grafted=Grafted(TODAY), now=NOW)
    assert (Plant.objects.count(), Cultivar.objects.count()) == (0, 0)
