"""The plan that was taken to the bench says on Due and in the calendar what to graft in which week, until it is made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from scionary.answers.calendar import appointments
from scionary.answers.due import due
from scionary.answers.due_lines import DueLine
from scionary.answers.put_off import NOT_NEEDED, answer_line
from scionary.answers.schedule_asking import take_schedule
from scionary.book.commands import Written
from scionary.book.models import Cultivar, Nursery
from web.made_schedule import a_schedule

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 7, 6)


def lines(today: date) -> list[DueLine]:
    return [line for line in due(today=today).lines if line.step == "graft"]


def ahead(today: date) -> list[str]:
    return [line.what for line in due(today=today).ahead if line.step == "graft"]


@pytest.fixture
def planned(nursery: Nursery, cultivar: Cultivar, now: datetime) -> None:
    """Five Red Tarn in Dome 2 in one week and three in the next, taken to the bench a month before."""
    row = replace(
        a_schedule().rows[0],
        name="Red Tarn",
        cultivar=str(cultivar.pk),
        week=MONDAY,
        grafts=5,
        hours=1.25,
        domes=("Dome 2",),
        tree="old tree",
    )
    later = replace(row, number=2, week=MONDAY + timedelta(days=7), grafts=3, hours=0.75)
    take_schedule(a_schedule(season=2026, rows=(row, later)), now=now)


def test_the_week_s_grafts_are_due_from_its_monday_and_said_a_week_before(planned: None) -> None:
    assert lines(MONDAY - timedelta(days=1)) == []
    assert ahead(MONDAY - timedelta(days=1)) == ["Graft 5 Red Tarn in Dome 2 in the week of 6 Jul 2026, by the plan"]
    (line,) = lines(MONDAY)
    assert line.what == "Graft 5 Red Tarn in Dome 2 this week, by the plan"
    assert line.why == "About 1.2 hours at the bench. Wood of old tree."
    assert line.rests_on.startswith("the plan of 2026 that was taken to the bench on ")
    assert line.late_days == 0


def test_what_is_made_counts_down_the_first_weeks_first_and_then_the_line_goes(
    planned: None, graft: Callable[..., Written], now: datetime
) -> None:
    graft(2, happened_at=now + timedelta(days=1))
    assert [line.what for line in lines(MONDAY)] == ["Graft 3 Red Tarn in Dome 2 this week, by the plan"]
    graft(4, happened_at=now + timedelta(days=2))
    assert lines(MONDAY) == []
    assert [line.what for line in lines(MONDAY + timedelta(days=8))] == ["Graft 2 Red Tarn in Dome 2 this week, by the plan"]
    graft(2, happened_at=now + timedelta(days=3))
    assert lines(MONDAY + timedelta(days=8)) == []


def test_grafts_made_before_the_plan_was_taken_do_not_count(
    graft: Callable[..., Written], nursery: Nursery, request: pytest.FixtureRequest, now: datetime
) -> None:
    graft(5, happened_at=now - timedelta(days=1))
    request.getfixturevalue("planned")
    assert lines(MONDAY)[0].what.startswith("Graft 5 Red Tarn")


def test_a_week_that_is_over_is_late_and_after_six_weeks_nobody_asks(planned: None) -> None:
    first, _ = sorted(lines(MONDAY + timedelta(days=9)), key=lambda line: line.when)
    assert first.what == "Graft 5 Red Tarn in Dome 2, by the plan of the week of 6 Jul 2026"
    assert first.late_days == 3
    assert "plan the rest from today" in first.why
    assert lines(MONDAY + timedelta(days=70)) == []


def test_not_needed_is_for_the_week_that_is_due(planned: None, now: datetime) -> None:
    (line,) = lines(MONDAY)
    told = datetime(2026, 7, 7, 12, tzinfo=now.tzinfo)
    answer_line(line.step, line.about, NOT_NEEDED, today=told.date(), now=told)
    assert lines(MONDAY + timedelta(days=2)) == []
    assert len(lines(MONDAY + timedelta(days=8))) == 1


def test_the_calendar_shows_each_week_on_its_monday_until_it_is_made(
    planned: None, nursery: Nursery, graft: Callable[..., Written], now: datetime
) -> None:
    def told() -> list[tuple[date, str]]:
        return [(each.day, each.what) for each in appointments(nursery, MONDAY - timedelta(days=20)) if "by the plan" in each.what]

    assert told() == [
        (MONDAY, "Graft 5 Red Tarn in Dome 2 this week, by the plan"),
        (MONDAY + timedelta(days=7), "Graft 3 Red Tarn in Dome 2 this week, by the plan"),
    ]
    graft(5, happened_at=now + timedelta(days=1))
    assert [day for day, _ in told()] == [MONDAY + timedelta(days=7)]
