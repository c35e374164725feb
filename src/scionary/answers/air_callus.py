"""The callus clock of what stands in a dome now: from the day of grafting, by all that its sensors wrote since."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import numpy as np

from scionary.answers.air_facts import Fact, callus_facts
from scionary.book.commands import noon
from scionary.book.models import Nursery, Sensor
from scionary.book.readings import load_readings
from scionary.dome import AirLimits, air_report

_LONGEST_DAYS = 120  # project default, unsourced: a union that is older is looked at for other reasons


def healing_facts(sensor: Sensor, grafted: date | None, nursery: Nursery, *, end: datetime, limits: AirLimits | None = None) -> list[Fact]:
    """The callus clock since the grafting and the date of a first look; empty where nothing was grafted lately or written since."""
    if grafted is None:
        return []
    since = noon(grafted, nursery)
    if not since < end <= since + timedelta(days=_LONGEST_DAYS):
        return []
    rows = load_readings(sensor, since, end)
    if not len(rows) or np.isnan(rows[:, 1]).all():
        return []
    report = air_report(rows[:, 0], rows[:, 1], rows[:, 2], limits, grafted_s=since.timestamp())
    return callus_facts(report, nursery, grafted=True)
