"""The card that hangs on a dome."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pypdfium2
import pytest

from scionary.answers.dome_card import card_text, dome_card_pdf
from scionary.answers.domes import dome_answer
from scionary.book.commands import GraftSetup, cultivar_called, save_noun, start_book, write_event, write_grafts
from scionary.book.models import Dome, Method, Plant
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
    for part in ("Dome 1", "north window", "Red Tarn 1", "Red Tarn 3", "closed Wed 1 Jul 2026", "Wed 8 Jul 2026", "Caution"):
        assert part in words
    assert "Top up the water" in words


def test_pots_stand_on_the_card_as_on_the_tray(dome: Dome) -> None:
    grafted(dome, 3)
    answer = dome_answer(dome.pk, today=TODAY)
    card = card_text(answer, paper="A4", today=TODAY)
    assert [mark.y_mm for mark in card.pots] == [dome.width_mm - pot.y_mm for pot in answer.pots[:3]]
    assert [mark.x_mm for mark in card.pots] == [pot.x_mm for pot in answer.pots[:3]]


def test_a_plant_of_which_nothing_is_known_shows_no_chance_and_a_lost_one_a_cross(dome: Dome) -> None:
    plants = grafted(dome, 2)
    write_event("lost", plants[1].key, {}, happened_at=NOW, now=NOW)
    first, second = card_text(dome_answer(dome.pk, today=TODAY), paper="A4", today=TODAY).pots
    assert (first.dead, second.dead, second.chance) == (False, True, None)


def test_more_pots_than_the_tray_holds_are_still_all_on_the_card(dome: Dome) -> None:
    grafted(dome, 30)
    card = card_text(dome_answer(dome.pk, today=TODAY), paper="A4", today=TODAY)
    assert len(card.pots) == 30
    assert all(mark.x_mm is None for mark in card.pots)
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
