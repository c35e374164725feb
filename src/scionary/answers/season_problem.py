"""A season of the book as the plan's engine has it: wishes, ways, room, stocks, sticks, hours, and the luck of seasons to come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from math import ceil, inf
from statistics import NormalDist
from uuid import UUID

import numpy as np
import numpy.typing as npt

from scionary.answers.rates import coming_draws, usual_stage
from scionary.answers.season_facts import HEALING_DAYS, SeasonFacts, WishFact
from scionary.answers.season_room import Room, engine_rooms, rooms_of
from scionary.answers.season_state import content_of, state_of
from scionary.answers.season_ways import Lot, Way, lots_of, ways_of
from scionary.answers.season_windows import Windows, windows_of
from scionary.answers.stock_supplier import price_of, ready_on, suppliers_of
from scionary.book.models import Method, MotherTree, PotKind, StockOffer
from scionary.errors import Refused
from scionary.language import mark, say
from scionary.plan import Already, Options, PlanProblem, Pots, Sticks, Stocks, Targets
from scionary.plan.wanted import NEVER

SEASONS, JUDGING, MOST_CELLS = 150, 1_000, 8_000_000
MOST_WISHES = 500  # project default, unsourced: a plan of more takes too long to wait for
ENOUGH_STOCKS = 100_000  # where stocks were never counted or are ordered: they do not limit
WEEK = mark("week {number} ({day}.{month}.)")
Floats = npt.NDArray[np.float64]


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
    luck = _Luck.of(facts, ways, stage, seed)
    methods = list({way.method.pk: way.method for way in ways}.values())
    problem = PlanProblem(
        targets=_targets(facts),
        options=_options(facts, windows, mondays, ways, pots, methods, lots, suppliers),
        rooms=engine_rooms(rooms, _figure(facts, "tray_cost")),
        takes=luck.takes,
        weeks=tuple(week_name(monday) for monday in mondays),
        survival=np.array([_survival(facts, way.wish) for way in ways]),
        pots=Pots(tuple(pot.name for pot in pots)),
        stocks=_stocks(facts, lots, methods, pots, mondays, suppliers),
        sticks=_sticks(facts),
        bench_hours=inf if facts.nursery.bench_hours_a_week is None else float(facts.nursery.bench_hours_a_week),
        budget=inf if facts.figures["budget"] is None else float(facts.figures["budget"]),
        methods=tuple(method.name for method in methods),
        already=luck.already,
        fresh_takes=luck.fresh,
        regraft_share=_figure(facts, "regraft_share") / 100,
    )
    return Season(facts, problem, mondays, tuple(rooms), tuple(ways), tuple(lots), tuple(pots), windows, stage, suppliers)


def too_many_words(count: int) -> str:
    return say("{count} wishes are more than one plan takes; at most {most} are.", count=count, most=MOST_WISHES)


def week_name(monday: date) -> str:
    """Week 31 (2.8.)."""
    return say(WEEK, number=monday.isocalendar().week, day=monday.day, month=monday.month)


def _figure(facts: SeasonFacts, name: str) -> float:
    return float(facts.figures[name] or 0.0)


def _mondays(facts: SeasonFacts, ways: Sequence[Way]) -> tuple[date, ...]:
    """Every week from the first that can be planned until the last grafts are out of their domes."""
    last = max(way.week + timedelta(days=7 * way.healing_weeks) for way in ways)
    return tuple(facts.first_monday + timedelta(days=7 * at) for at in range((last - facts.first_monday).days // 7 + 1))


def _survival(facts: SeasonFacts, wish: int) -> float:
    known = facts.wishes[wish].survival
    return 1.0 if known is None else known


def _targets(facts: SeasonFacts) -> Targets:
    wishes = facts.wishes
    value = [_figure(facts, "worth") if wish.worth is None else wish.worth for wish in wishes]
    return Targets(
        names=tuple(wish.name for wish in wishes),
        wanted=np.array([wish.wanted for wish in wishes]),
        value=np.array(value),
        penalty=_figure(facts, "penalty"),
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
    tree_at = {tree.pk: at for at, tree in enumerate(_counted_trees(facts))}
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
        cost=np.array([_figure(facts, "graft_cost") + _bought(facts, way.lot, suppliers) for way in ways]),
        last_safe_week=np.array([_last_safe(windows, mondays, way) for way in ways]),
        latest_week=np.array([_latest(facts.wishes[way.wish], mondays, way) for way in ways]),
        regraft=np.array([way.regraft for way in ways]),
    )


def _bought(facts: SeasonFacts, lot: Lot | None, suppliers: dict[str, StockOffer]) -> float:
    """What a stock costs that has to be ordered."""
    if lot is None or lot.lot is not None:
        return 0.0
    return price_of(suppliers[lot.name]) if lot.name in suppliers else _figure(facts, "stock_price")


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


def _stocks(
    facts: SeasonFacts, lots: Sequence[Lot], methods: Sequence[Method], pots: Sequence[PotKind], mondays: Sequence[date],
    suppliers: dict[str, StockOffer],
) -> Stocks:  # fmt: skip
    if not lots:
        return Stocks()
    failed = [sum(g.lot == lot.lot.pk and g.alive is False and not g.replaced for g in facts.made) if lot.lot else 0 for lot in lots]
    small = facts.figures["outgrown_weeks"]
    outgrown = [[float(small) if small is not None and (pot.litres or 1.0) < 1.0 else inf for pot in pots] for _ in lots]
    return Stocks(
        names=tuple(lot.name for lot in lots),
        number=np.array([ENOUGH_STOCKS if lot.number is None else max(lot.number, 0) for lot in lots], dtype=float),
        arrival_week=np.array([_arrival(facts, lot, mondays, suppliers) for lot in lots]),
        usable_share=np.array([[_usable(facts, lot, method) for method in methods] for lot in lots]),
        outgrown_weeks=np.array(outgrown),
        failed=np.array(failed, dtype=float) * _figure(facts, "regraft_share") / 100,
    )


def _arrival(facts: SeasonFacts, lot: Lot, mondays: Sequence[date], suppliers: dict[str, StockOffer]) -> int:
    """The week from which stocks can be grafted: when they have come and settled; a lot that was grafted on already has."""
    if lot.lot is not None:
        came = lot.lot.arrived_on
        if came is None or any(graft.lot == lot.lot.pk for graft in facts.made):
            return -1
        return max(-1, ceil((came - mondays[0]).days / 7 + _figure(facts, "settling_weeks")))
    lead = suppliers[lot.name].lead_weeks if lot.name in suppliers else _figure(facts, "lead_weeks")
    return max(0, ceil((ready_on(facts, lead) - mondays[0]).days / 7))


def _usable(facts: SeasonFacts, lot: Lot, method: Method) -> float:
    """The share of a lot whose stems are inside the method's window of thickness; all, where neither is written down."""
    usual = lot.lot.diameter_mm if lot.lot else None
    if usual is None or (method.stock_low_mm is None and method.stock_high_mm is None):
        return 1.0
    spread = NormalDist(usual, usual * max(_figure(facts, "thickness_spread"), 0.1) / 100)
    low = 0.0 if method.stock_low_mm is None else spread.cdf(method.stock_low_mm)
    high = 1.0 if method.stock_high_mm is None else spread.cdf(method.stock_high_mm)
    return max(high - low, 0.0)


def _counted_trees(facts: SeasonFacts) -> list[MotherTree]:
    return [tree for tree in facts.trees if tree.sticks_a_season is not None]


def _sticks(facts: SeasonFacts) -> Sticks:
    """Sticks that each mother tree still gives this year, where that is written down."""
    trees, each = _counted_trees(facts), {method.pk: 1 / method.grafts_a_stick for method in facts.methods}
    used = {tree.pk: ceil(sum((each.get(g.method, 0.5) if g.method else 0.5) for g in facts.made if g.tree == tree.pk)) for tree in trees}
    return Sticks(
        tuple(tree.name for tree in trees),
        np.array([max(int(tree.sticks_a_season or 0) - used[tree.pk], 0) for tree in trees], dtype=float),
    )


@dataclass(frozen=True)
class _Luck:
    """Chances of take of each way in seasons to come, and of the grafts that are made."""

    takes: Floats
    fresh: Floats
    already: Already | None

    @classmethod
    def of(cls, facts: SeasonFacts, ways: Sequence[Way], stage: str, seed: int) -> _Luck:
        """All ways share the luck of one season within a row; rows are drawn by the seed."""
        kinds = list(dict.fromkeys((way.wish, way.method.pk) for way in ways))
        made = [(at, None) for at in range(len(facts.wishes))]
        columns = [*kinds, *made]
        cultivars = [facts.wishes[at].cultivar for at, _ in columns]
        fillings = [max(1, ceil(facts.wishes[at].wanted / 10)) for at, _ in columns]
        known = {method.pk for method in facts.methods}
        draws, _ = coming_draws(stage, cultivars, fillings=fillings, methods=[m if m in known else None for _, m in columns])
        row = np.random.default_rng(seed).permutation(len(draws))
        most = max(SEASONS, min(JUDGING, MOST_CELLS // max(len(ways), 1), len(draws) - SEASONS))
        seen, fresh = draws[row[:SEASONS]], draws[row[SEASONS : SEASONS + most]]
        place = {kind: at for at, kind in enumerate(kinds)}
        way_at = np.array([place[way.wish, way.method.pk] for way in ways])
        return cls(seen[:, way_at], fresh[:, way_at], _already(facts, seen[:, len(kinds) :], fresh[:, len(kinds) :]))


def _already(facts: SeasonFacts, seen: Floats, fresh: Floats) -> Already | None:
    """Grafts made this year, by wish: those seen in leaf took, those lost are left out, the rest have the chance of coming ones."""
    rows: list[tuple[int, int, bool]] = []
    for at, known in shared_out(facts).items():
        rows += [(at, count, alive) for alive, count in known.items() if count]
    if not rows:
        return None
    target = np.array([row[0] for row in rows])
    sure = np.array([row[2] for row in rows])
    return Already(
        target,
        np.array([row[1] for row in rows], dtype=float),
        np.where(sure, 1.0, seen[:, target]),
        np.array([_survival(facts, at) for at in target.tolist()]),
        np.where(sure, 1.0, fresh[:, target]),
    )


def shared_out(facts: SeasonFacts) -> dict[int, dict[bool, int]]:
    """Grafts made and not lost, by wish and by whether they are seen in leaf; two wishes of one cultivar share them by what they want."""
    found: dict[int, dict[bool, int]] = {}
    by_cultivar: dict[UUID, list[int]] = {}
    for at, wish in enumerate(facts.wishes):
        by_cultivar.setdefault(wish.cultivar, []).append(at)
    for cultivar, places in by_cultivar.items():
        for alive in (True, False):
            count = sum(g.cultivar == cultivar and g.alive is (True if alive else None) for g in facts.made)
            wanted = sum(facts.wishes[at].wanted for at in places)
            for at in places:
                part = count if at == places[-1] else min(count, round(count * facts.wishes[at].wanted / max(wanted, 1)))
                found.setdefault(at, {})[alive] = part
                count, wanted = count - part, wanted - facts.wishes[at].wanted
    return found


def healing_days(method: Method | None) -> int:
    return method.closed_days + method.hardening_days if method else HEALING_DAYS
