"""Long work beside the pages: start it, watch it, stop it; it survives a restart."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.utils.translation import get_language
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from scionary.answers.learning import is_behind
from scionary.answers.take_model import WORK as LEARN
from scionary.answers.tasks import LANGUAGE, run_job
from scionary.answers.works import WORKS, Work
from scionary.book.models import Job
from scionary.errors import BadValue, UnknownSubject
from scionary.language import mark, say

_MOST_TRIES = 3
_GAVE_UP = mark(
    "The worker broke off at this work {tries} times, so it is not begun again; nothing was written. Is the machine short of memory?"
)


def start(work: str, arguments: Mapping[str, Any], *, now: datetime, works: Mapping[str, Work] = WORKS) -> Job:
    """Write down a job and hand it to the worker as soon as the transaction is through."""
    if work not in works:
        raise BadValue("work", work, say("one of {choices}", choices=", ".join(works)))
    with transaction.atomic():
        job = Job.objects.create(work=work, arguments={**arguments, **_spoken()}, asked_at=now)
        transaction.on_commit(lambda: _hand_over(job.pk))
    return job


def _spoken() -> dict[str, str]:
    """The language of whoever asks, where it is not the book's own: the work tells in it how far it is and how it ended."""
    language = get_language()
    return {LANGUAGE: language} if language and language != settings.LANGUAGE_CODE else {}


def learn_beside(*, now: datetime) -> Job | None:
    """Have what takes long to learn from the results learned beside the pages, unless that waits to be begun already."""
    if Job.objects.filter(work=LEARN, status=Job.Status.WAITING).exists() or not is_behind():
        return None
    return start(LEARN, {}, now=now)


def job(job_id: UUID) -> Job:
    found = Job.objects.filter(pk=job_id).first()
    if found is None:
        raise UnknownSubject(say("the book holds no such job."), where="job", remedy=say("Start it again from its page."))
    return found


def ask_to_stop(job_id: UUID, *, now: datetime) -> Job:
    """Ask a job to stop: one that waits is stopped at once, one under way at its next step."""
    with transaction.atomic():
        found = job(job_id)
        row = Job.objects.select_for_update().get(pk=found.pk)
        if not row.over:
            row.stop_asked = True
            if row.status == Job.Status.WAITING:
                row.status, row.message, row.ended_at = Job.Status.STOPPED, say("stopped before it began."), now
            row.save(update_fields=["stop_asked", "status", "message", "ended_at"])
    return row


def resume_after_restart(*, now: datetime) -> int:
    """Put work that a dead worker left behind back in the queue; gives how many jobs are begun again.

    Only the one worker may call this, before it takes its first task.
    """
    with transaction.atomic():
        tries = _put_back()
        again = 0
        for row in Job.objects.select_for_update().exclude(status__in=_over()):
            if tries.get(str(row.pk), 0) >= _MOST_TRIES:
                row.status, row.message, row.ended_at = Job.Status.FAILED, say(_GAVE_UP, tries=_MOST_TRIES), now
                row.save(update_fields=["status", "message", "ended_at"])
                continue
            if row.status == Job.Status.RUNNING:
                row.status, row.fraction, row.word = Job.Status.WAITING, 0.0, say("begun again after a restart")
                row.save(update_fields=["status", "fraction", "word"])
                again += 1
            if str(row.pk) not in tries:
                _hand_over(row.pk)
    return again


def _hand_over(job_id: UUID) -> None:
    run_job.enqueue(str(job_id))


def _put_back() -> dict[str, int]:
    """Make tasks that were under way ready again; gives for each waiting job how often it was begun."""
    tasks = DBTaskResult.objects.filter(task_path=run_job.module_path)
    tasks.filter(status=TaskResultStatus.RUNNING).update(status=TaskResultStatus.READY, started_at=None)
    ready = tasks.filter(status=TaskResultStatus.READY).values_list("args_kwargs", "worker_ids")
    return {arguments["args"][0]: len(workers) for arguments, workers in ready}


def _over() -> list[str]:
    return [Job.Status.DONE, Job.Status.STOPPED, Job.Status.REFUSED, Job.Status.FAILED]
