"""A row is moved by hand: limits are looked at at once and said, and nothing is lost."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from tests.small_nursery import SEASON, TODAY, limits_broken

from scionary.answers.schedule import Schedule
from scionary.answers.schedule_asking import Ask, own_of, planned
from scionary.answers.schedule_kept import kept_schedule
from scionary.answers.schedule_moving import move, row_after
from scionary.errors import BadValue, Refused

pytestmark = pytest.mark.django_db


def again(schedule: Schedule, number: int, **how: Any) -> Schedule:
    later = schedule.made_at + timedelta(minutes=1)
    return move(schedule, number, today=TODAY, now=later, **how)


def test_fewer_grafts_break_nothing_and_cost_chance(schedule: Schedule) -> None:
    row = max((each for each in schedule.rows if each.name == "Red Tarn"), key=lambda each: each.grafts)
    moved = again(schedule, row.number, grafts=0)
    assert moved.broken == ()
    assert limits_broken(moved) == []
    assert moved.grafts == schedule.grafts - row.grafts
    assert next(w for w in moved.wishes if w.wish == row.wish).chance < next(w for w in schedule.wishes if w.wish == row.wish).chance
    assert moved.tried[0].value == schedule.value
    assert kept_schedule(SEASON) == moved


def test_nothing_moved_is_worth_the_same(schedule: Schedule) -> None:
    row = schedule.rows[0]
    moved = again(schedule, row.number, grafts=row.grafts)
    assert moved.value == pytest.approx(schedule.value, rel=0.02)
    assert moved.rows == schedule.rows


def test_too_many_grafts_are_kept_and_the_limits_that_they_break_are_said(schedule: Schedule) -> None:
    row = schedule.rows[0]
    moved = again(schedule, row.number, grafts=row.grafts + 60)
    assert any("hours at the bench" in words for words in moved.broken)
    assert any("Dome" in words for words in moved.broken)
    assert limits_broken(moved)


def test_a_row_goes_to_another_week(schedule: Schedule) -> None:
    row = schedule.rows[0]
    there = {each.week for each in schedule.rows}
    week = next(w.monday for w in schedule.weeks if w.windows and row.method in w.windows and w.monday not in there)
    moved = again(schedule, row.number, to_week=week + timedelta(days=2))
    assert any(each.week == week and each.grafts == row.grafts and each.wish == row.wish for each in moved.rows)


def test_a_week_outside_the_window_is_refused_with_the_window(schedule: Schedule) -> None:
    with pytest.raises(Refused, match="cannot be grafted by") as refused:
        again(schedule, schedule.rows[0].number, to_week=date(2026, 5, 4))
    assert "Its weeks are those of" in str(refused.value)


def test_a_row_changes_domes_with_what_stands_there(schedule: Schedule) -> None:
    row = next(each for each in schedule.rows if len(each.domes) == 1)
    other = "Dome 2" if row.domes == ("Dome 1",) else "Dome 1"
    moved = again(schedule, row.number, to_dome=other.casefold())
    assert next(each for each in moved.rows if each.number == row.number).domes == (other,)
    assert moved.broken == ()
    assert limits_broken(moved) == []
    kept = again(moved, row.number, grafts=row.grafts)
    assert next(each for each in kept.rows if each.number == row.number).domes == (other,)


def test_what_was_moved_is_the_persons_own_plan_when_planned_again(schedule: Schedule, now: datetime) -> None:
    moved = again(schedule, next(each for each in schedule.rows if each.name == "Red Tarn").number, grafts=0)
    beside = planned(Ask(SEASON, effort="quick", why=False, own=own_of(SEASON)), today=TODAY, now=now)
    assert beside.own is not None
    assert beside.own.value == pytest.approx(moved.value)
    assert beside.own.more < 0
    assert not beside.own.won


def test_a_row_dome_or_number_that_is_not_there_is_refused(schedule: Schedule) -> None:
    with pytest.raises(Refused, match="no row 99"):
        again(schedule, 99, grafts=1)
    with pytest.raises(Refused, match="no dome 'Dome 9'"):
        again(schedule, 1, to_dome="Dome 9")
    with pytest.raises(BadValue, match="0 to 10000"):
        again(schedule, 1, grafts=-1)


def test_a_full_dome_is_named_as_the_one_that_the_row_stands_in(schedule: Schedule) -> None:
    row = next(each for each in schedule.rows if len(each.domes) == 1)
    week = next(week for week in schedule.weeks if week.monday == row.week)
    stands = next(each for each in week.domes if each.dome == row.domes[0])
    grafts = row.grafts + stands.holds - stands.grafts + 30
    moved = again(schedule, row.number, grafts=grafts)
    assert moved.broken[0] == f"{row.domes[0]} holds {stands.holds}, and {stands.holds + 30} would stand there."
    after = row_after(moved, row)
    assert after is not None
    assert after.grafts == grafts
    assert row_after(again(schedule, row.number, grafts=0), row) is None
