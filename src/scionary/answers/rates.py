"""How often it takes, at a named stage, by cultivar, method, lot or season: three rates, never mixed up, each with its range.

The engine is `take`: a mixed model in which grafts of one season, lot, day or dome share their luck.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field, replace
from itertools import product
from typing import Any
from uuid import UUID

import numpy as np
import numpy.typing as npt

from scionary.answers.coming_season import season_draws
from scionary.answers.growing_year import year_words
from scionary.answers.learned import last_learned, learn
from scionary.answers.outcomes import EARLY_DAYS
from scionary.answers.remembered import remembered
from scionary.answers.take_facts import FACTORS, PLURALS, level_said, take_facts
from scionary.answers.take_model import STAGES, TakeModel, take_model
from scionary.answers.words import percent, percent_range, plural, share_words
from scionary.book import queries
from scionary.errors import BadValue
from scionary.language import Words, mark, say, several
from scionary.take import RateRange, RateTable, wilson_interval

RESULT_VERSION = 5
CONFIDENCE = 0.9

KINDS = Words(
    {
        "long_run": mark("in the long run"),
        "next_season": mark("next season"),
        "reference": mark("all else alike"),
    }
)
KIND_MEANS = Words(
    {
        "long_run": mark(
            "what to expect over many seasons, by the methods and from the trees that its own grafts had, "
            "averaged over the seasons, stock lots, days and domes that may come"
        ),
        "next_season": mark(
            "what one season may bring: the same, with the luck of its lot, days and domes, good or bad; so the range is wider"
        ),
        "reference": mark("for comparing only: as if all had the same season, lot, method, tree and dome"),
    }
)
KIND_FOR = Words(
    {
        "long_run": mark("Is this one worth my while?"),
        "next_season": mark("What must I be ready for next time? Plan counts with this one."),
        "reference": mark("Is this one really better than that one?"),
    }
)
PAST = ("season", "day", "dome")  # their levels do not come again, so they have no next season
AS_MEASURED = mark("Coming grafts are taken as average in what was measured; only Plan lets it vary as it did.")
COUNT_NOTE = mark(
    "The count's own range is 19 times in 20 and takes each graft as standing alone; grafts of one "
    "season, lot, day or dome share their luck, so it is too narrow for grafts to come. All other ranges "
    "here are nine times in ten and have that luck in them."
)
_ENOUGH_GRAFTS = 10  # known at a later stage before it is the usual one; project default, unsourced
_LEAST_PULL = 0.05  # of a chance, before the pull towards the others is worth a sentence; project default, unsourced


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
    """A level's chance with its range, beside what was counted."""

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
        return say("{takes} of {grafts}", takes=self.takes, grafts=self.grafts) if self.grafts else say("none yet")

    @property
    def words(self) -> str:
        return f"{percent(self.mean)}, {percent_range(self.low, self.high)}"


@dataclass(frozen=True)
class Way:
    """One of the three rates of one level: what it is called, its numbers in words, what it means and what it answers."""

    kind: str
    called: str
    words: str
    means: str
    answers: str


@dataclass(frozen=True)
class RatesAnswer:
    """Rates of one kind by one factor at one stage.

    `ways` tells the rates of the level with most grafts, `example`, in each kind that there is; empty where there is only one. `whole`
    tells those of all grafts together, in the long run and next season.
    """

    stage: str
    factor: str
    kind: str
    rows: list[Rate]
    overall: Rate
    unknown_stage: int
    assumptions: list[str] = field(default_factory=list)
    pull: str = ""
    behind: str = ""
    example: str = ""
    ways: list[Way] = field(default_factory=list)
    whole: list[Way] = field(default_factory=list)
    year_words: str = ""

    @property
    def whole_words(self) -> list[str]:
        """All grafts in the long run: 60 %, 40 to 78 %; a line for each rate that all grafts together have."""
        return [say("All grafts {called}: {way}.", called=way.called, way=way.words) for way in self.whole]

    @property
    def count_note(self) -> str:
        """What the first sentence's range is, beside the others."""
        return say(COUNT_NOTE) if self.overall.grafts else ""

    @property
    def factor_words(self) -> str:
        return FACTORS[self.factor]

    @property
    def title(self) -> str:
        """What the picture shows: the kind of rate and by what."""
        return say("Chance {kind}, by {factor}", kind=self.kind_words, factor=self.factor_words)

    @property
    def kind_words(self) -> str:
        return KINDS[self.kind]

    @property
    def kind_means(self) -> str:
        return KIND_MEANS[self.kind]

    @property
    def stage_words(self) -> str:
        return STAGES[self.stage]

    @property
    def sentence(self) -> str:
        """The first line of the page: what the whole record says."""
        total = self.overall
        if not total.grafts:
            return say("No graft has a known outcome at this stage yet.")
        return say(
            "{counted}, and {remark}: {range}.",
            counted=total.counted,
            remark=share_words(total.low, total.high),
            range=percent_range(total.low, total.high),
        )

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "sentence": self.sentence, "count_note": self.count_note}


def counts(stage: str, factor: str) -> tuple[list[Count], int]:
    """Counts by level, and how many grafts come from records that do not say which stage they mean."""
    if stage not in STAGES:
        raise BadValue("stage", stage, ", ".join(STAGES))
    if factor not in FACTORS:
        raise BadValue("factor", factor, ", ".join(FACTORS))
    last: tuple[dict[tuple[str, str], tuple[list[Count], int]]] | None = last_learned("all_counts", RESULT_VERSION)
    if last is not None:
        rows, vague = last[0][stage, factor]
        return [replace(row, name=level_said(factor, row.key, row.name)) for row in rows], vague
    facts = {"stage": stage, "factor": factor, "book": queries.stamp()}
    return remembered("counts", RESULT_VERSION, facts, lambda: _counted(stage, factor))


def learn_counts() -> None:
    """Count everything, for the pages of a large book, which show what was counted last."""
    learn("all_counts", RESULT_VERSION, lambda: {each: counts(*each) for each in product(STAGES, FACTORS)})


def _counted(stage: str, factor: str) -> tuple[list[Count], int]:
    totals: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0, 0, 0])
    vague = 0
    for fact in take_facts(stage):
        cell = totals[fact.levels[factor]]
        if fact.takes is None:
            cell[2] += fact.grafts
            continue
        cell[0] += fact.grafts
        cell[1] += fact.takes
        vague += fact.grafts if fact.vague else 0
    rows = [Count(key, name, *cell) for (key, name), cell in totals.items()]
    return [replace(row, name=level_said(factor, row.key, row.name)) for row in _in_order(rows, factor)], vague


def _in_order(rows: list[Count], factor: str) -> list[Count]:
    """By name; fillings by dome and, like days, the newest first; what was not recorded at the end."""
    latest_first = sorted(rows, key=lambda row: row.key.rsplit(":", 1)[-1], reverse=True) if factor in ("dome", "day") else rows
    if factor == "day":
        return sorted(latest_first, key=lambda row: not row.key)
    return sorted(latest_first, key=lambda row: (factor == "dome" and not row.key, _as_read(_place(row, factor))))


def _place(row: Count, factor: str) -> str:
    """A level's name; of a filling its dome's alone."""
    return row.name.rsplit(", from ", 1)[0] if factor == "dome" else row.name


def _as_read(name: str) -> list[tuple[int, str]]:
    """Dome 2 before Dome 10: numbers in a name by their size."""
    parts = re.split(r"(\d{1,9})", name.casefold())
    return [(int(part), "") if part.isascii() and part.isdigit() else (-1, part) for part in parts]


def kinds_of(factor: str) -> dict[str, str]:
    """The kinds of rate that a factor's levels have, by name."""
    return {kind: words for kind, words in KINDS.items() if factor not in PAST or kind == "reference"}


def usual_kind(factor: str) -> str:
    """The kind that is meant when none is named."""
    return next(iter(kinds_of(factor)))


def rates(stage: str | None = None, factor: str = "cultivar", kind: str | None = None) -> RatesAnswer:
    """Rates of each level with 90 % ranges, each pulled towards the others as far as its record is thin."""
    stage = stage or usual_stage()
    rows, vague = counts(stage, factor)
    kind = kind or usual_kind(factor)
    if kind not in kinds_of(factor):
        past = say("; a {factor} that is past has no other", factor=FACTORS[factor]) if factor in PAST else ""
        raise BadValue("kind", kind, ", ".join(kinds_of(factor)) + past)
    model = take_model(stage)
    named = [row for row in rows if row.key]
    shown = _shown(model, factor, kind, named)
    assumed = [*_assumptions(model, rows, vague), *_held(model, factor, kind)]
    example, ways = _ways(model, factor, named)
    year = year_words(int(named[-1].key), queries.nursery()) if factor == "season" and named else ""
    return RatesAnswer(
        stage=stage,
        factor=factor,
        kind=kind,
        rows=shown,
        overall=_overall(rows),
        unknown_stage=vague,
        assumptions=assumed,
        pull=_pull(shown, factor),
        behind=model.behind_words,
        example=example,
        ways=ways,
        whole=_whole(model),
        year_words=year,
    )


def _ways(model: TakeModel, factor: str, named: Sequence[Count]) -> tuple[str, list[Way]]:
    """The level with most grafts, and its rate of each kind; none where nothing is counted or there is one kind only."""
    most = max(named, key=lambda row: row.grafts, default=None)
    kinds = kinds_of(factor)
    if most is None or not most.grafts or len(kinds) < 2:
        return "", []
    told = {kind: _shown(model, factor, kind, [most])[0] for kind in kinds}
    return most.name, [Way(kind, kinds[kind], told[kind].words, KIND_MEANS[kind], KIND_FOR[kind]) for kind in kinds]


def _whole(model: TakeModel) -> list[Way]:
    """The rates of all grafts together, of the kinds that are for counting on; none where nothing is counted."""
    if not model.fit.cells.grafts.sum():
        return []
    found = []
    for kind in ("long_run", "next_season"):
        told = _overall_rate(model, kind)
        words = f"{percent(told.mean)}, {percent_range(told.low, told.high)}"
        found.append(Way(kind, KINDS[kind], words, KIND_MEANS[kind], KIND_FOR[kind]))
    return found


def _overall_rate(model: TakeModel, kind: str) -> RateRange:
    from scionary.take import Rate as Kind

    asked = {"content": model.content, "kind": kind}
    return remembered("overall", RESULT_VERSION, asked, lambda: model.fit.overall(Kind[kind.upper()], confidence=CONFIDENCE))


def _shown(model: TakeModel, factor: str, kind: str, named: Sequence[Count]) -> list[Rate]:
    """A row a level: as the model has it, or, where it knows nothing of the level, as a new one would be."""
    found = []
    for row in named:
        place = model.place(factor, row.key)
        base, at = place if place is not None else (_closest(model, factor), None)
        table = _table(model, base, kind)
        mean, low, high = (
            (float(table.mean[at]), float(table.low[at]), float(table.high[at]))
            if at is not None
            else (table.new_level.mean, table.new_level.low, table.new_level.high)
        )
        found.append(Rate(row.key, row.name, row.grafts, row.takes, row.unknown, mean, low, high))
    return found


def _closest(model: TakeModel, factor: str) -> str:
    """The factor itself, or by which grafts fall alike, where the fit has it; the cultivar where all grafts are alike in it."""
    base = model.alias[factor][0] if factor in model.alias else factor
    return base if base in model.fit.cells.factors else "cultivar"


def _held(model: TakeModel, factor: str, kind: str) -> list[str]:
    """That a level's own season is in its rates, where no two levels share one: nobody can say which of both it was."""
    base = model.alias[factor][0] if factor in model.alias else factor
    if base not in PAST or factor in PAST or kind == "reference":
        return []
    return [
        say(
            "Each {factor} has its own {base}, whose luck stays in its rates: their ranges are too narrow for another one.",
            factor=FACTORS[factor],
            base=FACTORS[base],
        )
    ]


def _table(model: TakeModel, factor: str, kind: str) -> RateTable:
    from scionary.take import Rate as Kind

    asked = {"content": model.content, "factor": factor, "kind": kind}
    return remembered("rates", RESULT_VERSION, asked, lambda: model.fit.rates(factor, Kind[kind.upper()], confidence=CONFIDENCE))


def _pull(rows: Sequence[Rate], factor: str) -> str:
    """One sentence on the pull towards the mean, told by the row that is pulled furthest; none where hardly any is."""
    counted = [row for row in rows if row.grafts]
    if len(counted) < 3:
        return ""
    middle = sum(row.takes for row in counted) / sum(row.grafts for row in counted)
    # a row that lies further out than its count, or on the other side, is moved by something else: what its grafts shared
    pulled = [row for row in counted if abs(_moved(row)) >= _LEAST_PULL and _moved(row) * (middle - row.takes / row.grafts) > 0]
    if not pulled:
        return ""
    row = max(pulled, key=lambda each: abs(_moved(each)))
    return several(
        row.grafts,
        "{row}: {counted} took, yet its chance is put at {mean}, because 1 graft says little and shares the luck of a season, lot and "
        "dome, so the estimate leans on the other {factor}; the more grafts, the less it leans.",
        "{row}: {counted} took, yet its chance is put at {mean}, because {count} grafts say little and share the luck of a season, lot "
        "and dome, so the estimate leans on the other {factor}; the more grafts, the less it leans.",
        row=row.name,
        counted=row.counted,
        mean=percent(row.mean),
        factor=PLURALS[factor],
    )


def _moved(row: Rate) -> float:
    return row.mean - row.takes / row.grafts


def usual_stage() -> str:
    """The latest stage of which enough is known: in leaf next spring, else growing, else firm.

    Enough are ten grafts, or a quarter of those known to be firm or not, with a take among them. Records that do not say at which stage
    they were counted make no stage known.
    """
    firm = _known("firm")[0]
    for stage in ("in_leaf", "growing"):
        grafts, takes = _known(stage)
        if grafts >= max(1, min(_ENOUGH_GRAFTS, firm / 4)) and takes > 0:
            return stage
    return "firm"


def _known(stage: str) -> tuple[int, int]:
    """Grafts known at a stage that their records name, and takes."""
    rows, vague = counts(stage, "season")
    return sum(row.grafts for row in rows) - vague, sum(row.takes for row in rows)


def coming_draws(
    stage: str, cultivars: Iterable[UUID], *, fillings: Sequence[int] | None = None, methods: Sequence[UUID | None] | None = None
) -> tuple[npt.NDArray[np.float64], dict[UUID, Count]]:
    """Draws of each cultivar's take probability in one coming season, shape (draws, cultivars), and what was counted for each.

    `methods` are those by which they will be made; where none is said, by that of most grafts.
    """
    wanted = list(cultivars)
    rows, _ = counts(stage, "cultivar")
    by_key = {row.key: row for row in rows}
    draws = season_draws(stage, wanted, fillings=fillings, methods=methods)
    return draws, {ident: by_key.get(str(ident), Count(str(ident), "")) for ident in wanted}


def _overall(rows: list[Count]) -> Rate:
    """The plain count of everything, with its range 19 times in 20."""
    grafts, takes, unknown = (sum(getattr(row, name) for row in rows) for name in ("grafts", "takes", "unknown"))
    low, high = wilson_interval(takes, grafts)
    return Rate("", "all", grafts, takes, unknown, takes / grafts if grafts else 0.5, low, high)


def _assumptions(model: TakeModel, rows: list[Count], vague: int) -> list[str]:
    unknown = sum(row.unknown for row in rows)
    nameless = sum(row.grafts for row in rows if not row.key)
    lines = list(model.assumptions)
    if unknown:
        lines.append(
            say(
                "{grafts} with no known outcome at this stage: left out, neither taken nor lost. What is scored "
                "within {early_days} days of grafting is too early to count, and so is no leaf while trees are bare. "
                "What was lost counts once no more of its day stand unscored than were scored: else losses were "
                "known and takes were not (project defaults, unsourced).",
                grafts=plural(unknown, "graft"),
                early_days=EARLY_DAYS,
            )
        )
    if model.fit.cells.scales:
        lines.append(say(AS_MEASURED))
    lines.append(say(COUNT_NOTE))
    if vague:
        lines.append(
            say("{grafts} from records that do not say at which stage they were counted: counted here.", grafts=plural(vague, "graft"))
        )
    if nameless:
        lines.append(say("{grafts} for which this was not recorded: in the total, not in the rows.", grafts=plural(nameless, "graft")))
    return lines
