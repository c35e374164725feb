"""The kinds of long work that run beside the pages, by name.

A work computes first, outside any transaction, and tells how far it is; it gives back its last step, which writes
all at once in one short transaction and returns the result. So a reader sees progress while it runs, nothing is
half-written, and work that was cut off is begun again and ends once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from scionary.errors import Stopped
from scionary.language import mark, say

Progress = Callable[[float, str], bool]
LastStep = Callable[[], dict[str, Any]]
Work = Callable[[Mapping[str, Any], Progress, datetime], LastStep]


def tell(progress: Progress | None, fraction: float, word: str) -> None:
    """Tell how far it is; raises `Stopped` when the person stopped it."""
    if progress is not None and not progress(fraction, word):
        raise Stopped(say("stopped as you asked; nothing was written."))


def _import_past(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    from scionary.answers.past_import import past_import

    return past_import(arguments, progress, now)


def _import_readings(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    from scionary.answers.logger_import import logger_import

    return logger_import(arguments, progress, now)


def _import_weather(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    from scionary.answers.weather_import import weather_import

    return weather_import(arguments, progress, now)


def _take_home(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    from scionary.answers.taking_home import take_home

    return take_home(arguments, progress, now)


def _learn(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    from scionary.answers.learning import learn

    return learn(arguments, progress, now)


def _plan_season(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    from scionary.answers.schedule_asking import plan_work

    return plan_work(arguments, progress, now)


def _try_beside(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    from scionary.answers.schedule_beside import beside_work

    return beside_work(arguments, progress, now)


WORKS: dict[str, Work] = {
    mark("import past records"): _import_past,
    mark("learn from results"): _learn,
    mark("import readings"): _import_readings,
    mark("import weather"): _import_weather,
    mark("take home"): _take_home,
    mark("plan a season"): _plan_season,
    mark("try a change"): _try_beside,
}
