"""Why a row of the plan stands in its week, on its lot and in its pot: one sentence, from what the plan leaves free elsewhere."""

from __future__ import annotations

import numpy as np

from scionary.answers.season_problem import Season
from scionary.answers.words import listed, short_day
from scionary.language import say
from scionary.plan import LimitKind
from scionary.plan.again import columns_of
from scionary.plan.limits import LimitRows
from scionary.plan.wanted import Int

_TELLS = 0.005  # money a graft


class Reasons:
    """What a plan leaves free: where one of a row's grafts could stand as well, and what is in the way elsewhere."""

    def __init__(self, season: Season, rows: LimitRows, grafts: Int) -> None:
        self.season, self.rows, self.options = season, rows, season.problem.options
        self.open = np.array([not reason for reason in rows.closed])
        columns = columns_of(rows, season.problem, grafts.astype(np.float64))
        self.left = None if columns is None else rows.upper - rows.matrix @ columns
        self._free: dict[tuple[int, int, int], bool] = {}

    def of(self, option: int) -> str:
        """The sentence of one way; empty where the plan breaks limits."""
        if self.left is None:
            return ""
        told = "; ".join([self._week(option), *([self._lot(option)] if self.season.ways[option].lot else []), self._pot(option)])
        return f"{told[:1].upper()}{told[1:]}."

    def _week(self, option: int) -> str:
        way, ways = self.season.ways[option], self.season.ways
        same = self._alike(option, pot=True, lot=True)
        others = [at for at in same if ways[at].week != way.week]
        if not others:
            return say("no other week is open to it")
        free = [ways[at].week for at in others if not self._in_the_way(at, option)]
        if free:
            near = min(free, key=lambda day: (abs((day - way.week).days), day))
            return say("the week of {day} has room too, but each week more is a batch more", day=short_day(near))
        kinds = [self._in_the_way(at, option) for at in others]
        return say("in the other weeks there is no more of: {what}", what=listed(list(dict.fromkeys(kinds))))

    def _lot(self, option: int) -> str:
        own, ways = self.season.ways[option].lot, self.season.ways
        others = [at for at in self._alike(option, week=True) if ways[at].lot != own]
        if not others:
            return say("no other stocks serve it then")
        free = [at for at in others if not self._in_the_way(at, option)]
        dearer = float(min((self.options.cost[at] for at in free), default=0.0) - self.options.cost[option])
        if dearer > _TELLS:
            return say("other stocks cost {money} more", money=f"{dearer:,.2f}")
        names = listed(list(dict.fromkeys(lot.name for at in (free or others) if (lot := ways[at].lot))))
        return say("{lots} would do as well", lots=names) if free else say("of {lots} none is left for it", lots=names)

    def _pot(self, option: int) -> str:
        way, ways = self.season.ways[option], self.season.ways
        others = [at for at in self._alike(option, week=True, lot=True) if ways[at].pot.pk != way.pot.pk]
        if not others:
            stands = way.lot is not None and way.lot.lot is not None and way.lot.lot.pot_kind is not None
            return say("its stocks stand in that pot") if stands else say("no other pot comes into question")
        free = [ways[at].pot.name for at in others if not self._in_the_way(at, option)]
        if free:
            return say("{pots} would do as well", pots=listed(list(dict.fromkeys(free))))
        names = listed(list(dict.fromkeys(ways[at].pot.name for at in others)))
        return say("for {pots} there is no place under the domes", pots=names)

    def _alike(self, option: int, *, week: bool = False, lot: bool = False, pot: bool = False) -> list[int]:
        """Open ways of the same wish, method and tree, and of the same week, lot or pot where that is asked."""
        ways, options, way = self.season.ways, self.options, self.season.ways[option]
        same = self.open & (options.target == options.target[option]) & (options.method == options.method[option])
        return [
            at
            for at in np.flatnonzero(same & (options.regraft == options.regraft[option])).tolist()
            if ways[at].tree == way.tree
            and (not week or ways[at].week == way.week)
            and (not lot or ways[at].lot == way.lot)
            and (not pot or ways[at].pot.pk == way.pot.pk)
        ]

    def _in_the_way(self, at: int, option: int) -> str:
        """What keeps one graft of a row from standing another way, in a word or two; empty where nothing does."""
        assert self.left is not None
        gives, limits = dict(self._uses(option)), self.rows.limits
        for row, by in self._uses(at):
            if by - gives.get(row, 0.0) > self.left[row] + 1e-6:
                kind = limits[row].kind
                if kind is not LimitKind.PLACES or not self._tray_free(at):
                    return _words(kind)
        return ""

    def _uses(self, column: int) -> list[tuple[int, float]]:
        uses = self.rows.by_column
        inside = slice(uses.indptr[column], uses.indptr[column + 1])
        return sorted(zip(uses.indices[inside].tolist(), uses.data[inside].tolist(), strict=True))

    def _tray_free(self, at: int) -> bool:
        """Whether one more tray can be filled in that week with those pots."""
        assert self.left is not None
        group = int(self.options.week[at]), int(self.options.pot[at]), int(self.options.healing_weeks[at])
        if group not in self._free:
            fillings, left = self.rows.fillings, self.left
            here = (fillings.week == group[0]) & (fillings.pot == group[1]) & (fillings.healing == group[2])
            columns = (len(self.options) + np.flatnonzero(here)).tolist()
            trays = ([(row, by) for row, by in self._uses(column) if self.rows.limits[row].kind is LimitKind.TRAYS] for column in columns)
            self._free[group] = any(all(by <= left[row] + 1e-6 for row, by in uses) for uses in trays)
        return self._free[group]


def _words(kind: LimitKind) -> str:
    if kind is LimitKind.PLACES:
        return say("places under the domes")
    if kind is LimitKind.BENCH:
        return say("hours at the bench")
    if kind is LimitKind.STICKS:
        return say("wood")
    if kind in (LimitKind.STOCKS, LimitKind.THICKNESS, LimitKind.REGRAFT):
        return say("stocks")
    return say("money") if kind in (LimitKind.BUDGET, LimitKind.POTS) else say("weeks that spread a rare kind")
