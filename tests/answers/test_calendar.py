"""What a calendar shows of the dates to come, read back by an independent reader."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from icalendar import Calendar
from icalendar.cal import Component

from scionary.answers.calendar import due_calendar
from scionary.answers.due import due
from scionary.answers.put_off import NOT_NEEDED, PUT_OFF, answer_line
from scionary.book.commands import Written, save_noun
from scionary.book.models import BenchDay, Cultivar, Dome, Method, MotherTree, Nursery, Plant, ScionBag

pytestmark = pytest.mark.django_db
GRAFTED = date(2026, 2, 14)


def on(days: int) -> date:
    return GRAFTED + timedelta(days=days)


def events(days: int, address: str = "") -> list[Component]:
    return list(Calendar.from_ical(due_calendar(today=on(days), address=address)).walk("VEVENT"))


def told(days: int) -> list[tuple[int, str]]:
    """(days after grafting, words) of each appointment."""
    return [((event.decoded("DTSTART").date() - GRAFTED).days, str(event["SUMMARY"])) for event in events(days)]


@pytest.fixture
def closed(graft: Callable[..., Written], dome: Dome, method: Method) -> list[Plant]:
    return graft(3, dome=dome.pk, method=method.pk).plants


def test_an_empty_book_has_an_empty_calendar(nursery: Nursery) -> None:
    assert events(0) == []


def test_all_dates_of_a_dome_stand_in_it(closed: list[Plant]) -> None:
    found = told(0)
    assert (7, "Dome 1: look in: water, mould, fallen leaf stalks") in found
    assert (31, "Dome 1: check which are firm") in found
    assert [day for day, what in found if "vents" in what] == [31, 36, 41]
    assert (45, "Dome 1: take the cover off") in found


def test_each_keeps_its_name_when_its_date_moves(closed: list[Plant], write: Callable[..., Any], dome: Dome) -> None:
    before = {str(event["SUMMARY"]): str(event["UID"]) for event in events(20) if "vents" in str(event["SUMMARY"])}
    write("vented", dome, days=35, open_pct=33)
    moved = {str(event["SUMMARY"]): event for event in events(35) if "vents" in str(event["SUMMARY"])}
    words = "Dome 1: open the vents two thirds"
    assert moved[words].decoded("DTSTART").date() == on(40)
    assert str(moved[words]["UID"]) == before[words]
    assert len({str(event["UID"]) for event in events(35)}) == len(events(35))


def test_each_keeps_its_name_when_its_words_change(closed: list[Plant], method: Method) -> None:
    before = {event.decoded("DTSTART").date(): str(event["UID"]) for event in events(0) if "Dome 1: open" in str(event["SUMMARY"])}
    method.after_care = [{**step, "say": f"Bitte: {step['say']}"} for step in method.after_care]
    method.save()
    after = {event.decoded("DTSTART").date(): str(event["UID"]) for event in events(0) if "Dome 1: bitte: Open" in str(event["SUMMARY"])}
    assert len(before) == 3
    assert after == before


@pytest.mark.parametrize("second", [90, 150])
def test_a_step_that_a_method_asks_for_twice_is_two_appointments(closed: list[Plant], method: Method, second: int) -> None:
    once = {str(event["UID"]) for event in events(0) if str(event["SUMMARY"]).startswith("Untie")}
    [untie] = [step for step in method.after_care if step["step"] == "untie"]
    method.after_care = [*method.after_care, {**untie, "day": second}]
    method.save()
    found = [event for event in events(0) if str(event["SUMMARY"]).startswith("Untie")]
    assert [(event.decoded("DTSTART").date() - GRAFTED).days for event in found] == [90, second]
    assert len({str(event["UID"]) for event in found} - once) == 1
    assert len({str(event["UID"]) for event in events(0)}) == len(events(0))


def test_the_same_record_says_the_same_on_each_day(closed: list[Plant], graft: Callable[..., Written]) -> None:
    for days in (0, 20, 40, 80):  # the last two fade more than a month after the first
        graft(days=days, label_medium="ordinary marker", label_light="sun")
    said: dict[str, set[str]] = {}
    for day in range(80, 140, 7):
        for event in events(day):
            said.setdefault(str(event["UID"]), set()).add(f"{event['SUMMARY']} {event['DESCRIPTION']}")
    assert any("Write labels in ordinary marker again: 2 plants" in words for each in said.values() for words in each)
    assert [each for each in said.values() if len(each) > 1] == []


def test_scions_are_cut_in_the_morning_of_a_bench_day_until_a_bag_is_chosen(tree: MotherTree, cultivar: Cultivar, now: datetime) -> None:
    bench = save_noun(BenchDay, {"day": on(10), "cultivar": cultivar, "tree": tree}, now=now)
    assert told(0) == told(5) == [(10, "Cut scions for the bench: the old tree by the gate")]
    [event] = events(0, "https://book.example")
    assert str(event["URL"]) == "https://book.example/bench/yard/"
    save_noun(BenchDay, {"day": on(12)}, now=now, pk=bench.pk)
    [moved] = events(0)
    assert (moved["UID"], moved.decoded("DTSTART").date()) == (event["UID"], on(12))
    bag = save_noun(ScionBag, {"name": "bag 1", "cultivar": cultivar, "tree": tree}, now=now)
    save_noun(BenchDay, {"bag": bag}, now=now, pk=bench.pk)
    assert events(0) == []


def test_wood_that_is_not_needed_for_a_bench_day_is_not_asked_for(tree: MotherTree, cultivar: Cultivar, now: datetime) -> None:
    save_noun(BenchDay, {"day": on(1), "cultivar": cultivar}, now=now)
    assert [what for _, what in told(0)] == ["Cut scions for the bench: the old tree by the gate"]
    answer_line("cut", [tree.key], NOT_NEEDED, today=on(0), now=now)
    assert told(0) == []


def test_what_is_done_goes(closed: list[Plant], write: Callable[..., Any], dome: Dome) -> None:
    assert 7 in [day for day, what in told(8) if "top up" in what]
    write("watered", dome, days=8)
    assert 7 not in [day for day, what in told(8) if "top up" in what]


def test_what_is_put_off_or_not_needed_goes(closed: list[Plant], dome: Dome, now: datetime) -> None:
    line = next(each for each in due(today=on(7)).lines if each.step == "water")
    answer_line("water", line.about, NOT_NEEDED, today=on(7), now=now + timedelta(days=7))
    assert [day for day, what in told(8) if "top up" in what] == [14, 21, 28]
    answer_line("check", [dome.key], PUT_OFF, today=on(7), now=now + timedelta(days=7), until=on(12))
    assert 7 not in [day for day, what in told(8) if "look in" in what]


def test_steps_of_plants_are_one_appointment_a_day_of_grafting(
    closed: list[Plant], graft: Callable[..., Written], dome: Dome, method: Method, write: Callable[..., Any]
) -> None:
    graft(2, days=3, dome=dome.pk, method=method.pk)
    found = [(day, what) for day, what in told(60) if what.startswith("Untie")]
    assert [what for _, what in found] == ["Untie: 3 plants (Red Tarn), if they took", "Untie: 2 plants (Red Tarn), if they took"]
    assert found[1][0] - found[0][0] == 3
    for plant in closed[:2]:
        write("scored", plant, sign="growing", answer="yes", days=70)
    assert "Untie: 3 plants (Red Tarn), 1 of them if they took" in [what for _, what in told(70)]
    write("scored", closed[2], sign="growing", answer="yes", days=70)
    write("untied", closed[0], days=100)
    assert "Untie: 2 plants (Red Tarn)" in [what for _, what in told(100)]


def test_what_is_late_by_more_than_a_month_stands_on_the_monday_of_each_week(closed: list[Plant], write: Callable[..., Any]) -> None:
    for plant in closed:
        write("scored", plant, sign="growing", answer="yes", days=70)
    days = [days for days in range(122, 140) if on(days).weekday() < 5][:8]
    late = {days: [event for event in events(days) if "for more than a month" in str(event["SUMMARY"])] for days in days}
    mondays = {days: on(days) - timedelta(days=on(days).weekday()) for days in days}
    for each in days:
        asked = [line for line in due(today=on(each)).lines if line.when < mondays[each] - timedelta(days=30)]
        assert [str(event["SUMMARY"]) for event in late[each]] == [f"Still due, for more than a month: {len(asked)} things"] * bool(asked)
        for event in late[each]:
            assert event.decoded("DTSTART").date() == mondays[each]
            assert all(line.what in str(event["DESCRIPTION"]) for line in asked)
    assert len({str(event["UID"]) for found in late.values() for event in found}) == len({mondays[each] for each in days if late[each]}) > 0


def test_why_and_what_it_rests_on_stand_in_it_with_the_page(closed: list[Plant], dome: Dome) -> None:
    event = next(each for each in events(0, "https://book.example") if "check which" in str(each["SUMMARY"]))
    assert "Rests on: day 31" in str(event["DESCRIPTION"])
    assert "common practice, no source" in str(event["DESCRIPTION"])
    assert str(event["URL"]) == f"https://book.example/domes/{dome.pk}/"


def test_it_changes_only_with_the_record_and_the_day(closed: list[Plant], write: Callable[..., Any]) -> None:
    assert due_calendar(today=on(5)) == due_calendar(today=on(5))
    before = due_calendar(today=on(5))
    write("scored", closed[0], sign="firm", answer="yes", days=5)
    assert due_calendar(today=on(5)) != before


def test_labels_that_will_fade_are_told_ahead(graft: Callable[..., Written]) -> None:
    graft(2, label_medium="ordinary marker", label_light="sun")
    (found,) = [what for _, what in told(10) if what.startswith("Write labels")]
    assert found == "Write labels in ordinary marker again: 2 plants"


def test_of_grafts_of_which_nobody_knows_that_they_took_nothing_overdue_is_asked(closed: list[Plant], write: Callable[..., Any]) -> None:
    ahead = [(day, what) for day, what in told(60) if what.startswith("Untie")]
    assert ahead
    day = ahead[0][0]
    assert not [what for _, what in told(day + 5) if what.startswith("Untie")]
    write("scored", closed[0], sign="growing", answer="yes", days=day)
    assert [what for _, what in told(day + 5) if what.startswith("Untie")] == ["Untie: 1 plant (Red Tarn)"]
