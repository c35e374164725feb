"""A season solved, and why the plan is as it is; kept under all that it was made from, so that nothing is solved twice."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from scionary.answers.kept import kept
from scionary.answers.schedule import ScheduleRow
from scionary.answers.schedule_keeping import without_loss
from scionary.answers.schedule_surety import enough_assurance, how_sure, unmeasured
from scionary.answers.season_facts import WishFact, season_facts
from scionary.answers.season_problem import Season, season_problem
from scionary.answers.waiting_time import Wait
from scionary.errors import BadValue
from scionary.language import say
from scionary.plan import Effort, HoldsBack, PlanProblem, PlanResult, clash_words, clashing_limits, solve_plan, what_holds_back
from scionary.plan.wanted import Int

RESULT_VERSION = 5
SEED = 20
_SURETY_ROUNDS = {"quick": 2, "normal": 3, "long": 4}
_SURETY_SHARE = 0.4  # of the time, about
_MEASURING, _FINDING = 0.6, 0.9  # shares of a wait by which each is over; project defaults, unsourced
EFFORTS = {"quick": Effort.QUICK, "normal": Effort.NORMAL, "long": Effort.THOROUGH}
MOST_SECONDS = 3_600.0
Tell = Callable[[float, str], bool]


@dataclass(frozen=True)
class Ask:
    """What is asked of a plan. `sure`: "wished" takes each wish's own chance, "value" none, a number one for all.

    `own` are rows of the person's own plan, judged beside; `why` also finds out what holds the plan back.
    """

    season: int
    effort: str = "normal"
    seconds: float | None = None
    sure: str | float = "wished"
    seed: int = SEED
    own: tuple[dict[str, Any], ...] = ()
    why: bool = True

    def __post_init__(self) -> None:
        """Refuse what cannot be asked."""
        if self.effort not in EFFORTS:
            raise BadValue("effort", self.effort, ", ".join(EFFORTS))
        if self.seconds is not None and not 0 < self.seconds <= MOST_SECONDS:
            raise BadValue("seconds", self.seconds, say("more than 0, at most {most}", most=f"{MOST_SECONDS:g}"))
        if self.sure not in ("wished", "value") and not (isinstance(self.sure, int | float) and 0.5 <= self.sure <= 0.999):
            raise BadValue("sure", self.sure, say("0.5 to 0.999, or “value” for most value, or “wished”"))
        if not 0 <= self.seed < 2**32:
            raise BadValue("seed", self.seed, "0 to 4294967295")

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "own": [dict(row) for row in self.own]}

    @classmethod
    def of(cls, data: Mapping[str, Any]) -> Ask:
        known = {name: data[name] for name in cls.__dataclass_fields__ if name in data}
        return cls(**{**known, "own": tuple(known.get("own", ()))})


class _Early(Exception):
    def __init__(self, result: PlanResult) -> None:
        super().__init__()
        self.result = result


def season_of(ask: Ask, *, today: date, wishes: Sequence[WishFact] | None = None) -> Season:
    """The season that is asked for, as the book stands."""
    return season_problem(season_facts(ask.season, today=today, wishes=wishes), seed=ask.seed)


def first_look(season: Season, ask: Ask, *, progress: Tell) -> PlanResult:
    """A plan to look at soon, not yet measured for how sure it is."""
    return unmeasured(season.problem, assurance_of(season, ask), seed=ask.seed, progress=progress)


def solved(
    season: Season,
    ask: Ask,
    *,
    progress: Tell | None = None,
    first: PlanResult | None = None,
    plain: PlanResult | None = None,
    wait: Wait | None = None,
) -> PlanResult:
    """The plan; the same season, seed and effort give the same, and one that was not ended early is kept.

    `plain` is the season's plan for most value, where it is at hand.
    """
    asked, wait = assurance_of(season, ask), wait or Wait(ask.seconds)
    tell = _Teller(progress, wait)

    def compute() -> PlanResult:
        value = plain
        if value is None and (wait.has_end or not np.isnan(asked).all()):
            value = most_value(season, ask, progress=progress)
        if value is not None and wait.over(_FINDING) and not ask.own:
            if not np.isnan(asked).all():
                wait.leave_out("sure")
            raise _Early(replace(value, complete=False))
        result = _as_sure_as_asked(season, ask, value, first, tell)
        if wait.over(_FINDING) and not tell.stopped:
            result = replace(_at_least(result, value, asked, ask), stopped=False, complete=False)
        if wait.left_out or not result.complete:
            raise _Early(replace(result, complete=False))
        return result

    try:
        return kept("season's plan", RESULT_VERSION, _subject(season), _content(season, ask), compute)
    except _Early as early:
        return early.result


def _as_sure_as_asked(season: Season, ask: Ask, value: PlanResult | None, first: PlanResult | None, tell: _Teller) -> PlanResult:
    """Measure how hard to try, then look for the plan; most value, where asking made nothing surer on the whole."""
    asked, none = assurance_of(season, ask), np.full(len(season.facts.wishes), np.nan)
    sure = none
    if value is not None and not np.isnan(asked).all():
        sure = enough_assurance(
            season.problem, asked, seed=ask.seed, rounds=_SURETY_ROUNDS[ask.effort], plain=value.chance, first=first,
            keep_on=lambda share: tell(_SURETY_SHARE * share, say("measuring how sure it is"), _MEASURING, "sure"),
            seconds=lambda: tell.wait.left(_MEASURING),
        )  # fmt: skip

    def whole(sure: Any, problem: PlanProblem = season.problem) -> PlanResult:
        if value is not None and not ask.own and np.isnan(sure).all() and _is_close(value, EFFORTS[ask.effort]):
            return replace(value, effort=EFFORTS[ask.effort])
        return solve_plan(
            problem, assurance=sure, effort=EFFORTS[ask.effort], seconds=tell.wait.left(_FINDING), rng=ask.seed,
            own=own_grafts(season, ask.own),
            progress=lambda fraction, word: tell(_SURETY_SHARE + (1 - _SURETY_SHARE) * fraction, word, _FINDING),
        )  # fmt: skip

    result = whole(sure)
    if value is None or not result.complete or np.isnan(sure).all():
        return result
    if how_sure(result.chance, asked, value.chance) < how_sure(value.chance, asked, value.chance):
        return whole(none)
    return result if result.kept_own else without_loss(
        result, value, asked=asked, sure=sure, seed=ask.seed, solve=lambda problem, sure: whole(sure, problem),
        keep_on=lambda: tell(1.0, say("looking for a plan that drops no wish"), _FINDING),
    )  # fmt: skip


def _is_close(value: PlanResult, effort: Effort) -> bool:
    """Whether a whole quick plan is what a search with this effort would end with, since it is as near its bound as that asks for."""
    return value.complete and (effort is Effort.QUICK or value.gap <= effort.gap)


def _at_least(result: PlanResult, value: PlanResult | None, asked: Any, ask: Ask) -> PlanResult:
    """A plan that was cut short, or the one for most value that was there before it where that is better."""
    if value is None or ask.own:
        return result
    if np.isnan(asked).all():
        return max(result, value, key=lambda each: each.seen.mean)
    return max(result, value, key=lambda each: how_sure(each.chance, asked, value.chance))


class _Teller:
    """Tells how far it is; false once the person has stopped it, or its share of the wait is over."""

    def __init__(self, progress: Tell | None, wait: Wait) -> None:
        self._progress, self.wait, self.stopped = progress, wait, False

    def __call__(self, fraction: float, word: str, share: float = 1.0, what: str = "") -> bool:
        self.stopped = self.stopped or (self._progress is not None and self._progress(fraction, word) is False)
        late = self.wait.over(share)
        if late and what and not self.stopped:
            self.wait.leave_out(what)
        return not self.stopped and not late


def most_value(season: Season, ask: Ask, *, progress: Tell | None = None) -> PlanResult:
    """A quick plan of the same season that asks for no certainty: what asking for it is set beside, what bounds the money, and what there
    is where a wait is over; it is cut short by nothing but the person."""
    plain = replace(ask, sure="value", effort="quick", seconds=None, own=(), why=False)
    tell = _Teller(progress, Wait())

    def compute() -> PlanResult:
        found = solve_plan(
            season.problem, assurance=np.nan, effort=Effort.QUICK, rng=ask.seed, progress=lambda fraction, word: tell(0.0, word)
        )  # fmt: skip
        if not found.complete:
            raise _Early(found)
        return found

    try:
        return kept("season's plan for most value", RESULT_VERSION, _subject(season), _content(season, plain), compute)
    except _Early as early:
        return early.result


def explained(season: Season, result: PlanResult, ask: Ask, *, progress: Tell | None = None, wait: Wait | None = None) -> HoldsBack:
    """What holds the plan back; kept, unless the person stopped it or the wait was over."""
    tell = _Teller(progress, wait or Wait())

    def compute() -> HoldsBack:
        found = what_holds_back(result.made_from.problem, result, progress=lambda fraction, word: tell(fraction, word, what="why"))
        if tell.stopped or tell.wait.over() or not result.complete:
            raise _Partly(found)
        return found

    try:
        return kept("why the season's plan", RESULT_VERSION, _subject(season), _content(season, ask), compute)
    except _Partly as partly:
        return partly.found


class _Partly(Exception):
    def __init__(self, found: HoldsBack) -> None:
        super().__init__()
        self.found = found


def clash_of(season: Season, expected: Sequence[float]) -> str:
    """The smallest set of limits that keeps the wishes from being met all together; empty where they can be, or are."""
    wanted = season.problem.targets.wanted
    if all(have >= want - 0.5 for have, want in zip(expected, wanted.tolist(), strict=True)):
        return ""
    clash = clashing_limits(season.problem, as_wished=True)
    return clash_words(clash) if clash else ""


def assurance_of(season: Season, ask: Ask) -> Any:
    """Wanted chances, one a wish; NaN where most value is wanted."""
    if ask.sure == "wished":
        return season.problem.targets.assurance
    return np.full(len(season.facts.wishes), np.nan if ask.sure == "value" else float(ask.sure))


def way_key(row: Mapping[str, Any]) -> tuple[Any, ...]:
    """What tells one way from another, whatever its index."""
    return tuple(str(row[name]) for name in ("wish", "week", "method", "pot", "lot", "tree", "regraft"))


def keys_of(season: Season) -> dict[tuple[Any, ...], int]:
    """Each way's index by its key."""
    found = {}
    for at, way in enumerate(season.ways):
        lot, tree = way.lot.name if way.lot else "", way.tree.name if way.tree else ""
        wish = season.facts.wishes[way.wish].ident
        found[wish, way.week.isoformat(), way.method.name, way.pot.name, lot, tree, str(way.regraft)] = at
    return found


def own_rows(rows: Sequence[ScheduleRow]) -> tuple[dict[str, Any], ...]:
    """Rows as an `Ask` carries them."""
    names = ("wish", "method", "pot", "lot", "tree", "regraft", "grafts")
    return tuple({**{name: getattr(row, name) for name in names}, "week": row.week.isoformat()} for row in rows)


def own_grafts(season: Season, rows: Sequence[Mapping[str, Any]]) -> Int | None:
    """Grafts of each way from rows; those whose week has passed, or whose way is gone, are left out."""
    if not rows:
        return None
    places = keys_of(season)
    grafts = np.zeros(len(season.ways), dtype=np.int64)
    for row in rows:
        at = places.get(way_key(row))
        if at is not None:
            grafts[at] += int(row["grafts"])
    return grafts


def _subject(season: Season) -> str:
    return f"{season.facts.nursery.pk} {season.facts.season}"


def _content(season: Season, ask: Ask) -> str:
    """Everything that an answer rests on: the season, what is asked but for time, and the engine's own files."""
    asked = json.dumps(replace(ask, seconds=None, why=True).to_dict(), sort_keys=True, default=str)
    return f"{_engine()} {asked} {season.content}"


@cache
def _engine() -> str:
    here = Path(__file__)
    files = [
        *sorted((here.parents[1] / "plan").glob("*.py")),
        here,
        here.with_name("schedule_surety.py"),
        here.with_name("schedule_keeping.py"),
    ]
    return hashlib.sha256(repr([(path.name, path.stat().st_size, path.stat().st_mtime_ns) for path in files]).encode()).hexdigest()
