"""Schedules go to JSON and back, and the last of a season is the one that is shown."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid4

import pytest

from scionary.answers.schedule import Assumed, Beside, Schedule, ScheduleRow, ScheduleWeek, Standing, WishOutlook
from scionary.answers.schedule_kept import KEPT_A_SEASON, keep_schedule, kept_schedule, schedule_called
from scionary.answers.schedule_plain import from_plain, to_plain
from scionary.book.models import KeptSchedule
from scionary.errors import UnknownSubject

pytestmark = pytest.mark.django_db
NOW, MONDAY = datetime(2027, 7, 5, 8, tzinfo=UTC), date(2027, 7, 26)


def a_schedule(**other: object) -> Schedule:
    row = ScheduleRow(
        1, "w", "Red Tarn", "c", MONDAY, 12, "side veneer", "4-inch", ("Dome 1", "Dome 2"), "24-B", "by the gate", 6.0, 1.0, 7
    )
    standing = Standing("Dome 1", "planned", 12, 15, "4-inch", MONDAY, 0, ("Red Tarn",))
    week = ScheduleWeek(MONDAY, 30, 12, 1.0, None, (standing,))
    wish = WishOutlook("w", "c", "Red Tarn", 10, 12, 0, 8.4, 3, 12, 0.31, 0.9, 20.0, True)
    given = {
        "season": 2027, "ident": "", "made_at": NOW, "today": NOW.date(), "source": "solved", "effort": "quick", "asked": {"seed": 1},
        "rows": (row,), "weeks": (week,), "wishes": (wish,), "value": 100.0, "low": 40.0, "high": 150.0, "cost": 30.0, "bound": 101.0,
        "planned": 100.0, "gap": 0.01, "complete": True, "stopped": False,
        "own": Beside("yours", 90.0, -10.0, 11, (0.3,)), "assumed": (Assumed("so"),),
    }  # fmt: skip
    return Schedule(**{**given, **other})  # type: ignore[arg-type]


def test_a_schedule_comes_back_from_json_as_it_was() -> None:
    schedule = a_schedule()
    assert from_plain(Schedule, to_plain(schedule)) == schedule


def test_fields_of_a_newer_or_older_program_do_not_stop_it() -> None:
    data = {**to_plain(a_schedule()), "of_another_program": 1}
    del data["clash"]
    assert from_plain(Schedule, data).clash == ""


def test_a_number_without_end_is_written_as_none() -> None:
    assert to_plain(a_schedule(bound=float("inf")))["bound"] is None


def test_the_last_one_kept_is_shown() -> None:
    assert kept_schedule(2027) is None
    keep_schedule(a_schedule(), now=NOW)
    last = keep_schedule(a_schedule(value=120.0), now=NOW + timedelta(minutes=1))
    keep_schedule(a_schedule(season=2028), now=NOW + timedelta(minutes=2))
    shown = kept_schedule(2027)
    assert shown == last
    assert replace(last, ident="") == a_schedule(value=120.0, made_at=NOW + timedelta(minutes=1))
    assert schedule_called(UUID(last.ident)) == last


def test_the_oldest_ones_go() -> None:
    for minute in range(KEPT_A_SEASON + 3):
        keep_schedule(a_schedule(value=float(minute)), now=NOW + timedelta(minutes=minute))
    assert KeptSchedule.objects.count() == KEPT_A_SEASON
    shown = kept_schedule(2027)
    assert shown is not None
    assert shown.value == KEPT_A_SEASON + 2


def test_one_that_is_gone_is_said_to_be() -> None:
    with pytest.raises(UnknownSubject, match="not kept any more"):
        schedule_called(uuid4())


def test_it_says_in_words_what_it_is() -> None:
    schedule = a_schedule()
    assert schedule.sentence == "2027: 12 grafts in 1 week; on average 0.3 of 1 wish reached."
    assert schedule.gap_words == "No other plan is worth more than 1.0 % more, in the seasons that this one was made from."
    assert replace(schedule, gap=None).gap_words == "No other plan is worth more than 1 more, in the seasons that this one was made from."
    assert replace(schedule, bound=100.0).gap_words == "No other plan is worth more, in the seasons that this one was made from."
    assert replace(schedule, planned=None).gap_words == "How far it is from the best plan is not known."  # as older plans were kept
    assert replace(schedule, rows=()).gap_words == replace(schedule, first=True).gap_words == ""
    assert schedule.wishes[0].words.endswith("You asked for 90 %.")
