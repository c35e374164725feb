"""The season's limits written down as rows, each with the words that a grower uses for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from scionary.language import Told
from scionary.plan.closing import closing_reasons
from scionary.plan.fillings import Group, groups_of, most_trays, possible_fillings, spread_over_trays, weeks_of
from scionary.plan.limits import Fillings, Limit, LimitKind, LimitRows, amount_words
from scionary.plan.problem import PlanProblem
from scionary.plan.wanted import Bool, Int
from scionary.units import Float

Terms = list[tuple[Int, Float]]


def limit_rows(problem: PlanProblem) -> LimitRows:
    """Write down every limit of a season.

    Parameters
    ----------
    problem : PlanProblem
        The season.

    Returns
    -------
    LimitRows
        Rows, bounds of columns, costs a unit (money, without what finished plants bring), and words.
    """
    from scipy.sparse import csr_array

    closed = closing_reasons(problem)
    is_open = np.array([not reason for reason in closed])
    fillings, groups = possible_fillings(problem, is_open)
    switched = [(target, group) for target in spread_over_trays(problem, is_open) for group in groups_of(problem, is_open, groups, target)]
    options, pots = len(problem.options), len(problem.pots.names)
    starts = np.cumsum([0, options, len(fillings), pots, len(switched)])
    most = np.concatenate([np.where(is_open, problem.options.most, 0.0), np.full(len(fillings) + pots, np.inf), np.ones(len(switched))])
    least = np.concatenate([problem.options.least, np.zeros(int(starts[4] - options))])
    cost = np.concatenate([problem.options.cost, problem.rooms.cost[fillings.room], problem.pots.price, np.zeros(len(switched))])
    whole = np.ones(len(cost), dtype=bool)
    whole[starts[2] : starts[3]] = False
    writer = LimitWriter(problem, fillings, groups, is_open, starts, switched)
    rows = list(writer.rows())
    sizes = [sum(len(at) for at, _ in terms) for _, _, _, terms in rows]
    at = np.concatenate([at for *_, terms in rows for at, _ in terms]) if rows else np.zeros(0, dtype=np.int64)
    by = np.concatenate([by for *_, terms in rows for _, by in terms]) if rows else np.zeros(0)
    matrix = csr_array((by, (np.repeat(np.arange(len(rows)), sizes), at)), shape=(len(rows), len(cost)))
    lower, upper = np.array([row[1] for row in rows], dtype=np.float64), np.array([row[2] for row in rows], dtype=np.float64)
    return LimitRows(fillings, matrix, lower, upper, tuple(row[0] for row in rows), least, most, cost, whole, len(switched), closed)


@dataclass(frozen=True)
class LimitWriter:
    """Writes the rows, family by family: limit, lower, upper, terms."""

    problem: PlanProblem
    fillings: Fillings
    groups: dict[Group, Int]
    is_open: Bool
    starts: Int
    switched: list[tuple[int, Group]]

    def rows(self) -> Iterator[tuple[Limit, float, float, Terms]]:
        """Every row that can bind."""
        yield from self._places()
        yield from self._trays()
        yield from self._bench()
        yield from self._sticks()
        yield from self._stocks()
        yield from self._regrafts()
        yield from self._money()
        yield from self._spreading()
        yield from self._at_least()

    def _open(self, wanted: Bool) -> Int:
        return np.flatnonzero(wanted & self.is_open)

    def _in_group(self, group: Group) -> Bool:
        options = self.problem.options
        inside: Bool = (options.week == group[0]) & (options.pot == group[1]) & (options.healing_weeks == group[2])
        return inside

    def _places(self) -> Iterator[tuple[Limit, float, float, Terms]]:
        for group, fillings in self.groups.items():
            options = self._open(self._in_group(group))
            where = Told("{what} in {week}", what=self.problem.pots.names[group[1]], week=self.problem.weeks[group[0]])
            limit = Limit(
                LimitKind.PLACES,
                group[1],
                group[0],
                Told("places for {where}", where=where),
                Told("one more place for {where}", where=where),
                0.0,
            )
            yield limit, -np.inf, 0.0, [(options, np.ones(len(options))), (self.starts[1] + fillings, -self.fillings.holds[fillings])]

    def _trays(self) -> Iterator[tuple[Limit, float, float, Terms]]:
        rooms = self.problem.rooms
        for room, name in enumerate(rooms.names):
            for week, called in enumerate(self.problem.weeks):
                there = float(np.floor(rooms.available[room, week]))
                standing = np.flatnonzero((self.fillings.room == room) & self.fillings.stands(week))
                if len(standing):
                    words = Told("{number} × {what} in {week}", number=amount_words(there), what=name, week=called)
                    limit = Limit(LimitKind.TRAYS, room, week, words, Told("one more {what} in {week}", what=name, week=called), there)
                    yield limit, -np.inf, there, [(self.starts[1] + standing, np.ones(len(standing)))]

    def _bench(self) -> Iterator[tuple[Limit, float, float, Terms]]:
        for week in np.flatnonzero(np.isfinite(self.problem.bench_hours)).tolist():
            options = self._open(self.problem.options.week == week)
            hours, called = float(self.problem.bench_hours[week]), self.problem.weeks[week]
            if len(options):
                words = Told("{hours} hours at the bench in {week}", hours=amount_words(hours), week=called)
                limit = Limit(LimitKind.BENCH, week, week, words, Told("one more hour at the bench in {week}", week=called), hours)
                yield limit, -np.inf, hours, [(options, self.problem.options.hours[options])]

    def _sticks(self) -> Iterator[tuple[Limit, float, float, Terms]]:
        for supply, name in enumerate(self.problem.sticks.names):
            options = self._open(self.problem.options.mother_tree == supply)
            number = float(self.problem.sticks.number[supply])
            if len(options):
                words = Told("{number} sticks of {name}", number=amount_words(number), name=name)
                limit = Limit(LimitKind.STICKS, supply, -1, words, Told("one more stick of {name}", name=name), number)
                yield limit, -np.inf, number, [(options, self.problem.options.sticks[options])]

    def _stocks(self) -> Iterator[tuple[Limit, float, float, Terms]]:
        stocks, options = self.problem.stocks, self.problem.options
        for lot, name in enumerate(stocks.names):
            first = (options.stock_lot == lot) & ~options.regraft
            number = float(np.floor(stocks.number[lot] * stocks.usable_by_any[lot] + 1e-9))
            at = self._open(first)
            if len(at):
                words = Told("{number} usable stocks of {name}", number=amount_words(number), name=name)
                limit = Limit(LimitKind.STOCKS, lot, -1, words, Told("one more usable stock of {name}", name=name), number)
                yield limit, -np.inf, number, [(at, np.ones(len(at)))]
            for method in np.unique(options.method[at]).tolist() if len(at) else []:
                fits = float(np.floor(stocks.number[lot] * stocks.usable_share[lot, method] + 1e-9))
                if fits < number:
                    mine = self._open(first & (options.method == method))
                    by = self.problem.methods[method]
                    words = Told("{number} stocks of {name} of the thickness for {method}", number=amount_words(fits), name=name, method=by)
                    one_more = Told("one more stock of {name} of the thickness for {method}", name=name, method=by)
                    yield Limit(LimitKind.THICKNESS, lot, -1, words, one_more, fits), -np.inf, fits, [(mine, np.ones(len(mine)))]

    def _regrafts(self) -> Iterator[tuple[Limit, float, float, Terms]]:
        """Stocks free for another graft by each week: failures of grafts that are out of their dome by then, at a low quantile."""
        problem, options = self.problem, self.problem.options
        failing = problem.regraft_share * np.quantile(1.0 - problem.takes, problem.regraft_quantile, axis=0)
        for lot in np.unique(options.stock_lot[options.regraft & self.is_open]).tolist():
            again = options.regraft & (options.stock_lot == lot)
            for week in np.unique(options.week[self._open(again)]).tolist():
                later = self._open(again & (options.week <= week))
                known = self._open((options.stock_lot == lot) & ~options.regraft & (options.week + options.healing_weeks <= week))
                name = problem.stocks.names[lot] if lot >= 0 else Told("other stocks")
                free = float(problem.stocks.failed[lot]) if lot >= 0 else 0.0
                words = Told("failed stocks of {name} free by {week}", name=name, week=problem.weeks[week])
                limit = Limit(LimitKind.REGRAFT, lot, week, words, Told("one more of the {what}", what=words), free)
                yield limit, -np.inf, free, [(later, np.ones(len(later))), (known, -failing[known])]

    def _money(self) -> Iterator[tuple[Limit, float, float, Terms]]:
        problem, every = self.problem, np.flatnonzero(self.is_open)
        bought = self.starts[2] + np.arange(len(problem.pots.names))
        for kind in np.flatnonzero(problem.pots.price > 0.0).tolist():
            options, owned = self._open(problem.options.pot == kind), float(problem.pots.owned[kind])
            if len(options):
                name = problem.pots.names[kind]
                words = Told("{number} {name} at hand", number=amount_words(owned), name=name)
                limit = Limit(LimitKind.POTS, kind, -1, words, Told("one more {name} at hand", name=name), owned)
                yield limit, -np.inf, owned, [(options, np.ones(len(options))), (bought[kind : kind + 1], np.array([-1.0]))]
        if np.isfinite(problem.budget):
            filled = self.starts[1] + np.arange(len(self.fillings))
            words = Told("a budget of {money}", money=amount_words(problem.budget))
            limit = Limit(LimitKind.BUDGET, -1, -1, words, Told("one more unit of money"), problem.budget)
            terms = [(every, problem.options.cost[every]), (filled, problem.rooms.cost[self.fillings.room]), (bought, problem.pots.price)]
            yield limit, -np.inf, float(problem.budget), terms

    def _spreading(self) -> Iterator[tuple[Limit, float, float, Terms]]:
        problem, share = self.problem, self.problem.rare_share
        by_tray = {target for target, _ in self.switched}
        for target in np.flatnonzero(problem.targets.rare).tolist():
            mine = problem.options.target == target
            name = problem.targets.names[target]
            limit = Limit(LimitKind.SPREAD, target, -1, Told("{name} is rare: never all in one week or tray", name=name), "", 0.0)
            for week in [] if target in by_tray else weeks_of(problem, self.is_open, target).tolist():
                every = self._open(mine)
                here = problem.options.week[every] == week
                yield limit, -np.inf, 1.0 - share, [(every, here - share)]
        for place, (target, group) in enumerate(self.switched):
            switch, one = self.starts[3] + np.array([place]), np.ones(1)
            at, fillings = self._open((problem.options.target == target) & self._in_group(group)), self.groups[group]
            words = Told("{name} is rare: never all in one tray", name=problem.targets.names[target])
            limit = Limit(LimitKind.SPREAD, target, group[0], words, "", 0.0)
            room = float((self.fillings.holds[fillings] * most_trays(problem, self.fillings)[fillings]).sum())
            yield limit, -np.inf, 1.0, [(at, np.ones(len(at))), (switch, -room * one)]
            yield limit, -np.inf, 0.0, [(switch, 2.0 * one), (self.starts[1] + fillings, -np.ones(len(fillings)))]

    def _at_least(self) -> Iterator[tuple[Limit, float, float, Terms]]:
        problem = self.problem
        mean = problem.finished.mean(axis=0)
        already = already_mean(problem)
        for target in np.flatnonzero(problem.targets.at_least > 0.0).tolist():
            options = self._open(problem.options.target == target)
            number, name = float(problem.targets.at_least[target]), problem.targets.names[target]
            words = Told("at least {number} {name} on average", number=amount_words(number), name=name)
            limit = Limit(LimitKind.AT_LEAST, target, -1, words, Told("one {name} more at least", name=name), number)
            yield limit, number - float(already[target]), np.inf, [(options, mean[options])]


def already_mean(problem: PlanProblem) -> Float:
    """Finished plants to expect of the grafts that are made, by wish.

    Parameters
    ----------
    problem : PlanProblem
        The season.

    Returns
    -------
    ndarray of shape (targets,)
        Means over the seasons.
    """
    found = np.zeros(len(problem.targets.names))
    if problem.already is not None:
        np.add.at(found, problem.already.target, problem.already.takes.mean(axis=0) * problem.already.survival * problem.already.grafts)
    return found
