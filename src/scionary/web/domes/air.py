"""The air of a dome as its page shows it: a week at a time, with the limits in words."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest

from scionary.answers.air import AirAnswer, air_of_dome, limits_said
from scionary.book.models import Dome, SensorDay
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
    end = datetime.combine(day + timedelta(days=1), time(), nursery.zone) if day else now
    air = air_of_dome(dome, nursery, end=end, days=_DAYS)
    if air is None:
        return {"air": None}
    earlier = SensorDay.objects.filter(sensor=air.sensor, day__lt=air.begin.date()).exists()
    later = SensorDay.objects.filter(sensor=air.sensor, day__gt=air.end.date()).exists()
    return {
        "air": air,
        "chart": air_chart(air, nursery),
        "earlier": (air.begin.date() - timedelta(days=1)).isoformat() if earlier else "",
        "later": (air.end.date() + timedelta(days=_DAYS - 1)).isoformat() if later else "",
        "episodes": [(e.begin, e.sentence.split(": ", 1)[1], e.hours) for e in air.episodes],
        "span": _span(air, now),
        "limits": limits_said(air, nursery),
    }


def _span(air: AirAnswer, now: datetime) -> str:
    if now - air.end < timedelta(days=1):
        return "last seven days"
    return f"{air.begin.day} {air.begin:%b} to {air.end.day} {air.end:%b %Y}"
