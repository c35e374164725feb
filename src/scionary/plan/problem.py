"""A season to plan: wishes, ways, supplies and scenarios in one record."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.language import Told
from scionary.plan.arrays import column, indices, table
from scionary.plan.supply import Pots, Rooms, Sticks, Stocks
from scionary.plan.wanted import Already, Options, Targets, put
from scionary.units import Float, refuse_where

RARE_SHARE = 2.0 / 3.0  # project default, unsourced: largest part of a rare kind's grafts in one week
REGRAFT_QUANTILE = 0.1  # project default, unsourced: failures counted on in nine seasons of ten
ASSURANCE_WEIGHT = 3.0  # project default, unsourced: a plant missing in the worst seasons against one missing on average
MOST_OPTIONS, MOST_CELLS = 200_000, 60_000_000


@dataclass(frozen=True)
class PlanProblem:
    """Everything that a season's plan is made from; weeks are counted from 0 and named in `weeks`.

    Attributes
    ----------
    targets : Targets
        What is wanted.
    options : Options
        Ways to make each graft.
    rooms : Rooms
        Trays with domes by week.
    takes : ndarray
        Chance of take of each option in each season, all seasons equally likely, with shocks shared inside a season, shape
        (seasons, options), 0 to 1. One or two hundred seasons are enough.
    weeks : tuple of str
        What the person calls each week, in order, shape (weeks,); they may run over the turn of a year.
    survival : ndarray
        Share of takes that become finished plants, one an option, 0 to 1.
    pots : Pots
        Kinds of pot.
    stocks : Stocks
        Lots of rootstocks.
    sticks : Sticks
        Scion wood by mother tree and window.
    bench_hours : ndarray
        Hours at the bench in each week, shape (weeks,); infinite where they do not limit.
    budget : float
        Money that may be spent; infinite where it does not limit.
    methods : tuple of str
        Names of the methods.
    already : Already, optional
        Grafts that are made.
    from_week : int
        First week that can still be planned.
    fresh_takes : ndarray, optional
        Chances of take in seasons that the plan is not made from but judged by, shape (fresh seasons, options). Without them the plan
        is judged by its own seasons with new luck for each graft.
    rare_share : float
        Largest part of a rare kind's grafts in one week, from 0.5 to 1.
    regraft_quantile : float
        A stock counts as free for another graft only as often as failures reach it in all but this share of seasons.
    regraft_share : float
        Share of failed stocks that can be grafted again.
    """

    targets: Targets
    options: Options
    rooms: Rooms
    takes: Any = field(repr=False)
    weeks: tuple[str, ...] = ("the week",)
    survival: Any = 1.0
    pots: Pots = field(default_factory=Pots)
    stocks: Stocks = field(default_factory=Stocks)
    sticks: Sticks = field(default_factory=Sticks)
    bench_hours: Any = np.inf
    budget: float = float("inf")
    methods: tuple[str, ...] = ("graft",)
    already: Already | None = None
    from_week: int = 0
    fresh_takes: Any = field(default=None, repr=False)
    rare_share: float = RARE_SHARE
    regraft_quantile: float = REGRAFT_QUANTILE
    regraft_share: float = 1.0

    def __post_init__(self) -> None:
        """Bring tables to their shapes and refuse what does not fit together, naming field and row."""
        put(self, "weeks", tuple(self.weeks))
        put(self, "methods", tuple(self.methods))
        count, weeks = len(self.options), len(self.weeks)
        if not self.targets.names or not count or not weeks:
            raise BadValue("problem", "empty", "at least one wish, one way to make it and one week")
        if count > MOST_OPTIONS:
            raise BadValue("options", count, f"at most {MOST_OPTIONS:,} ways; leave out wishes, weeks or pots")
        _refuse_doubles("targets.names", self.targets.names)
        self._check_places(weeks)
        put(self, "takes", table("takes", self.takes, (None, count), low=0.0, high=1.0))
        if self.takes.size > MOST_CELLS:
            raise BadValue("takes", f"{self.takes.size:,} numbers", f"at most {MOST_CELLS:,}: fewer seasons or fewer ways")
        put(self, "survival", column("survival", self.survival, count, low=0.0, high=1.0))
        put(self, "bench_hours", column("bench_hours", self.bench_hours, weeks, low=0.0, high=np.inf))
        self._spread_tables(weeks)
        self._check_judging(count)
        self._check_money()

    def _check_places(self, weeks: int) -> None:
        """Every index points at something."""
        options, targets = self.options, len(self.targets.names)
        for name, below, what in (
            ("target", targets, f"the {targets} wishes"),
            ("week", weeks, f"the {weeks} weeks of this season, {self.weeks[0]} to {self.weeks[-1]}"),
            ("pot", len(self.pots.names), "the kinds of pot"),
            ("method", len(self.methods), "the methods"),
            ("mother_tree", len(self.sticks.names), "the supplies of sticks"),
            ("stock_lot", len(self.stocks.names), "the lots of stocks"),
        ):
            numbers = getattr(options, name)
            refuse_where(numbers >= below, f"options.{name}", numbers.astype(float), f"below {below}: {what}")
        if self.already is not None:
            indices("already.target", self.already.target, len(self.already.target), least=0, below=targets)
        indices("from_week", [self.from_week], 1, least=0, below=weeks + 1)

    def _spread_tables(self, weeks: int) -> None:
        """Bring tables that need the weeks, methods and pots to their shapes."""
        rooms, lots = len(self.rooms.names), len(self.stocks.names)
        kinds, methods = len(self.pots.names), len(self.methods)
        available = table("rooms.available", self.rooms.available, (rooms, weeks), low=0.0)
        holds = table("rooms.holds", self.rooms.holds, (rooms, kinds), low=0.0)
        put(self, "rooms", replace(self.rooms, available=available, holds=holds))
        share = table("stocks.usable_share", self.stocks.usable_share, (lots, methods), low=0.0, high=1.0)
        outgrown = table("stocks.outgrown_weeks", self.stocks.outgrown_weeks, (lots, kinds), low=0.0, high=np.inf)
        largest = share.max(axis=1, initial=0.0)
        by_any = np.where(np.isnan(self.stocks.usable_by_any), largest, self.stocks.usable_by_any)
        refuse_where(by_any < largest - 1e-9, "stocks.usable_by_any", by_any, "at least the share that each method can use")
        put(self, "stocks", replace(self.stocks, usable_share=share, outgrown_weeks=outgrown, usable_by_any=by_any))

    def _check_judging(self, count: int) -> None:
        """Seasons of all kinds have one length."""
        if self.fresh_takes is not None:
            put(self, "fresh_takes", table("fresh_takes", self.fresh_takes, (None, count), low=0.0, high=1.0))
        if self.already is None:
            return
        if len(self.already.takes) != len(self.takes):
            raise BadValue(
                "already.takes", f"{len(self.already.takes)} seasons", f"the {len(self.takes)} seasons of `takes`, in the same order"
            )
        fresh = self.already.fresh_takes
        if self.fresh_takes is not None and (fresh is None or len(fresh) != len(self.fresh_takes)):
            raise BadValue("already.fresh_takes", "missing or of another length", f"the {len(self.fresh_takes)} seasons of `fresh_takes`")

    def _check_money(self) -> None:
        """Money and shares lie where the model is one."""
        if not self.budget >= 0.0:
            raise BadValue("budget", self.budget, "0 or more, or infinite where money does not limit")
        for name, low, high in (("rare_share", 0.5, 1.0), ("regraft_quantile", 0.0, 0.5), ("regraft_share", 0.0, 1.0)):
            if not low <= getattr(self, name) <= high:
                raise BadValue(name, getattr(self, name), f"{low:g} to {high:g}")
        wrong = self.targets.shortfall_cost < 0.0
        refuse_where(
            wrong, "targets.salvage", self.targets.salvage, "at most value and penalty together: one too many never beats one wanted"
        )
        wrong = self.options.least > self.options.most
        refuse_where(wrong, "options.least", self.options.least, "at most `options.most`")

    @property
    def finished(self) -> Float:
        """Chance that a graft becomes a finished plant in each season, shape (seasons, options)."""
        finished: Float = self.takes * self.survival
        return finished

    def option_words(self, option: int) -> str:
        """Say one option: wish, week, pot and method.

        Parameters
        ----------
        option : int
            Its index.

        Returns
        -------
        str
            ``Red Tarn in week 9, 9 cm pot, side veneer``.
        """
        at = self.options
        name, week = self.targets.names[at.target[option]], self.weeks[at.week[option]]
        pot, method = self.pots.names[at.pot[option]], self.methods[at.method[option]]
        return Told("{name} in {week}, {pot}, {method}", name=name, week=week, pot=pot, method=method)


def _refuse_doubles(name: str, names: tuple[str, ...]) -> None:
    seen: set[str] = set()
    for place, each in enumerate(names):
        if each in seen:
            raise BadValue(name, each, "names of which no two are alike", index=place)
        seen.add(each)
