"""The callus clock of what stands in a dome now: from the day of grafting, by all that its sensors wrote since."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import numpy as np

from scionary.answers.air_facts import FEWEST_HOURS, Fact, callus_facts
from scionary.book.commands import noon
from scionary.book.models import Nursery, Sensor
from scionary.book.readings import load_readings
from scionary.dome import AirLimits, AirReport, CallusClock, air_report

_LONGEST_DAYS = 120  # project default, unsourced: a union that is older is looked at for other reasons


def healing_facts(sensor: Sensor, grafted: date | None, nursery: Nursery, *, end: datetime, limits: AirLimits | None = None) -> list[Fact]:
    """The callus clock since the grafting and the date of a first look; empty where nothing was grafted lately or written since."""
    report = _since_grafting(sensor, grafted, nursery, end, limits)
    return callus_facts(report, nursery, grafted=True) if report is not None else []


def healing_clock(sensor: Sensor, grafted: date | None, nursery: Nursery, *, end: datetime) -> CallusClock | None:
    """The callus clock since the grafting, where the log is long enough to foretell a date."""
    report = _since_grafting(sensor, grafted, nursery, end, None)
    return report.callus if report is not None and report.hours_temperature_known >= FEWEST_HOURS else None


def _since_grafting(sensor: Sensor, grafted: date | None, nursery: Nursery, end: datetime, limits: AirLimits | None) -> AirReport | None:
    if grafted is None:
        return None
    since = noon(grafted, nursery)
    if not since < end <= since + timedelta(days=_LONGEST_DAYS):
        return None
    rows = load_readings(sensor, since, end)
    if not len(rows) or np.isnan(rows[:, 1]).all():
        return None
    return air_report(rows[:, 0], rows[:, 1], rows[:, 2], limits, grafted_s=since.timestamp())
