"""In which weeks of a growing year each kind of method can be grafted: from the book's weather, else as it is assumed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from scionary.answers.growing_year import autumn_equinox
from scionary.answers.method_season import kind_windows
from scionary.answers.schedule import Assumed
from scionary.answers.season_facts import SeasonFacts, spring_of
from scionary.book.models import Method
from scionary.language import say

_WORKING_DAYS = 4  # from Monday: a week counts where Friday lies in the window


@dataclass(frozen=True)
class Windows:
    """First and last day of each kind, leafy or dormant; None where the weather leaves none. `assumed` says what they rest on."""

    leafy: tuple[date, date] | None
    dormant: tuple[date, date] | None
    frost: date
    from_weather: bool
    words: tuple[str, ...]

    def of(self, method: Method) -> tuple[date, date] | None:
        return self.leafy if method.leafy else self.dormant


def windows_of(facts: SeasonFacts) -> Windows:
    """The windows of the growing year; figures that a person moved go before the weather."""
    frost = autumn_equinox(facts.season, facts.nursery.latitude_deg) + timedelta(days=round(_number(facts, "frost")))
    moved = set(facts.nursery.plan_figures or {})
    known = kind_windows(facts.nursery, facts.today)
    spans: dict[bool, tuple[date, date] | None] = {True: _leafy(facts), False: _dormant(facts)}
    words = []
    for kind in known:
        names = ("leafy_opens", "leafy_closes") if kind.leafy else ("dormant_opens", "dormant_closes")
        if moved.isdisjoint(names):
            spans[kind.leafy] = _in_year(facts, kind.day(kind.window.opens), kind.day(kind.window.closes))
            words.append(f"{say('In leaf') if kind.leafy else say('Dormant')}: {kind.words}")
    return Windows(spans[True], spans[False], frost, bool(words), tuple(words))


def weeks_open(facts: SeasonFacts, span: tuple[date, date] | None) -> list[date]:
    """Mondays of weeks that can still be planned and lie in a window."""
    if span is None:
        return []
    found, monday = [], facts.first_monday
    while monday <= span[1] and monday < facts.ends:
        if monday + timedelta(days=_WORKING_DAYS) >= span[0]:
            found.append(monday)
        monday += timedelta(days=7)
    return found


def assumed_windows(windows: Windows) -> list[Assumed]:
    """What of the windows comes from the weather; the rest are figures."""
    return [Assumed(words) for words in windows.words]


def _number(facts: SeasonFacts, name: str) -> float:
    return float(facts.figures[name] or 0.0)


def _leafy(facts: SeasonFacts) -> tuple[date, date]:
    spring = spring_of(facts)
    return spring + timedelta(days=round(_number(facts, "leafy_opens"))), spring + timedelta(days=round(_number(facts, "leafy_closes")))


def _dormant(facts: SeasonFacts) -> tuple[date, date]:
    spring = spring_of(facts)
    return spring - timedelta(days=round(_number(facts, "dormant_opens"))), spring - timedelta(days=round(_number(facts, "dormant_closes")))


def _in_year(facts: SeasonFacts, opens: date | None, closes: date | None) -> tuple[date, date] | None:
    """The same days of the growing year that is planned."""
    if opens is None or closes is None:
        return None
    length = closes - opens
    for year in range(facts.begins.year - 1, facts.ends.year + 1):
        day = date(year, opens.month, min(opens.day, 28) if opens.month == 2 else opens.day)
        if facts.begins <= day < facts.ends:
            return day, day + length
    return None
