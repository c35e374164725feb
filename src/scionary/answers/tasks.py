"""The one task of the worker: to work off a job."""

from __future__ import annotations

import logging
import time
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.translation import override
from django_tasks import task

from scionary.answers.works import WORKS, LastStep, Progress, Work
from scionary.book.models import Job
from scionary.book.patience import patiently
from scionary.errors import ScionaryError, Stopped
from scionary.language import mark, say

logger = logging.getLogger("scionary.jobs")
_TELL_EVERY_S = 0.2
LANGUAGE = "language"  # beside what a work is asked: in which it is told
_FAILED = mark("The work broke off because of a fault in the program; nothing was written. The log beside the book says where.")


@task()
def run_job(job_id: str) -> str:
    """Work off a job; gives how it ended."""
    return work_off(UUID(job_id), now=timezone.now(), works=WORKS)


def work_off(job_id: UUID, *, now: datetime, works: Mapping[str, Work]) -> str:
    """Run a job's work and write how it ended; a job that is over is left alone."""
    job = _begin(job_id)
    if job is None:
        return "over"
    with override(job.arguments.get(LANGUAGE) or settings.LANGUAGE_CODE):
        return _worked_off(job, now, works)


def _worked_off(job: Job, now: datetime, works: Mapping[str, Work]) -> str:
    if job.stop_asked:
        return _end(job, Job.Status.STOPPED, say("stopped before it began."))
    try:
        arguments = {name: value for name, value in job.arguments.items() if name != LANGUAGE}
        last_step = works[job.work](arguments, progress_of(job.pk), now)
        return _finish(job, last_step)
    except Stopped as stopped:
        return _end(job, Job.Status.STOPPED, str(stopped))
    except ScionaryError as refusal:
        return _end(job, Job.Status.REFUSED, str(refusal))
    except Exception:
        logger.exception("job %s (%s) failed", job.pk, job.work)
        return _end(job, Job.Status.FAILED, say(_FAILED))


def progress_of(job_id: UUID, *, clock: Any = time.monotonic) -> Progress:
    """A progress function that writes to the job's row, at most five times a second; False once a stop was asked."""
    told_at = -1.0

    def progress(fraction: float, word: str) -> bool:
        nonlocal told_at
        if clock() - told_at < _TELL_EVERY_S and told_at >= 0:
            return True
        told_at = clock()
        row = Job.objects.filter(pk=job_id)
        row.update(fraction=min(max(fraction, 0.0), 1.0), word=word[:200])
        return not row.values_list("stop_asked", flat=True)[0]

    return progress


def _begin(job_id: UUID) -> Job | None:
    with transaction.atomic():
        job = Job.objects.select_for_update().filter(pk=job_id).first()
        if job is None or job.over:
            return None
        job.status, job.fraction, job.word = Job.Status.RUNNING, 0.0, ""
        job.save(update_fields=["status", "fraction", "word"])
        return job


@patiently
def _finish(job: Job, last_step: LastStep) -> str:
    """Write the work's outcome and its end in one transaction, so that a cut can never part them."""
    with transaction.atomic():
        row = Job.objects.select_for_update().get(pk=job.pk)
        if row.over:
            return "over"
        if row.stop_asked:
            raise Stopped(say("stopped as you asked; nothing was written."))
        row.result = last_step()
        row.status, row.fraction, row.word, row.message = Job.Status.DONE, 1.0, "", ""
        row.ended_at = timezone.now()
        row.save()
    return row.status


def _end(job: Job, status: Job.Status, message: str) -> str:
    Job.objects.filter(pk=job.pk).update(status=status, message=message, ended_at=timezone.now())
    return status
