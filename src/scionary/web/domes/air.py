"""The air of a dome as its page shows it: a week at a time, with the limits in words."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest

from scionary.answers.air import AirAnswer, air_of_dome, limits_said
from scionary.answers.air_edges import first_written, last_written
from scionary.book.models import Dome
from scionary.language import say
from scionary.web.charts import air_chart
from scionary.web.pages import now_at, nursery_of, readable_days
from scionary.web.typing_in import DayField

_DAYS = 7


def week_of_air(request: HttpRequest, dome: Dome) -> dict[str, Any]:
    """The air of a week, with the addresses of the weeks before and after."""
    nursery, now = nursery_of(request), now_at(request)
    try:
        day = DayField(required=False, validators=readable_days()).clean(request.GET.get("to"))
    except ValidationError:
        day = None
    end = min(now, datetime.combine(day + timedelta(days=1), time(), nursery.zone)) if day else now
    air = air_of_dome(dome, nursery, end=end, days=_DAYS, exactly=day is not None)
    if air is None:
        return {"air": None}
    return {
        "air": air,
        "chart": air_chart(air, nursery),
        "earlier": air.begin.date() - timedelta(days=1) if last_written(air.sensor, air.begin) else "",
        "later": min(_last_day(air) + timedelta(days=_DAYS), now.date()) if air.end < now and first_written(air.sensor, air.end) else "",
        "episodes": [(e.begin, e.sentence.split(": ", 1)[1], e.hours) for e in air.episodes],
        "span": _span(air, now),
        "limits": limits_said(air, nursery),
    }


def _last_day(air: AirAnswer) -> date:
    return (air.end - timedelta(microseconds=1)).date()


def _span(air: AirAnswer, now: datetime) -> str:
    last = _last_day(air)
    if last == now.date():
        return say("last seven days")
    return say("{day} {begin:%b} to {day2} {last:%b %Y}", day=air.begin.day, begin=air.begin, day2=last.day, last=last)
