"""The air of a dome as its page shows it: a day, a week or a month, with who stood there, and the limits in words."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest

from scionary.answers.air import AirAnswer, air_of_dome, limits_said
from scionary.answers.air_callus import healing_facts
from scionary.answers.air_edges import first_written, last_written
from scionary.answers.air_facts import air_facts
from scionary.answers.air_stood import Stood, stood_by_stretch
from scionary.answers.air_table import air_rows, span_hours
from scionary.answers.words import date_soon, short_day
from scionary.book.models import Dome, Nursery
from scionary.language import mark, say
from scionary.web.charts import air_chart
from scionary.web.pages import now_at, nursery_of, readable_days
from scionary.web.typing_in import DayField

_DAYS = 7
_SPANS = ((1, mark("A day")), (_DAYS, mark("A week")), (30, mark("A month")))
_BAD = ("heat", "dry")


def air_shown(request: HttpRequest, dome: Dome, *, grafted: date | None = None) -> dict[str, Any]:
    """The air of a span of days, with the addresses of those before and after; `grafted` is when what stands there was made."""
    nursery, now = nursery_of(request), now_at(request)
    day, days = _asked_day(request), _asked_days(request)
    end = min(now, datetime.combine(day + timedelta(days=1), time(), nursery.zone)) if day else now
    air = air_of_dome(dome, nursery, end=end, days=days, exactly=day is not None)
    if air is None:
        return {"air": None}
    last, latest = _last_day(air), air.end < now and first_written(air.sensor, air.end)
    stood = stood_by_stretch(dome, [(e.begin, e.end) for e in air.episodes])
    return {
        "air": air,
        "chart": air_chart(air, nursery),
        "days": days,
        "spans": [(span, say(words), span == days) for span, words in _SPANS],
        "last": last,
        "earlier": air.begin.date() - timedelta(days=1) if last_written(air.sensor, air.begin) else "",
        "later": min(last + timedelta(days=days), now.date()) if latest else "",
        "episodes": [(e.begin, e.what, e.hours, *_stood(stood, number)) for number, e in enumerate(air.episodes)],
        "harmed": _harmed(air, stood),
        "span": _span(air, now, days),
        "rows": air_rows(air, nursery, hours=span_hours(days)),
        "facts": _facts(air, nursery, grafted, now),
        "limits": limits_said(air, nursery),
    }


def _asked_day(request: HttpRequest) -> date | None:
    try:
        day: date | None = DayField(required=False, validators=readable_days()).clean(request.GET.get("to"))
    except ValidationError:
        return None
    return day


def _asked_days(request: HttpRequest) -> int:
    typed = request.GET.get("days", "")
    return next((span for span, _ in _SPANS if typed == str(span)), _DAYS)


def _facts(air: AirAnswer, nursery: Nursery, grafted: date | None, now: datetime) -> list[Any]:
    if air.report is None:
        return []
    return [
        *healing_facts(air.sensor, grafted, nursery, end=now),
        *air_facts(air.report, air.limits, nursery, hours_unknown=air.hours_unknown),
    ]


def _stood(stood: Any, number: int) -> tuple[Stood | None, bool]:
    """Who stood there, and whether they are those of the stretch before."""
    found, before = stood.get(number), stood.get(number - 1)
    return found, bool(found and before and found.plants and found.plants == before.plants)


def _harmed(air: AirAnswer, stood: Any) -> Stood | None:
    """Who stood there in the worst stretch: the hottest, else the longest dry one."""
    bad = [(e.kind == "heat", e.hours, number) for number, e in enumerate(air.episodes) if e.kind in _BAD]
    found: Stood | None = stood.get(max(bad)[2]) if bad else None
    return found if found and found.plants else None


def _last_day(air: AirAnswer) -> date:
    return (air.end - timedelta(microseconds=1)).date()


def _span(air: AirAnswer, now: datetime, days: int) -> str:
    last = _last_day(air)
    if last == now.date() and days == _DAYS:
        return say("last seven days")
    if days == 1:
        return short_day(last)
    return say("{first} to {last}", first=date_soon(air.begin), last=short_day(last))
