"""How often it takes: rates by cultivar, method, lot or season, at a named stage, with ranges.

The engine is `take`: a beta-binomial model pools the levels of one factor. It does not yet know that all grafts of
a season share its luck; the pages say so.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

import numpy as np
import numpy.typing as npt
from django.db.models import Q

from scionary.answers.after_care import stage_date
from scionary.answers.growing_year import year_at
from scionary.answers.remembered import remembered
from scionary.answers.words import percent, percent_range, plural, share_words
from scionary.book import queries
from scionary.book.models import Graft, Nursery, Tally
from scionary.errors import BadValue
from scionary.take import RatePrior, pooled_rates, rate_draws, wilson_interval

RESULT_VERSION = 2
CONFIDENCE = 0.9
DRAWS = 2000
SEED = 20
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


def outcome(graft: Graft, stage: str, *, stage_seen: bool = True) -> bool | None:
    """Whether a graft reached a stage: None while that is not known, or disputed.

    A graft lost on the way counts against the stage only once the stage could be seen on those of its day
    (`stage_seen`): until then the losses are known and the takes are not, and a rate of these would be too low. One that
    was scored no at a later stage and never at this one may have been lost in between: not known.
    """
    if {stage, "state", "grafted"} & set(graft.disputed):
        return None
    answer = getattr(graft, stage)
    if answer is not None:
        return bool(answer == "yes")
    later = list(STAGES)[list(STAGES).index(stage) + 1 :]
    if not stage_seen or any(getattr(graft, name) == "no" for name in later):
        return None
    return False if graft.lost_at is not None or graft.replaced else None


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
    level_of = _level(factor, lambda day: year_at(day, nursery))
    grafts = list(Graft.objects.select_related("cultivar", "method", "lot", "dome"))
    seen = _stage_seen(grafts, stage, nursery)
    for graft in grafts:
        _add(totals[level_of(graft)], 1, outcome(graft, stage, stage_seen=seen(graft)))
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


def _stage_seen(grafts: list[Graft], stage: str, nursery: Nursery) -> Callable[[Graft], bool]:
    """Whether a stage could be seen on the grafts of a day: its date has come as far as the book goes, or one of them was scored."""
    last = queries.reaches()
    reached = last.astimezone(nursery.zone).date() if last else date.min
    scored = {_day(graft, nursery) for graft in grafts if getattr(graft, stage) is not None}

    def seen(graft: Graft) -> bool:
        day = _day(graft, nursery)
        return day in scored or stage_date(stage, graft.method, day, nursery.latitude_deg) <= reached

    return seen


def _day(graft: Graft, nursery: Nursery) -> date:
    return graft.grafted_at.astimezone(nursery.zone).date()


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


def _level(factor: str, year: Callable[[Any], int]) -> Callable[[Any], tuple[str, str]]:
    """A function that names the level of a graft or tally: (key, name); the key is empty where it is not recorded."""

    def season(record: Any) -> tuple[str, str]:
        if isinstance(record, Tally):
            number = record.season or (year(record.grafted_on) if record.grafted_on else None)
        else:
            number = year(record.grafted_at.date())
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
        lines.append(f"{plural(unknown, 'graft')} with no known outcome at this stage: left out, neither taken nor lost.")
    if vague:
        lines.append(f"{plural(vague, 'graft')} from records that do not say at which stage they were counted: counted here.")
    if nameless:
        lines.append(f"{plural(nameless, 'graft')} for which this was not recorded: in the total, not in the rows.")
    return lines
