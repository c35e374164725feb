"""A schedule moved by hand: a row to another week or dome, or other grafts; limits are looked at at once and said, never enforced."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np

from scionary.answers.schedule import Beside, Schedule, ScheduleRow
from scionary.answers.schedule_drift import drift_of
from scionary.answers.schedule_kept import keep_schedule
from scionary.answers.schedule_making import rows_of, weeks_of, wishes_of
from scionary.answers.schedule_places import Filled, before, fillings_for, placed
from scionary.answers.schedule_reasons import Reasons
from scionary.answers.schedule_solving import Ask, assurance_of, keys_of, own_grafts, own_rows, season_of, way_key
from scionary.answers.season_problem import Season
from scionary.answers.unused_stocks import unused_words
from scionary.answers.words import short_day
from scionary.errors import BadValue, Refused
from scionary.language import say
from scionary.plan import PlanValue, broken_limits, evaluate_plan
from scionary.plan.limit_writing import limit_rows
from scionary.plan.wanted import Int

MOST_GRAFTS = 10_000


def move(
    schedule: Schedule,
    number: int,
    *,
    today: date,
    now: datetime,
    to_week: date | None = None,
    to_dome: str | None = None,
    grafts: int | None = None,
) -> Schedule:
    """Move one row of a schedule and keep the schedule so; `broken` says which limits it breaks now, `tried` what it was before."""
    row = row_called(schedule, number)
    season = season_of(Ask.of(schedule.asked), today=today)
    rows = [dict(each) for each in own_rows(schedule.rows)]
    place = next(at for at, each in enumerate(schedule.rows) if each.number == number)
    if to_week is not None:
        rows[place] = {**rows[place], "week": (to_week - timedelta(days=to_week.weekday())).isoformat()}
    if grafts is not None:
        if not 0 <= grafts <= MOST_GRAFTS:
            raise BadValue("grafts", grafts, say("0 to {most}", most=MOST_GRAFTS))
        rows[place] = {**rows[place], "grafts": grafts}
    goes = to_dome is not None or to_week is not None
    mine = way_key(own_rows([row])[0])
    pins = [dict(pin) for pin in schedule.asked.get("pins", ()) if not (goes and way_key(pin) == mine)]
    if to_dome is not None:
        pins.append({**rows[place], "dome": _dome(season, to_dome)})
    _check_ways(season, rows, row)
    moved = _moved(schedule, season, rows, pins)
    crowded = _crowded(schedule, row, grafts) if grafts is not None and to_week is None and to_dome is None and moved.broken else []
    return keep_schedule(replace(moved, broken=(*crowded, *moved.broken)), now=now)


def row_after(moved: Schedule, row: ScheduleRow, *, to_week: date | None = None) -> ScheduleRow | None:
    """A row as it stands in the moved schedule; None where nothing of it is left."""
    week = row.week if to_week is None else to_week - timedelta(days=to_week.weekday())
    key = way_key(own_rows([replace(row, week=week)])[0])
    return next((each for each in moved.rows if way_key(own_rows([each])[0]) == key), None)


def _crowded(schedule: Schedule, row: ScheduleRow, grafts: int) -> list[str]:
    """That the row's own domes have no room for so many more; the limits alone name whichever dome would be filled for them."""
    here = next((week.domes for week in schedule.weeks if week.monday == row.week), ())
    mine = [each for each in here if each.dome in row.domes and each.kind == "planned" and each.holds]
    stand, holds = sum(each.grafts for each in mine), sum(each.holds for each in mine)
    count = stand + grafts - row.grafts
    if not mine or count <= holds:
        return []
    return [say("{domes} holds {holds}, and {count} would stand there.", domes=", ".join(row.domes), holds=holds, count=count)]


def row_called(schedule: Schedule, number: int) -> ScheduleRow:
    found = next((row for row in schedule.rows if row.number == number), None)
    if found is None:
        raise Refused(say("the plan has no row {number}.", number=number), where="plan", remedy=say("Take one of its rows."))
    return found


def _dome(season: Season, name: str) -> str:
    names = {dome.name.casefold(): dome.name for dome in season.facts.domes}
    if name.casefold() not in names:
        raise Refused(
            say("the book holds no dome {name!r}.", name=name[:60]), where="plan", remedy=say("Take one that is listed under Domes.")
        )
    return names[name.casefold()]


def _check_ways(season: Season, rows: Sequence[Mapping[str, Any]], row: ScheduleRow) -> None:
    """Refuse a week in which the row cannot be grafted at all."""
    places = keys_of(season)
    if all(way_key(each) in places for each in rows):
        return
    weeks = sorted({way.week for way in season.ways if way.method.name == row.method and season.facts.wishes[way.wish].ident == row.wish})
    if not weeks:
        raise Refused(say("the book has changed since this plan was made."), where="plan", remedy=say("Plan again from today."))
    raise Refused(
        say("{name} cannot be grafted by {method} in that week.", name=row.name, method=row.method),
        where="plan", remedy=say("Its weeks are those of {first} to {last}.", first=short_day(weeks[0]), last=short_day(weeks[-1])),
    )  # fmt: skip


def _moved(schedule: Schedule, season: Season, rows: Sequence[Mapping[str, Any]], pins: list[dict[str, Any]]) -> Schedule:
    ask, problem = Ask.of(schedule.asked), season.problem
    grafts = own_grafts(season, rows)
    assert grafts is not None
    written = limit_rows(problem)
    filled = placed(season, grafts, fillings_for(season, grafts, written))
    broken = [*broken_limits(problem, grafts, written), *_pinned(season, filled, pins)]
    seen, assurance = judged(season, grafts, ask)
    why = {wish.wish: wish.why_cut for wish in schedule.wishes}
    wishes = tuple(
        replace(wish, why_cut=why.get(wish.wish, "") if wish.cut else "") for wish in wishes_of(season, grafts, seen, assurance, ())
    )
    was = Beside(say("As it stood before"), schedule.value, schedule.value - seen.mean, schedule.grafts,
                 tuple(wish.chance for wish in schedule.wishes), schedule.broken)  # fmt: skip
    moved = replace(
        schedule, source="moved", rows=rows_of(season, grafts, filled, Reasons(season, written, grafts)),
        weeks=weeks_of(season, grafts, filled), wishes=wishes,
        value=seen.mean, low=seen.low, high=seen.high, cost=seen.cost, planned=None, bound=None, gap=None, complete=True, stopped=False,
        held_up=(), changes=(), cheap=(), own=None, most_value=None, tried=(was,), broken=tuple(broken),
        unused=unused_words(season, grafts, written), first=False, asked={**schedule.asked, "pins": pins},
    )  # fmt: skip
    return replace(moved, drift=drift_of(season, moved))


def judged(season: Season, grafts: Int, ask: Ask) -> tuple[PlanValue, Any]:
    """Grafts under the very seasons that a solved plan of this ask is judged by."""
    assurance = assurance_of(season, ask)
    judge = int(np.random.default_rng(ask.seed).integers(2**62))
    return evaluate_plan(season.problem, grafts, rng=judge, assurance=assurance), assurance


def _pinned(season: Season, filled: list[Filled], pins: Sequence[Mapping[str, Any]]) -> list[str]:
    """Stand the pinned rows in their domes, changing places with what stands there where that fits; says what does not fit."""
    places, words = keys_of(season), []
    for pin in pins:
        option = places.get(way_key(pin), -1)
        mine = [each for each in filled if option in each.grafts]
        if mine and all(each.dome != pin["dome"] for each in mine):
            words += _swap(season, filled, max(mine, key=lambda each: each.grafts[option]), str(pin["dome"]))
    return words


def _swap(season: Season, filled: list[Filled], mine: Filled, dome: str) -> list[str]:
    """Two domes change places in all that cannot be parted in time from what is moved; says where that does not fit."""
    was = mine.dome
    change: list[Filled] = [mine]
    found = change
    while found:
        found = [
            each for each in filled
            if each.dome in (was, dome) and each not in change and any(each.week < one.until and one.week < each.until for one in change)
        ]  # fmt: skip
        change += found
    words = []
    for each in change:
        each.dome = dome if each.dome == was else was
        each.holds = _holds(season, each.dome, each.pot)
        words += [_over(each)] if each.free < 0 else []
        taken = [season.mondays[at] for at in range(each.week, min(each.until, len(season.mondays)))]
        day = next((monday for monday in taken if before(season, each.dome, monday)[0] != "free"), None)
        words += [say("{dome} is not free in the week of {day}.", dome=each.dome, day=short_day(day))] if day else []
    return words


def _holds(season: Season, dome: str, pot: int) -> int:
    return next((room.holds[pot] for room in season.rooms if any(each.name == dome for each in room.domes)), 0)


def _over(filled: Filled) -> str:
    return say("{dome} holds {holds}, not {count}.", dome=filled.dome, holds=filled.holds, count=sum(filled.grafts.values()))
