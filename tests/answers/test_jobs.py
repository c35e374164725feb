"""Starting, stopping and taking up long work again."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django_tasks_db.models import DBTaskResult

from scionary.answers import jobs
from scionary.book.ids import uuid7
from scionary.book.models import Job
from scionary.errors import BadValue, UnknownSubject

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)
WORKS = {"w": lambda arguments, progress, now: dict}
OnCommit = Callable[..., Any]


def started(on_commit: OnCommit) -> Job:
    with on_commit(execute=True):
        return jobs.start("w", {"name": "Red Tarn"}, now=NOW, works=WORKS)


def tasks() -> list[str]:
    return [task.args_kwargs["args"][0] for task in DBTaskResult.objects.all()]


def test_a_job_is_handed_over_once_the_transaction_is_through(django_capture_on_commit_callbacks: OnCommit) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        job = jobs.start("w", {}, now=NOW, works=WORKS)
        assert tasks() == []
    assert tasks() == [str(job.pk)]
    assert jobs.job(job.pk).status == "waiting"


def test_unknown_work_is_refused() -> None:
    with pytest.raises(BadValue, match="work is 'dig'; allowed: one of w"):
        jobs.start("dig", {}, now=NOW, works=WORKS)


def test_a_job_of_nobody_is_refused() -> None:
    with pytest.raises(UnknownSubject, match="no such job"):
        jobs.ask_to_stop(uuid7(), now=NOW)


def test_a_waiting_job_is_stopped_at_once(django_capture_on_commit_callbacks: OnCommit) -> None:
    job = jobs.ask_to_stop(started(django_capture_on_commit_callbacks).pk, now=NOW)
    assert (job.status, job.stop_asked, job.ended_at) == ("stopped", True, NOW)


def test_a_running_job_is_only_asked() -> None:
    running = Job.objects.create(work="w", status="running", asked_at=NOW)
    job = jobs.ask_to_stop(running.pk, now=NOW)
    assert (job.status, job.stop_asked) == ("running", True)


def test_what_a_dead_worker_left_is_begun_again(django_capture_on_commit_callbacks: OnCommit) -> None:
    job = started(django_capture_on_commit_callbacks)
    DBTaskResult.objects.update(status="RUNNING", worker_ids=["dead"])
    Job.objects.update(status="running", fraction=0.7)
    assert jobs.resume_after_restart(now=NOW) == 1
    job.refresh_from_db()
    assert (job.status, job.fraction) == ("waiting", 0.0)
    assert DBTaskResult.objects.get().status == "READY"


def test_a_job_whose_task_was_lost_gets_a_new_one() -> None:
    job = Job.objects.create(work="w", status="running", asked_at=NOW)
    jobs.resume_after_restart(now=NOW)
    assert tasks() == [str(job.pk)]


def test_a_job_that_is_over_stays_over(django_capture_on_commit_callbacks: OnCommit) -> None:
    started(django_capture_on_commit_callbacks)
    Job.objects.update(status="done")
    DBTaskResult.objects.update(status="SUCCESSFUL")
    assert jobs.resume_after_restart(now=NOW) == 0
    assert len(tasks()) == 1


def test_work_that_broke_the_worker_three_times_is_given_up(django_capture_on_commit_callbacks: OnCommit) -> None:
    job = started(django_capture_on_commit_callbacks)
    DBTaskResult.objects.update(status="RUNNING", worker_ids=["a", "b", "c"])
    Job.objects.update(status="running")
    jobs.resume_after_restart(now=NOW)
    job.refresh_from_db()
    assert job.status == "failed"
    assert "broke off at this work 3 times" in job.message
