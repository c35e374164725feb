"""Schedules that were worked out and are kept: results, never facts; the last one of a season is shown."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from uuid import UUID

from django.db import transaction

from scionary.answers.schedule import Schedule
from scionary.answers.schedule_plain import from_plain, to_plain
from scionary.book.ids import uuid7
from scionary.book.models import KeptSchedule
from scionary.book.patience import patiently
from scionary.errors import UnknownSubject
from scionary.language import say

KEPT_A_SEASON = 12


def kept_schedule(season: int) -> Schedule | None:
    """The schedule that was worked out, or moved by hand, last for a growing year; None before the first."""
    row = KeptSchedule.objects.filter(season=season).first()
    return None if row is None else _read(row)


def schedule_called(ident: UUID) -> Schedule:
    """One kept schedule."""
    row = KeptSchedule.objects.filter(pk=ident).first()
    if row is None:
        raise UnknownSubject(
            say("this schedule is not kept any more."), where="plan", remedy=say("Plan the season again; the last ones are kept.")
        )
    return _read(row)


@patiently
def keep_schedule(schedule: Schedule, *, now: datetime) -> Schedule:
    """Keep a schedule as the season's last; the oldest ones go."""
    ident = uuid7()
    kept = replace(schedule, ident=str(ident), made_at=now)
    with transaction.atomic():
        KeptSchedule.objects.create(pk=ident, season=kept.season, made_at=now, content=to_plain(kept))
        old = KeptSchedule.objects.filter(season=kept.season).values_list("pk", flat=True)[KEPT_A_SEASON:]
        KeptSchedule.objects.filter(pk__in=list(old)).delete()
    return kept


@patiently
def change_kept(schedule: Schedule) -> Schedule:
    """Write a kept schedule again where it is: another season was set beside it."""
    KeptSchedule.objects.filter(pk=UUID(schedule.ident)).update(content=to_plain(schedule))
    return schedule


def _read(row: KeptSchedule) -> Schedule:
    return from_plain(Schedule, row.content)
