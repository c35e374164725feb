"""Trying a change of a season beside the pages: its plan is set beside the present one when it is found."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from scionary.answers.jobs import start
from scionary.answers.schedule import Schedule
from scionary.answers.schedule_kept import schedule_called
from scionary.answers.schedule_solving import season_of
from scionary.answers.schedule_trying import ask_of, change_said, change_words, changed_problem, set_beside, tried_change
from scionary.answers.works import LastStep, Progress
from scionary.book import queries
from scionary.book.models import Job
from scionary.errors import Stopped
from scionary.language import mark, say

WORK = mark("try a change")


def ask_beside(schedule: Schedule, change: Mapping[str, Any] | str, *, today: date, now: datetime) -> Job:
    """Start trying a change beside the pages; refuses at once what cannot be tried, and tries the same change once at a time."""
    season = season_of(ask_of(schedule), today=today)
    asked = change_said(change, season) if isinstance(change, str) else dict(change)
    changed_problem(season, asked)
    under_way = next((job for job in tries_under_way(schedule.season) if _same(job, schedule, asked)), None)
    told = {"season": schedule.season, "schedule": schedule.ident, "change": asked, "words": change_words(season, asked)}
    return under_way or start(WORK, told, now=now)


def tries_under_way(season: int) -> list[Job]:
    """Changes of a season that are being tried, or wait for it, the first asked first."""
    active = [Job.Status.WAITING, Job.Status.RUNNING]
    return list(Job.objects.filter(work=WORK, status__in=active, arguments__season=season).order_by("asked_at"))


def failed_try(schedule: Schedule) -> str:
    """Why the change of this schedule that was tried last could not be set beside it; empty where it could."""
    last = Job.objects.filter(work=WORK, arguments__schedule=schedule.ident).order_by("-asked_at").first()
    return last.message if last and last.status in (Job.Status.REFUSED, Job.Status.FAILED) else ""


def beside_work(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    """The work beside the pages; stopped, nothing is set beside."""
    ident, stopped = UUID(str(arguments["schedule"])), False

    def tell(fraction: float, word: str) -> bool:
        nonlocal stopped
        stopped = stopped or not progress(fraction, word)
        return not stopped

    today = now.astimezone(queries.nursery().zone).date()
    found = tried_change(schedule_called(ident), arguments["change"], today=today, progress=tell)
    if stopped:
        raise Stopped(say("stopped as you asked; nothing was set beside the plan."))

    def last_step() -> dict[str, Any]:
        beside = set_beside(schedule_called(ident), found)
        return {"season": beside.season, "schedule": beside.ident, "words": say("{change}: set beside the plan.", change=found.words)}

    return last_step


def _same(job: Job, schedule: Schedule, change: Mapping[str, Any]) -> bool:
    return bool(job.arguments.get("schedule") == schedule.ident and job.arguments.get("change") == change)
