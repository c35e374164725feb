"""A season of the book as the plan's engine has it: wishes, ways, room, stocks, sticks, hours, and the luck of seasons to come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from math import inf

import numpy as np

from scionary.answers.rates import usual_stage
from scionary.answers.season_facts import HEALING_DAYS, SeasonFacts, WishFact
from scionary.answers.season_luck import Luck, survival_of
from scionary.answers.season_room import Room, engine_rooms, rooms_of
from scionary.answers.season_state import content_of, state_of
from scionary.answers.season_stocks import bought, counted_trees, figure, sticks_of, stocks_of
from scionary.answers.season_ways import Lot, Way, lots_of, ways_of
from scionary.answers.season_windows import Windows, windows_of
from scionary.answers.stock_supplier import suppliers_of
from scionary.book.models import Method, PotKind, StockOffer
from scionary.errors import Refused
from scionary.language import mark, say
from scionary.plan import Options, PlanProblem, Pots, Targets
from scionary.plan.wanted import NEVER

MOST_WISHES = 500  # project default, unsourced: a plan of more takes too long to wait for
WEEK = mark("week {number} ({day}.{month}.)")


@dataclass(frozen=True)
class Season:
    """A season to plan, with what each index of the engine's problem means."""

    facts: SeasonFacts
    problem: PlanProblem
    mondays: tuple[date, ...]
    rooms: tuple[Room, ...]
    ways: tuple[Way, ...]
    lots: tuple[Lot, ...]
    pots: tuple[PotKind, ...]
    windows: Windows
    stage: str
    suppliers: dict[str, StockOffer]

    @cached_property
    def content(self) -> str:
        """A hash of all that the engine is given: the same season gives the same plan."""
        return content_of(self.problem)

    @cached_property
    def state(self) -> str:
        """The same without words, which come in the reader's language."""
        return state_of(self.problem)


def season_problem(facts: SeasonFacts, *, seed: int) -> Season:
    """Put it together; refuses where there is nothing to plan or no week to plan it in."""
    if not facts.wishes:
        raise Refused(say("there is no wish to plan for in the growing year {season}.", season=facts.season), where="plan",
                      remedy=say("Add one, 20 Red Tarn, or plan another growing year."))  # fmt: skip
    if len(facts.wishes) > MOST_WISHES:
        raise Refused(too_many_words(len(facts.wishes)), where="plan", remedy=say("Make one wish of those for the same cultivar."))
    windows, lots = windows_of(facts), lots_of(facts)
    ways = ways_of(facts, windows, lots)
    if not ways:
        raise Refused(
            say("no week of the growing year {season} is left in which any of this can be grafted.", season=facts.season),
            where="plan", remedy=say("Plan the next growing year, or move the windows."),
        )  # fmt: skip
    mondays = _mondays(facts, ways)
    pots = list({way.pot.pk: way.pot for way in ways}.values())
    rooms = rooms_of(facts, mondays, pots)
    stage, suppliers = usual_stage(), suppliers_of(facts, lots, ways)
    luck = Luck.of(facts, ways, stage, seed)
    methods = list({way.method.pk: way.method for way in ways}.values())
    problem = PlanProblem(
        targets=_targets(facts),
        options=_options(facts, windows, mondays, ways, pots, methods, lots, suppliers),
        rooms=engine_rooms(rooms, figure(facts, "tray_cost")),
        takes=luck.takes,
        weeks=tuple(week_name(monday) for monday in mondays),
        survival=np.array([survival_of(facts, way.wish) for way in ways]),
        pots=Pots(tuple(pot.name for pot in pots)),
        stocks=stocks_of(facts, lots, methods, pots, mondays, suppliers),
        sticks=sticks_of(facts),
        bench_hours=inf if facts.nursery.bench_hours_a_week is None else float(facts.nursery.bench_hours_a_week),
        budget=inf if facts.figures["budget"] is None else float(facts.figures["budget"]),
        methods=tuple(method.name for method in methods),
        already=luck.already,
        fresh_takes=luck.fresh,
        regraft_share=figure(facts, "regraft_share") / 100,
    )
    return Season(facts, problem, mondays, tuple(rooms), tuple(ways), tuple(lots), tuple(pots), windows, stage, suppliers)


def too_many_words(count: int) -> str:
    return say("{count} wishes are more than one plan takes; at most {most} are.", count=count, most=MOST_WISHES)


def week_name(monday: date) -> str:
    """Week 31 (2.8.)."""
    return say(WEEK, number=monday.isocalendar().week, day=monday.day, month=monday.month)


def _mondays(facts: SeasonFacts, ways: Sequence[Way]) -> tuple[date, ...]:
    """Every week from the first that can be planned until the last grafts are out of their domes."""
    last = max(way.week + timedelta(days=7 * way.healing_weeks) for way in ways)
    return tuple(facts.first_monday + timedelta(days=7 * at) for at in range((last - facts.first_monday).days // 7 + 1))


def _targets(facts: SeasonFacts) -> Targets:
    wishes = facts.wishes
    value = [figure(facts, "worth") if wish.worth is None else wish.worth for wish in wishes]
    return Targets(
        names=tuple(wish.name for wish in wishes),
        wanted=np.array([wish.wanted for wish in wishes]),
        value=np.array(value),
        penalty=figure(facts, "penalty"),
        assurance=np.array([wish.assurance for wish in wishes]),
        rare=np.array([wish.rare for wish in wishes]),
    )


def _options(
    facts: SeasonFacts, windows: Windows, mondays: Sequence[date], ways: Sequence[Way], pots: Sequence[PotKind],
    methods: Sequence[Method], lots: Sequence[Lot], suppliers: dict[str, StockOffer],
) -> Options:  # fmt: skip
    week_at = {monday: at for at, monday in enumerate(mondays)}
    pot_at, method_at = {pot.pk: at for at, pot in enumerate(pots)}, {method.pk: at for at, method in enumerate(methods)}
    lot_at = {lot.name: at for at, lot in enumerate(lots)}
    tree_at = {tree.pk: at for at, tree in enumerate(counted_trees(facts))}
    return Options(
        target=np.array([way.wish for way in ways]),
        week=np.array([week_at[way.week] for way in ways]),
        pot=np.array([pot_at[way.pot.pk] for way in ways]),
        method=np.array([method_at[way.method.pk] for way in ways]),
        mother_tree=np.array([tree_at.get(way.tree.pk, -1) if way.tree else -1 for way in ways]),
        stock_lot=np.array([lot_at[way.lot.name] if way.lot else -1 for way in ways]),
        healing_weeks=np.array([way.healing_weeks for way in ways]),
        hours=np.array([way.method.minutes_a_graft / 60 for way in ways]),
        sticks=np.array([1 / way.method.grafts_a_stick for way in ways]),
        cost=np.array([figure(facts, "graft_cost") + bought(facts, way.lot, suppliers) for way in ways]),
        last_safe_week=np.array([_last_safe(windows, mondays, way) for way in ways]),
        latest_week=np.array([_latest(facts.wishes[way.wish], mondays, way) for way in ways]),
        regraft=np.array([way.regraft for way in ways]),
    )


def _latest(wish: WishFact, mondays: Sequence[date], way: Way) -> int:
    """The last week whose grafts are out of their dome by the day that the wish names."""
    if wish.by_when is None:
        return NEVER
    return sum(monday + timedelta(days=7 * way.healing_weeks) <= wish.by_when for monday in mondays) - 1


def _last_safe(windows: Windows, mondays: Sequence[date], way: Way) -> int:
    """Of methods in leaf: the last week whose grafts are hardened before frost."""
    if not way.method.leafy:
        return NEVER
    days = way.method.closed_days + way.method.hardening_days
    return sum(monday + timedelta(days=days) <= windows.frost for monday in mondays) - 1


def healing_days(method: Method | None) -> int:
    return method.closed_days + method.hardening_days if method else HEALING_DAYS
