"""A change of a season is tried beside the pages: refused at once where it cannot be, stopped, and set beside the plan when it is found."""

from __future__ import annotations

from datetime import datetime

import pytest
from tests.small_nursery import SEASON, TODAY

from scionary.answers.jobs import ask_to_stop
from scionary.answers.schedule import Schedule
from scionary.answers.schedule_beside import ask_beside, beside_work, failed_try, tries_under_way
from scionary.answers.schedule_kept import kept_schedule
from scionary.answers.schedule_trying import try_beside
from scionary.answers.tasks import work_off
from scionary.answers.works import WORKS
from scionary.book.models import Job, KeptSchedule
from scionary.errors import Refused, Stopped

pytestmark = pytest.mark.django_db


def test_asking_waits_for_nothing_and_the_work_sets_the_plan_beside(schedule: Schedule, now: datetime) -> None:
    job = ask_beside(schedule, "one more dome", today=TODAY, now=now)
    assert kept_schedule(SEASON) == schedule
    assert tries_under_way(SEASON) == [job]
    assert work_off(job.pk, now=now, works=WORKS) == Job.Status.DONE
    found = kept_schedule(SEASON)
    assert found is not None
    assert found.tried == try_beside(schedule, "one more dome", today=TODAY).tried
    assert tries_under_way(SEASON) == []
    job.refresh_from_db()
    assert job.result is not None
    assert job.result["words"] == "1 more: dome like Dome 1: set beside the plan."


def test_what_cannot_be_tried_is_refused_before_any_work_begins(schedule: Schedule, now: datetime) -> None:
    for change in ("a miracle", {"what": "hours", "number": 1e9}):
        with pytest.raises(Refused):
            ask_beside(schedule, change, today=TODAY, now=now)
    assert not Job.objects.exists()


def test_the_same_change_is_tried_once_at_a_time_and_others_beside_it(schedule: Schedule, now: datetime) -> None:
    first = ask_beside(schedule, "one more dome", today=TODAY, now=now)
    assert ask_beside(schedule, "1 more dome", today=TODAY, now=now) == first
    assert ask_beside(schedule, "2 more domes", today=TODAY, now=now) != first


def test_two_changes_stand_beside_in_the_order_in_which_they_came(schedule: Schedule, now: datetime) -> None:
    for change in ("one more dome", "10 more sticks of Ash Gill"):
        work_off(ask_beside(schedule, change, today=TODAY, now=now).pk, now=now, works=WORKS)
    found = kept_schedule(SEASON)
    assert found is not None
    assert [(each.number, each.words) for each in found.tried] == [
        (1, "1 more: dome like Dome 1"), (2, "10 more: sticks of Ash Gill by the gate"),
    ]  # fmt: skip


def test_stopped_nothing_is_set_beside(schedule: Schedule, now: datetime) -> None:
    job = ask_beside(schedule, "one more dome", today=TODAY, now=now)
    with pytest.raises(Stopped, match="nothing was set beside"):
        beside_work(job.arguments, lambda fraction, word: fraction < 0.5, now)
    ask_to_stop(job.pk, now=now)
    work_off(job.pk, now=now, works=WORKS)
    assert kept_schedule(SEASON) == schedule


def test_a_plan_that_is_gone_meanwhile_is_said(schedule: Schedule, now: datetime) -> None:
    job = ask_beside(schedule, "one more dome", today=TODAY, now=now)
    KeptSchedule.objects.all().delete()
    work_off(job.pk, now=now, works=WORKS)
    assert "not kept any more" in failed_try(schedule)
