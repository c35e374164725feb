"""How often it takes: rates by cultivar, method, lot or season, at a named stage, with ranges.

The engine is `take`: a beta-binomial model pools the levels of one factor. It does not yet know that all grafts of
a season share its luck; the pages say so.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass, field
from typing import Any
from uuid import UUID

import numpy as np
import numpy.typing as npt
from django.db.models import Q

from scionary.answers.growing_year import year_at
from scionary.answers.outcomes import EARLY_DAYS, graft_day, outcome, stage_seen
from scionary.answers.remembered import remembered
from scionary.answers.words import percent, percent_range, plural, share_words
from scionary.book import queries
from scionary.book.models import Graft, Method, Nursery, Tally
from scionary.errors import BadValue
from scionary.take import RatePrior, pooled_rates, rate_draws, wilson_interval

RESULT_VERSION = 2
CONFIDENCE = 0.9
DRAWS = 2000
SEED = 20
SEASON_LUCK = 0.5  # standard deviation of the log odds that all grafts of a season share; project default, unsourced
# Beta(3, 2): 25 to 90 % in nine cases of ten. Growers tell of 50 to 90 %, beginners of 25 to 60 %; no controlled data were found.
GROWERS_TELL = RatePrior(mean_takes=3, mean_failures=2, mean_source="25 to 90 %, as growers tell; no source")

STAGES = {"firm": "firm after the cover came off", "growing": "growing", "in_leaf": "in leaf the next spring"}
FACTORS = {"cultivar": "cultivar", "method": "method", "lot": "stock lot", "season": "season", "dome": "dome", "grafter": "grafter"}


@dataclass(frozen=True)
class Count:
    """What was counted for one level: grafts with a known outcome, takes among them, and grafts not known yet."""

    key: str
    name: str
    grafts: int = 0
    takes: int = 0
    unknown: int = 0


@dataclass(frozen=True)
class Rate:
    """A level's long-run chance with its range, beside what was counted."""

    key: str
    name: str
    grafts: int
    takes: int
    unknown: int
    mean: float
    low: float
    high: float

    @property
    def counted(self) -> str:
        return f"{self.takes} of {self.grafts}" if self.grafts else "none yet"

    @property
    def words(self) -> str:
        return f"{percent(self.mean)}, {percent_range(self.low, self.high)}"


@dataclass(frozen=True)
class RatesAnswer:
    """Rates by one factor at one stage."""

    stage: str
    factor: str
    rows: list[Rate]
    overall: Rate
    unknown_stage: int
    assumptions: list[str] = field(default_factory=list)

    @property
    def stage_words(self) -> str:
        return STAGES[self.stage]

    @property
    def sentence(self) -> str:
        """The first line of the page: what the whole record says."""
        total = self.overall
        if not total.grafts:
            return "No graft has a known outcome at this stage yet."
        low, high = wilson_interval(total.takes, total.grafts)
        return f"{total.takes} of {total.grafts}, and {share_words(low, high)}: {percent_range(low, high)}."

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "sentence": self.sentence}


def counts(stage: str, factor: str) -> tuple[list[Count], int]:
    """Counts by level, and how many grafts come from records that do not say which stage they mean."""
    if stage not in STAGES:
        raise BadValue("stage", stage, ", ".join(STAGES))
    if factor not in FACTORS:
        raise BadValue("factor", factor, ", ".join(FACTORS))
    facts = {"stage": stage, "factor": factor, "book": queries.stamp()}
    return remembered("counts", RESULT_VERSION, facts, lambda: _counted(stage, factor))


def _counted(stage: str, factor: str) -> tuple[list[Count], int]:
    nursery = queries.nursery()
    totals: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0, 0, 0])
    level_of = _level(factor, nursery)
    grafts = list(_grafts())
    seen = stage_seen(grafts, stage, nursery)
    for graft in grafts:
        _add(totals[level_of(graft)], 1, outcome(graft, stage, nursery, stage_seen=seen(graft)))
    vague = 0
    for tally in _tallies(stage):
        cell = totals[level_of(tally)]
        if tally.takes is None:
            cell[2] += tally.grafts
            continue
        cell[0] += tally.grafts
        cell[1] += tally.takes
        vague += tally.grafts if tally.stage is None else 0
    rows = [Count(key, name, *cell) for (key, name), cell in totals.items()]
    return sorted(rows, key=lambda row: row.name.casefold()), vague


def _grafts() -> Iterable[Graft]:
    """All grafts with what a level or an outcome needs; a method is read once, whatever the number of its grafts."""
    methods = {method.pk: method for method in Method.objects.all()}
    for graft in Graft.objects.select_related("cultivar", "lot", "dome"):
        if graft.method_id:
            graft.method = methods.get(graft.method_id)
        yield graft


def _tallies(stage: str) -> list[Tally]:
    """Tallies of this stage, and those that name none, unless the same row of the same file also says what was counted at it."""
    found = Tally.objects.filter(retired=False).filter(Q(stage=stage) | Q(stage=None)).select_related("cultivar", "method", "lot")
    listed = list(found)
    said = {(t.source, t.cultivar_id, t.season) for t in listed if t.stage == stage and t.source}
    return [t for t in listed if t.stage == stage or (t.source, t.cultivar_id, t.season) not in said]


def rates(stage: str | None = None, factor: str = "cultivar") -> RatesAnswer:
    """Rates of each level with 90 % ranges, each pulled towards the others as far as its record is thin."""
    stage = stage or usual_stage()
    rows, vague = counts(stage, factor)
    named = [row for row in rows if row.key]
    arguments = {"grafts": [r.grafts for r in named], "takes": [r.takes for r in named]}
    table = remembered(
        "pooled_rates",
        RESULT_VERSION,
        arguments,
        lambda: pooled_rates(arguments["grafts"], arguments["takes"], confidence=CONFIDENCE, prior=GROWERS_TELL),
    )
    shown = [
        Rate(r.key, r.name, r.grafts, r.takes, r.unknown, float(table.mean[i]), float(table.low[i]), float(table.high[i]))
        for i, r in enumerate(named)
    ]
    return RatesAnswer(stage, factor, shown, _overall(rows), vague, _assumptions(list(table.assumptions), rows, vague))


def usual_stage() -> str:
    """The latest stage of which anything is known: in leaf next spring, else growing, else firm."""
    for stage in ("in_leaf", "growing"):
        rows, _ = counts(stage, "season")
        if sum(row.grafts for row in rows) > 0 and sum(row.takes for row in rows) > 0:
            return stage
    return "firm"


def cultivar_draws(stage: str, cultivars: Iterable[UUID]) -> tuple[npt.NDArray[np.float64], dict[UUID, Count]]:
    """Draws of each cultivar's take probability, shape (draws, cultivars), and what was counted for each."""
    wanted = list(cultivars)
    rows, _ = counts(stage, "cultivar")
    by_key = {row.key: row for row in rows}
    listed = [by_key.get(str(ident), Count(str(ident), "")) for ident in wanted]
    others = [row for row in rows if row.key not in {str(ident) for ident in wanted}]
    arguments = {"grafts": [r.grafts for r in [*listed, *others]], "takes": [r.takes for r in [*listed, *others]], "draws": DRAWS}
    draws = remembered(
        "rate_draws",
        RESULT_VERSION,
        arguments,
        lambda: rate_draws(arguments["grafts"], arguments["takes"], draws=DRAWS, rng=SEED, prior=GROWERS_TELL),
        seed=SEED,
    )
    return draws[:, : len(wanted)], dict(zip(wanted, listed, strict=True))


def coming_draws(stage: str, cultivars: Iterable[UUID]) -> tuple[npt.NDArray[np.float64], dict[UUID, Count]]:
    """`cultivar_draws` for grafts of one coming season: within a draw, all share that season's luck."""
    draws, counted = cultivar_draws(stage, cultivars)
    luck = np.random.default_rng(SEED).normal(scale=SEASON_LUCK, size=(len(draws), 1))
    clipped = np.clip(draws, 1e-9, 1 - 1e-9)
    return 1 / (1 + np.exp(-(np.log(clipped / (1 - clipped)) + luck))), counted


def _level(factor: str, nursery: Nursery) -> Callable[[Any], tuple[str, str]]:
    """A function that names the level of a graft or tally: (key, name); the key is empty where it is not recorded."""

    def season(record: Any) -> tuple[str, str]:
        if isinstance(record, Tally):
            number = record.season or (year_at(record.grafted_on, nursery) if record.grafted_on else None)
        else:
            number = year_at(graft_day(record, nursery), nursery)
        return (str(number), str(number)) if number else ("", "not recorded")

    def grafter(record: Any) -> tuple[str, str]:
        name = getattr(record, "grafter", "")
        return (name, name) if name else ("", "not recorded")

    def noun(record: Any) -> tuple[str, str]:
        row = getattr(record, factor, None)
        return (str(row.pk), str(row)) if row is not None else ("", "not recorded")

    return {"season": season, "grafter": grafter}.get(factor, noun)


def _add(cell: list[int], grafts: int, took: bool | None) -> None:
    if took is None:
        cell[2] += grafts
    else:
        cell[0] += grafts
        cell[1] += grafts * int(took)


def _overall(rows: list[Count]) -> Rate:
    grafts, takes, unknown = (sum(getattr(row, name) for row in rows) for name in ("grafts", "takes", "unknown"))
    table = pooled_rates([grafts], [takes], confidence=CONFIDENCE, prior=GROWERS_TELL)
    return Rate("", "all", grafts, takes, unknown, float(table.mean[0]), float(table.low[0]), float(table.high[0]))


def _assumptions(engine: list[str], rows: list[Count], vague: int) -> list[str]:
    unknown = sum(row.unknown for row in rows)
    nameless = sum(row.grafts for row in rows if not row.key)
    lines = list(engine)
    if unknown:
        lines.append(
            f"{plural(unknown, 'graft')} with no known outcome at this stage: left out, neither taken nor lost. What is scored within "
            f"{EARLY_DAYS} days of grafting is too early to count, and so is no leaf while trees are bare (project default, unsourced)."
        )
    lines.append("The first sentence's range is that of the plain count, 19 times in 20; the bars are nine times in ten.")
    if vague:
        lines.append(f"{plural(vague, 'graft')} from records that do not say at which stage they were counted: counted here.")
    if nameless:
        lines.append(f"{plural(nameless, 'graft')} for which this was not recorded: in the total, not in the rows.")
    return lines
