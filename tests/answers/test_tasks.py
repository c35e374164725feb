"""Working off a job: progress, stopping, refusal, failure, and one end."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import pytest

from scionary.answers.tasks import progress_of, work_off
from scionary.answers.works import LastStep, Progress, Work, tell
from scionary.book.commands import cultivar_called
from scionary.book.models import Cultivar, Job
from scionary.errors import Refused

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)


def write_a_name(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    tell(progress, 0.5, "half way")
    return lambda: {"cultivar": cultivar_called(arguments["name"], now=now).spoken}


def refuse_late(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    def last_step() -> dict[str, Any]:
        cultivar_called(arguments["name"], now=now)
        raise Refused("row 3 is no row.", where="past.csv", remedy="Mend it.")

    return last_step


def fall_over(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    def last_step() -> dict[str, Any]:
        cultivar_called(arguments["name"], now=now)
        raise ZeroDivisionError("a fault of ours")

    return last_step


def stop_half_way(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    Job.objects.update(stop_asked=True)
    tell(progress, 0.5, "half way")
    return lambda: {"never": "reached"}


def stop_before_the_last_step(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    Job.objects.update(stop_asked=True)
    return lambda: {"cultivar": cultivar_called(arguments["name"], now=now).spoken}


def run(work: Work, **changed: Any) -> Job:
    job = Job.objects.create(work="w", arguments={"name": "Red Tarn"}, asked_at=NOW, **changed)
    work_off(job.pk, now=NOW, works={"w": work})
    job.refresh_from_db()
    return job


def test_work_ends_done_with_its_result() -> None:
    job = run(write_a_name)
    assert (job.status, job.result, job.fraction, job.message) == ("done", {"cultivar": "Red Tarn"}, 1.0, "")
    assert job.ended_at is not None


def test_a_job_that_is_over_is_left_alone() -> None:
    job = run(write_a_name, status="stopped")
    assert (job.status, job.result) == ("stopped", None)
    assert Cultivar.objects.count() == 0


def test_a_refusal_keeps_nothing_and_gives_its_words() -> None:
    job = run(refuse_late)
    assert (job.status, job.message) == ("refused", "past.csv: row 3 is no row. Mend it.")
    assert Cultivar.objects.count() == 0


def test_a_fault_keeps_nothing_and_shows_no_trace(caplog: pytest.LogCaptureFixture) -> None:
    job = run(fall_over)
    assert job.status == "failed"
    assert "fault in the program" in job.message
    assert "ZeroDivisionError" not in job.message
    assert "a fault of ours" in caplog.text
    assert Cultivar.objects.count() == 0


@pytest.mark.parametrize("work", [stop_half_way, stop_before_the_last_step])
def test_a_stop_keeps_nothing(work: Work) -> None:
    job = run(work)
    assert (job.status, job.result) == ("stopped", None)
    assert Cultivar.objects.count() == 0


def test_an_unknown_work_fails_with_a_sentence() -> None:
    job = Job.objects.create(work="gone", asked_at=NOW)
    assert work_off(job.pk, now=NOW, works={}) == "failed"


def test_progress_is_written_at_most_five_times_a_second() -> None:
    job = Job.objects.create(work="w", asked_at=NOW)
    moments = iter([0.0, 0.0, 0.1, 0.3, 0.3])
    progress = progress_of(job.pk, clock=lambda: next(moments))
    seen = []
    for fraction in (0.1, 0.2, 0.9):
        assert progress(fraction, f"at {fraction}")
        job.refresh_from_db()
        seen.append((job.fraction, job.word))
    assert seen == [(0.1, "at 0.1"), (0.1, "at 0.1"), (0.9, "at 0.9")]
