"""A dome as it stands: places, rings, dates, flags."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from scionary.answers.domes import dome_answer, dome_answers
from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Method, PotKind
from scionary.book.record import Answer
from scionary.errors import UnknownSubject

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 5)


def test_a_dome_says_its_day_and_what_it_holds(graft: Callable[..., Written], dome: Dome, method: Method) -> None:
    graft(3, dome=dome.pk, method=method.pk)
    found = dome_answer(dome.pk, today=TODAY)
    assert found.title == "Dome 1 · day 19 of about 31"
    assert found.holds == 10
    assert [pot.plant.spoken if pot.plant else None for pot in found.pots[:4]] == ["Red Tarn 1", "Red Tarn 2", "Red Tarn 3", None]


def test_pots_stand_inside_the_tray(graft: Callable[..., Written], dome: Dome) -> None:
    graft(10, dome=dome.pk)
    found = dome_answer(dome.pk, today=TODAY)
    half = found.pot_size_mm / 2
    assert all(half <= pot.x_mm <= dome.length_mm - half and half <= pot.y_mm <= dome.width_mm - half for pot in found.pots)


def test_a_dome_fuller_than_it_holds_is_flagged_and_nobody_is_left_out(graft: Callable[..., Written], dome: Dome) -> None:
    graft(12, dome=dome.pk)
    found = dome_answer(dome.pk, today=TODAY)
    assert sum(pot.plant is not None for pot in found.pots) == 12
    assert "12 pots are recorded here and the usual tray, taken until you measure this dome, holds 10" in found.flags[0]
    Dome.objects.filter(pk=dome.pk).update(length_mm=dome.length_mm - 1)  # somebody measured it
    assert "12 pots are recorded here and the tray holds 10 of this size: move some" in dome_answer(dome.pk, today=TODAY).flags[0]


def test_two_ages_in_one_dome_are_flagged(graft: Callable[..., Written], dome: Dome) -> None:
    graft(2, dome=dome.pk)
    graft(2, dome=dome.pk, days=15)
    assert any("15 days apart in age" in flag for flag in dome_answer(dome.pk, today=TODAY).flags)


def test_two_plants_recorded_at_one_place_are_both_shown(graft: Callable[..., Written], dome: Dome) -> None:
    graft(1, dome=dome.pk, places=(4,))
    graft(1, dome=dome.pk, places=(4,))
    shown = [pot.plant.spoken for pot in dome_answer(dome.pk, today=TODAY).pots if pot.plant]
    assert sorted(shown) == ["Red Tarn 1", "Red Tarn 2"]


def test_a_plant_is_drawn_at_its_own_place_or_listed_beside_the_tray(graft: Callable[..., Written], dome: Dome) -> None:
    graft(4, dome=dome.pk, places=(7, 14, 7, 2))
    shown = [(pot.plant.spoken, pot.place, pot.x_mm >= 0) for pot in dome_answer(dome.pk, today=TODAY).pots if pot.plant]
    assert shown == [("Red Tarn 4", 2, True), ("Red Tarn 1", 7, True), ("Red Tarn 3", 7, False), ("Red Tarn 2", 14, False)]


def test_dates_without_a_method_say_whose_they_are(graft: Callable[..., Written], dome: Dome) -> None:
    graft(1, dome=dome.pk)
    assert any("No method was written down" in flag for flag in dome_answer(dome.pk, today=TODAY).flags)


def test_round_pots_of_one_gallon_are_three_to_a_tray(graft: Callable[..., Written], dome: Dome, now: Any) -> None:
    save_noun(Dome, {"pot_kind": PotKind.objects.get(name="One-gallon round")}, pk=dome.pk, now=now)
    found = dome_answer(dome.pk, today=TODAY)
    assert (found.holds, found.round_pots) == (3, True)


def test_only_domes_in_use_are_listed_unless_all_are_asked_for(
    graft: Callable[..., Written], write: Callable[..., Answer], dome: Dome
) -> None:
    plant = graft(1, dome=dome.pk).plants[0]
    assert [answer.dome for answer in dome_answers(today=TODAY)] == [dome]
    write("lost", plant, days=5)
    assert dome_answers(today=TODAY) == []
    assert len(dome_answers(today=TODAY, all_domes=True)) == 1


def test_a_dome_of_nobody_is_refused(nursery: Any) -> None:
    with pytest.raises(UnknownSubject, match="no such dome"):
        dome_answer(uuid7(), today=TODAY)


def test_a_day_before_the_grafting_is_said_as_such(graft: Callable[..., Written], dome: Dome, method: Method) -> None:
    graft(1, dome=dome.pk, method=method.pk)
    assert dome_answer(dome.pk, today=date(2026, 2, 4)).title == "Dome 1 · grafted 10 days later"


def test_a_dome_past_its_closed_days_is_opening(graft: Callable[..., Written], dome: Dome, method: Method) -> None:
    graft(1, dome=dome.pk, method=method.pk)
    assert dome_answer(dome.pk, today=date(2026, 3, 17)).title == "Dome 1 · day 31 of about 31"
    assert dome_answer(dome.pk, today=date(2026, 3, 21)).title == "Dome 1 · day 35, opening by degrees"
