"""The card that hangs on a dome."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pypdfium2
import pytest

from scionary.answers.dome_card import card_text, dome_card_pdf
from scionary.answers.domes import dome_answer
from scionary.book import queries
from scionary.book.commands import GraftSetup, cultivar_called, save_noun, start_book, write_event, write_grafts
from scionary.book.models import Dome, Method, Nursery, Plant
from scionary.errors import Refused, UnknownSubject

NOW = datetime(2026, 7, 1, 9, 0, tzinfo=UTC)
TODAY = date(2026, 7, 1)


@pytest.fixture
def dome(db: None) -> Dome:
    start_book(now=NOW, name="Tarn Bridge", time_zone="UTC")
    return save_noun(Dome, {"name": "Dome 1", "stands": "north window"}, now=NOW)


def grafted(dome: Dome, count: int) -> list[Plant]:
    method = Method.objects.filter(leafy=True)[0]
    setup = GraftSetup(cultivar_called("Red Tarn", now=NOW).pk, NOW, method=method.pk, dome=dome.pk)
    return write_grafts(setup, count, now=NOW).plants


def words_of(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    assert len(document) == 1
    return " ".join(document[0].get_textpage().get_text_range().split())


def test_three_grafts_give_a_card_with_names_dates_and_reasons(dome: Dome) -> None:
    grafted(dome, 3)
    words = words_of(dome_card_pdf(dome.pk, today=TODAY))
    for part in ("Dome 1", "north window", "Red Tarn 1", "Red Tarn 3", "closed Wed 1 Jul 2026", "Caution", "open Dome 1 → Walk the round"):
        assert part in words
    assert "Wed 8 Jul Look in: water, mould, fallen leaf stalks; top up the water under the grid to 6–13 mm" in words
    assert words.count("2026") == 2  # closed, printed
    assert all(word in words for word in ("firm", "not sure", "lost"))


def test_the_card_of_a_full_dome_keeps_its_vents_and_the_day_the_cover_comes_off(dome: Dome) -> None:
    for count in (15, 30):
        grafted(dome, 15)
        words = words_of(dome_card_pdf(dome.pk, today=TODAY))
        assert f"Red Tarn {count}" in words
        for part in ("Sat 1 Aug", "Open the vents two thirds", "Open the vents fully", "Sat 15 Aug Take the cover off"):
            assert part in words


def test_open_steps_that_are_overdue_stand_first_and_say_so(dome: Dome) -> None:
    grafted(dome, 2)
    dates = card_text(dome_answer(dome.pk, today=date(2026, 7, 10)), paper="A4", today=date(2026, 7, 10)).dates
    assert (dates[0].date, dates[0].late) == ("Wed 8 Jul", True)
    assert (dates[1].date, dates[1].late) == ("Wed 15 Jul", False)
    write_event("watered", dome.key, {}, happened_at=datetime(2026, 7, 9, 9, tzinfo=UTC), now=NOW)
    dates = card_text(dome_answer(dome.pk, today=date(2026, 7, 10)), paper="A4", today=date(2026, 7, 10)).dates
    assert dates[0].what == "Look in: water, mould, fallen leaf stalks"


def test_lengths_on_the_card_are_in_the_persons_unit(dome: Dome) -> None:
    grafted(dome, 1)
    save_noun(Nursery, {"length_unit": "in"}, now=NOW, pk=queries.nursery().pk)
    said = [line.what for line in card_text(dome_answer(dome.pk, today=TODAY), paper="A4", today=TODAY).dates]
    assert any("to 1/4–1/2 in" in what for what in said)
    assert not any("mm" in what.split() for what in said)


def test_pots_stand_on_the_card_as_on_the_tray(dome: Dome) -> None:
    grafted(dome, 3)
    answer = dome_answer(dome.pk, today=TODAY)
    card = card_text(answer, paper="A4", today=TODAY)
    assert [mark.y_mm for mark in card.pots] == [dome.width_mm - pot.y_mm for pot in answer.pots]
    assert [(mark.x_mm, mark.place, mark.free) for mark in card.pots] == [(pot.x_mm, pot.place, pot.plant is None) for pot in answer.pots]


def test_a_plant_of_which_nothing_is_known_shows_no_chance_and_a_lost_one_a_cross(dome: Dome) -> None:
    plants = grafted(dome, 2)
    write_event("lost", plants[1].key, {}, happened_at=NOW, now=NOW)
    first, second = card_text(dome_answer(dome.pk, today=TODAY), paper="A4", today=TODAY).pots[:2]
    assert (first.dead, second.dead, second.chance) == (False, True, None)


def test_more_pots_than_the_tray_holds_are_still_all_on_the_card(dome: Dome) -> None:
    grafted(dome, 30)
    card = card_text(dome_answer(dome.pk, today=TODAY), paper="A4", today=TODAY)
    assert [mark.said for mark in card.pots] == [f"Red Tarn {at}" for at in range(1, 11)]
    assert [mark.place for mark in card.beyond] == list(range(11, 31))
    assert "Red Tarn 30" in words_of(dome_card_pdf(dome.pk, today=TODAY))


def test_an_empty_dome_and_one_too_full_to_draw_are_refused(dome: Dome) -> None:
    with pytest.raises(Refused, match="Dome 1: nothing stands in it yet"):
        dome_card_pdf(dome.pk, today=TODAY)
    grafted(dome, 61)
    with pytest.raises(Refused, match="this card cannot be drawn: pots is 61"):
        dome_card_pdf(dome.pk, today=TODAY)


def test_a_dome_of_nobody_is_refused(db: None) -> None:
    start_book(now=NOW)
    with pytest.raises(UnknownSubject, match="no such dome"):
        dome_card_pdf(Dome().pk, today=TODAY)
