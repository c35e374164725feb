"""A solved season as a schedule: rows, weeks, wishes, what holds it back, and what was assumed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

import numpy as np

from scionary.answers.growing_year import year_words
from scionary.answers.schedule import (
    Beside,
    Change,
    CheapWish,
    HeldUp,
    MostValue,
    Schedule,
    ScheduleRow,
    ScheduleWeek,
    Standing,
    WishOutlook,
)
from scionary.answers.schedule_assumed import all_assumed
from scionary.answers.schedule_places import Filled, before, dome_names, placed
from scionary.answers.schedule_reasons import Reasons
from scionary.answers.schedule_tidy import free_limits, tidied
from scionary.answers.season_luck import shared_out
from scionary.answers.season_problem import Season
from scionary.answers.unused_stocks import unused_words
from scionary.answers.words import percent
from scionary.language import said, say
from scionary.plan import CutWish, Helps, HoldsBack, LimitKind, PlanResult, PlanValue, cut_wishes, evaluate_plan, money_bound
from scionary.plan.wanted import Int
from scionary.units import Float

_TELLS = 0.5  # money: what is less is told as 0
_THINGS = (LimitKind.TRAYS, LimitKind.BENCH, LimitKind.STICKS, LimitKind.STOCKS, LimitKind.THICKNESS, LimitKind.BUDGET)


def made_schedule(
    season: Season,
    result: PlanResult,
    *,
    asked: Mapping[str, Any],
    wanted: Float,
    now: datetime,
    why: HoldsBack | None = None,
    plain: PlanResult | None = None,
    first: bool = False,
) -> Schedule:
    """The schedule of a solved season; `plain` is the same season's plan for most value, which bounds the money."""
    grafts, trays = tidied(season, result)
    seen = _seen(season, result, grafts, int(asked.get("seed", 0)))
    filled = placed(season, grafts, trays)
    rows = free_limits(season, result.rows)
    shown = replace(result, rows=rows, grafts=grafts, seen=seen)
    cut = cut_wishes(season.problem, shown, also=_short(shown, wanted))
    planned, bound = _bounded(plain, grafts)
    return Schedule(
        season=season.facts.season,
        ident="",
        made_at=now,
        today=season.facts.today,
        source="solved",
        effort=result.effort.name.lower(),
        asked=dict(asked),
        rows=rows_of(season, grafts, filled, Reasons(season, rows, grafts)),
        weeks=weeks_of(season, grafts, filled),
        wishes=wishes_of(season, grafts, seen, wanted, cut),
        value=seen.mean,
        low=seen.low,
        high=seen.high,
        cost=seen.cost,
        planned=planned,
        bound=bound,
        gap=max(0.0, bound - planned) / planned if planned is not None and bound is not None and planned > 0.0 else None,
        complete=result.complete,
        stopped=result.stopped,
        held_up=_held_up(result, why),
        changes=tuple(_change_shown(season, each) for each in why.changes if _helps(each)) if why else (),
        cheap=tuple(_cheap(season, each.target, each.chance, each.wanted, each.cost) for each in why.sure) if why else (),
        own=_own(result),
        most_value=_beside_value(result, plain, wanted),
        assumed=all_assumed(season, result.assumptions),
        unused=unused_words(season, grafts, result.rows),
        first=first,
        facts=season.state,
        year_words=year_words(season.facts.season, season.facts.nursery),
    )


def _seen(season: Season, result: PlanResult, grafts: Int, seed: int) -> PlanValue:
    """What the plan brings, judged anew by the same seasons where whole sticks or fewer batches made it another one."""
    options = season.problem.options
    kinds = options.target * len(season.problem.methods) + options.method
    if np.array_equal(np.bincount(kinds, weights=grafts), np.bincount(kinds, weights=result.grafts)):
        return result.seen
    judge = int(np.random.default_rng(seed).integers(2**62))
    return evaluate_plan(season.problem, grafts, seasons=result.seen.seasons, rng=judge, assurance=result.made_from.assurance)


def _short(result: PlanResult, wanted: Float) -> list[int]:
    """Wishes that are less sure than was asked, or expect less than is wanted."""
    targets = result.made_from.problem.targets
    return np.flatnonzero((result.chance < wanted - 0.005) | (result.seen.finished < targets.wanted)).tolist()


def _bounded(plain: PlanResult | None, grafts: Int) -> tuple[float | None, float | None]:
    """Money of the plan in the seasons that plans are made from, and what no plan exceeds in them."""
    if plain is None:
        return None, None
    found = money_bound(plain, grafts)
    return found.value, max(found.bound, found.value) if np.isfinite(found.bound) else None


def _beside_value(result: PlanResult, plain: PlanResult | None, wanted: Float) -> MostValue | None:
    """Most value beside a plan that was asked to be sure."""
    if plain is None or np.isnan(wanted).all():
        return None
    bought = not result.kept_own and not np.isnan(result.made_from.assurance).all()
    return MostValue(plain.seen.mean, int(plain.grafts.sum()), tuple(plain.chance.tolist()), bought)


def rows_of(season: Season, grafts: Int, filled: Sequence[Filled], reasons: Reasons | None = None) -> tuple[ScheduleRow, ...]:
    """One row a way that is used, by week and wish, with its reasons where they are known."""
    used = sorted(np.flatnonzero(grafts).tolist(), key=lambda at: (season.ways[at].week, season.ways[at].wish, at))
    rows = (_row(season, number, at, int(grafts[at]), filled) for number, at in enumerate(used, start=1))
    return tuple(row if reasons is None else replace(row, why=reasons.of(row.option)) for row in rows)


def _row(season: Season, number: int, option: int, grafts: int, filled: Sequence[Filled]) -> ScheduleRow:
    way, options = season.ways[option], season.problem.options
    wish = season.facts.wishes[way.wish]
    return ScheduleRow(
        number=number,
        wish=wish.ident,
        name=wish.name,
        cultivar=str(wish.cultivar),
        week=way.week,
        grafts=grafts,
        method=way.method.name,
        pot=way.pot.name,
        domes=tuple(dict.fromkeys(each.dome for each in filled if option in each.grafts)),
        lot=way.lot.name if way.lot else "",
        tree=way.tree.name if way.tree else "",
        sticks=round(grafts * float(options.sticks[option]), 2),
        hours=round(grafts * float(options.hours[option]), 2),
        healing_weeks=way.healing_weeks,
        regraft=way.regraft,
        ordered=way.lot is not None and way.lot.lot is None,
        option=option,
    )


def weeks_of(season: Season, grafts: Int, filled: Sequence[Filled]) -> tuple[ScheduleWeek, ...]:
    """Every week until the last planned grafts are out of their domes."""
    names, options, hours = dome_names(season, filled), season.problem.options, season.problem.bench_hours
    last = max((each.until for each in filled), default=1)
    found = []
    for at, monday in enumerate(season.mondays[: max(last, 1)]):
        here = options.week == at
        found.append(
            ScheduleWeek(
                monday,
                monday.isocalendar().week,
                int(grafts[here].sum()),
                round(float(grafts[here] @ options.hours[here]), 2),
                float(hours[at]) if np.isfinite(hours[at]) else None,
                tuple(_standing(season, name, at, filled) for name in names),
                tuple(dict.fromkeys(way.method.name for way in season.ways if way.week == monday)),
            )
        )
    return tuple(found)


def _standing(season: Season, dome: str, week: int, filled: Sequence[Filled]) -> Standing:
    here = [each for each in filled if each.dome == dome and each.week <= week < each.until]
    kind, since, count, names, mixed = before(season, dome, season.mondays[week])
    if not here:
        age = (season.mondays[week] - since).days // 7 if since else 0
        return Standing(dome, kind, count, 0, "", since, age, names, mixed)
    first, wishes = here[0], season.facts.wishes
    kinds = tuple(dict.fromkeys(wishes[season.ways[at].wish].name for each in here for at in each.grafts))
    grafts = sum(sum(each.grafts.values()) for each in here)
    crowded = len({each.week for each in here}) > 1 or kind == "before"
    return Standing(dome, "planned", grafts, first.holds, season.pots[first.pot].name, season.mondays[first.week], week - first.week,
                    kinds, crowded)  # fmt: skip


def wishes_of(season: Season, grafts: Int, seen: PlanValue, assurance: Float, cut: Sequence[CutWish]) -> tuple[WishOutlook, ...]:
    """What becomes of each wish."""
    why = {each.target: said(each.words) for each in cut}
    made, problem = shared_out(season.facts), season.problem
    found = []
    for at, wish in enumerate(season.facts.wishes):
        asked = float(assurance[at])
        found.append(
            WishOutlook(
                wish=wish.ident, cultivar=str(wish.cultivar), name=wish.name, wanted=wish.wanted,
                grafts=int(grafts[problem.options.target == at].sum()), made=sum(made.get(at, {}).values()),
                expected=float(seen.finished[at]), low=int(seen.finished_low[at]), high=int(seen.finished_high[at]),
                chance=float(seen.chance[at]), asked=None if np.isnan(asked) else asked,
                worth=float(problem.targets.value[at]), worth_assumed=wish.worth is None, by_when=wish.by_when,
                why_cut=why.get(at, ""),
            )
        )  # fmt: skip
    return tuple(found)


def change_of(season: Season, changed: Any) -> dict[str, Any]:
    """A changed problem as the change that `try_beside` takes: what, which, how many more, in which weeks."""
    problem = season.problem
    more = changed.rooms.available - problem.rooms.available
    if more.any():
        room = int(np.flatnonzero(more.any(axis=1))[0])
        weeks = np.flatnonzero(more[room])
        return _change("trays", problem.rooms.names[room], float(more[room].max()), season, weeks)
    hours = np.nan_to_num(changed.bench_hours - problem.bench_hours)
    if hours.any():
        return _change("hours", "", float(hours.max()), season, np.flatnonzero(hours))
    for what, now, then in (
        ("stocks", problem.stocks, changed.stocks),
        ("sticks", problem.sticks, changed.sticks),
    ):
        by = then.number - now.number
        if by.any():
            at = int(np.flatnonzero(by)[0])
            return {"what": what, "which": now.names[at], "number": float(by[at])}
    return {"what": "money", "number": float(changed.budget - problem.budget)}


def _change(what: str, which: str, number: float, season: Season, weeks: Int) -> dict[str, Any]:
    first, last = season.mondays[int(weeks[0])], season.mondays[int(weeks[-1])]
    return {"what": what, "which": which, "number": number, "from": first.isoformat(), "until": last.isoformat()}


def _held_up(result: PlanResult, why: HoldsBack | None) -> tuple[HeldUp, ...]:
    if why is not None:
        return tuple(
            HeldUp(_sentence(said(each.words), end=""), each.one_more, each.one_less if np.isfinite(each.one_less) else None, each.within)
            for each in why.limits
        )
    return tuple(
        HeldUp(
            say("{limit} is worth about {price}, by its price alone, not checked.", limit=_sentence(said(each.limit.one_more), end=""),
                price=f"{each.price:,.0f}"), each.price, None, each.price,
        )
        for each in [price for price in result.prices if price.limit.kind in _THINGS and price.price >= 0.5][:3]
    )  # fmt: skip


def _change_shown(season: Season, helps: Helps) -> Change:
    ask = change_of(season, helps.problem)
    return Change(_sentence(said(helps.words)), helps.judged.money, helps.within, ask, helps.judged.score)


def _helps(helps: Helps) -> bool:
    """Whether trying it brings anything that can be told in whole money."""
    return max(helps.judged.money, helps.judged.score) >= _TELLS


def _cheap(season: Season, target: int, chance: float, wanted: float, cost: float) -> CheapWish:
    name = season.facts.wishes[target].name
    words = say(
        "{name}: from {now} to {then} would cost about {cost}.", name=name, now=percent(chance), then=percent(wanted), cost=f"{cost:,.0f}"
    )
    return CheapWish(name, words)


def _own(result: PlanResult) -> Beside | None:
    if result.own is None:
        return None
    return Beside(say("Your own plan"), result.own.mean, result.own.score - result.seen.score, 0, tuple(result.own.chance.tolist()),
                  tuple(said(each) for each in result.own_broken), result.kept_own)  # fmt: skip


def _sentence(words: str, end: str = ".") -> str:
    return f"{words[0].upper()}{words[1:]}{end}" if words else ""
