"""Which dome each planned graft stands in: fillings of a kind of room become fillings of its very domes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np

from scionary.answers.season_problem import Season
from scionary.answers.season_room import away
from scionary.language import say
from scionary.plan import TrayFillings
from scionary.plan.limit_writing import limit_rows
from scionary.plan.limits import LimitRows
from scionary.plan.trays import cheapest_trays
from scionary.plan.wanted import Int


@dataclass
class Filled:
    """One dome filled in one week for some weeks: what stands in it, by option; `over` where no dome was free."""

    dome: str
    week: int
    until: int
    pot: int
    holds: int
    over: bool = False
    grafts: dict[int, int] = field(default_factory=dict)

    @property
    def free(self) -> int:
        return self.holds - sum(self.grafts.values())


def fillings_for(season: Season, grafts: Int, rows: LimitRows | None = None) -> TrayFillings:
    """The trays that some grafts need at least, whether there are so many or not."""
    written = rows or limit_rows(season.problem)
    trays = np.rint(cheapest_trays(season.problem, grafts.astype(np.float64), written).by_filling).astype(np.int64)
    used, at = np.flatnonzero(trays), written.fillings
    return TrayFillings(at.room[used], at.week[used], at.pot[used], at.healing[used], trays[used])


def placed(season: Season, grafts: Int, fillings: TrayFillings) -> list[Filled]:
    """Every filling with its dome and what stands in it; those of a rare kind are spread over their week's domes."""
    found = _fillings(season, fillings)
    by_group: dict[tuple[int, int, int], list[Filled]] = {}
    for each in found:
        by_group.setdefault((each.week, each.pot, each.until - each.week), []).append(each)
    options, rare = season.problem.options, season.problem.targets.rare
    used = sorted(np.flatnonzero(grafts).tolist(), key=lambda at: (not rare[options.target[at]], int(options.target[at])))
    for at in used:
        group = by_group.get((int(options.week[at]), int(options.pot[at]), int(options.healing_weeks[at])), [])
        _stand(group, at, int(grafts[at]), spread=bool(rare[options.target[at]]))
    return [each for each in found if each.grafts]


def _stand(group: list[Filled], option: int, count: int, *, spread: bool) -> None:
    while count and group:
        free = [each for each in group if each.free > 0]
        if not free:
            break
        here = max(free, key=lambda each: each.free) if spread else free[0]
        part = 1 if spread else min(count, here.free)
        here.grafts[option] = here.grafts.get(option, 0) + part
        count -= part
    if count and group:
        group[-1].grafts[option] = group[-1].grafts.get(option, 0) + count


def _fillings(season: Season, fillings: TrayFillings) -> list[Filled]:
    """In order of weeks each takes a dome of its room that is free all its time; one without any is marked."""
    busy: dict[str, list[tuple[int, int]]] = {}
    columns = (fillings.week, fillings.room, fillings.pot, fillings.healing_weeks, fillings.trays)
    found = []
    for week, room, pot, weeks, trays in sorted(zip(*(each.tolist() for each in columns), strict=True)):
        for _ in range(trays):
            until = week + weeks
            names = _names(season, room, len(busy) + trays)
            free = next((name for name in names if all(until <= a or b <= week for a, b in busy.get(name, []))), None)
            name = free or names[0]
            busy.setdefault(name, []).append((week, until))
            found.append(Filled(name, week, until, pot, season.rooms[room].holds[pot], over=free is None))
    return found


def _names(season: Season, room: int, enough: int) -> Sequence[str]:
    domes = season.rooms[room].domes
    return [dome.name for dome in domes] if domes else [say("Tray {number}", number=at + 1) for at in range(enough)]


def dome_names(season: Season, filled: Sequence[Filled]) -> list[str]:
    """All domes, in the book's order; else the trays that are used."""
    if season.facts.domes:
        return [dome.name for dome in season.facts.domes]
    return list(dict.fromkeys(each.dome for each in filled))


def before(season: Season, dome: str, monday: date) -> tuple[str, date | None, int, tuple[str, ...], bool]:
    """What keeps a dome from the plan in a week: kind, since when, how many grafts, whose, and whether of mixed ages."""
    found = next((each for each in season.facts.domes if each.name == dome), None)
    if found is None:
        return "free", None, 0, (), False
    if away(found, monday):
        return "away", None, 0, (), False
    stands = season.facts.standing.get(found.pk)
    if stands is None or monday >= stands.until:
        return "free", None, 0, (), False
    return "before", stands.since - timedelta(days=stands.since.weekday()), stands.grafts, stands.names, stands.mixed_ages
