"""The take model of the book: one fit a stage, remembered by the content of the records, with every factor that can be told apart.

A small book is fitted when it is asked. A large one is fitted beside the pages: until that is done they show the fit of the records as
they were, and say so.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

import numpy as np

from scionary.answers.held import held
from scionary.answers.kept import kept, last_kept
from scionary.answers.remembered import remembered
from scionary.answers.take_facts import COVARIATES, FACTORS, TakeFact, level_said, take_facts
from scionary.answers.words import listed
from scionary.answers.works import LastStep, Progress, tell
from scionary.book import queries
from scionary.book.models import Graft, Tally
from scionary.errors import BadValue
from scionary.language import Words, mark, say

if TYPE_CHECKING:
    from scionary.take import Covariate, TakeCells, TakeFit, TakeRecords

RESULT_VERSION = 3
POINTS, MANY_POINTS = 128, 512  # over the scales; with many grafts and factors the few are not enough
MANY_GRAFTS = 1000
SEED = 20
STAGES = Words({"firm": mark("firm after the cover came off"), "growing": mark("growing"), "in_leaf": mark("in leaf the next spring")})
SHORT_STAGES = Words({"firm": mark("firm"), "growing": mark("growing"), "in_leaf": mark("in leaf the next spring")})
STAYING = ("cultivar", "tree", "method", "grafter")
FEWEST_MEASURED = 20  # grafts with a measurement before it is looked at; project default, unsourced
QUICK_GRAFTS = 3000  # a larger book is fitted beside the pages
MOST_LEVELS = 1500  # in all factors together: with more, learning three stages takes half an hour and longer
WORK = mark("learn from results")

_may_wait: ContextVar[bool] = ContextVar("may_wait", default=True)


@dataclass(frozen=True)
class TakeModel:
    """A fit with what was left out of it and why.

    `names` gives each level's name for its key, by factor; `alias` the factor by which grafts fall alike, and the key there for each
    key, of a factor that was left out for that; `behind` whether something was written down since.
    """

    stage: str
    fit: TakeFit
    names: Mapping[str, Mapping[str, str]]
    alias: Mapping[str, tuple[str, Mapping[str, str]]]
    left_out: tuple[str, ...]
    content: str
    behind: bool = False

    @property
    def assumptions(self) -> list[str]:
        return [*_prior_words(self.fit), *self.left_out, *_measured_words(self.fit.cells.scales)]

    @property
    def behind_words(self) -> str:
        """Empty when the fit is of the records as they are."""
        return say("What was written down lately is still being worked into these rates.") if self.behind else ""

    def place(self, factor: str, key: str) -> tuple[str, int] | None:
        """The factor of the fit and the position in it where a level stands; None when the fit does not know it."""
        factor, key = (self.alias[factor][0], self.alias[factor][1].get(key, "")) if factor in self.alias else (factor, key)
        if factor not in self.fit.cells.factors:
            return None
        names = self.fit.cells.level_names(factor)
        return (factor, names.index(key)) if key in names else None

    def known(self, factor: str) -> int:
        """How many levels of a factor have grafts with a known outcome; 0 where the fit does not know the factor."""
        base = self.alias[factor][0] if factor in self.alias else factor
        codes = self.fit.cells.factors.get(base)
        return 0 if codes is None else len(set(codes[(codes >= 0) & (self.fit.cells.grafts > 0)].tolist()))

    def learned_words(self, factor: str) -> str:
        """Whether the records teach how far a factor's levels lie apart: fewer than two teach nothing."""
        known = self.known(factor)
        return (
            say("learned from {known}", known=known)
            if known > 1
            else say("one so far: this is what is supposed")
            if known
            else say("none so far: this is what is supposed")
        )


def _prior_words(fit: TakeFit) -> list[str]:
    """What is supposed before any record, in a grower's words."""
    priors, by_scale = fit.design.priors, dict[float, list[str]]()
    for factor in fit.design.factors:
        by_scale.setdefault(priors.scale_of(factor), []).append(FACTORS[factor])
    scales = "; ".join(say("{scale:g} by {names}", scale=scale, names=listed(names, most=len(names))) for scale, names in by_scale.items())
    apart = say("How far grafts lie apart is learned. Before any record it is about this much, in log odds: ")
    return [priors.words(())[0], say("{apart}{scales} (project default, unsourced).", apart=apart, scales=scales)]


def _measured_words(scales: Mapping[str, Covariate]) -> list[str]:
    """What was measured, of how many grafts, and what is supposed of the others."""
    if not scales:
        return []
    known = [
        say("{name} (of {measured} of {all} grafts)", name=COVARIATES[name], measured=scale.measured, all=scale.measured + scale.missing)
        for name, scale in scales.items()
    ]
    rest = say(" A graft without a measurement is taken as average in it.") if any(scale.missing for scale in scales.values()) else ""
    return [say("Measured and taken into account: {known}.{rest}", known=listed(known), rest=rest)]


@contextmanager
def without_waiting() -> Iterator[None]:
    """Within this, a large book's fit is not waited for: the last one is shown, with how far it is behind."""
    token = _may_wait.set(False)
    try:
        yield
    finally:
        _may_wait.reset(token)


def may_wait() -> bool:
    """Whether whoever asks can wait for long work: the terminal and the worker can, a page cannot."""
    return _may_wait.get()


def take_model(stage: str) -> TakeModel:
    """The fit of the records of a stage, or, where a page cannot wait, the last one."""
    if stage not in STAGES:
        raise BadValue("stage", stage, ", ".join(STAGES))
    if not _may_wait.get() and is_large():
        last = last_kept("take_model", RESULT_VERSION, _subject(stage))
        if last is not None:
            return _said(replace(last[0], behind=last[1] != repr(queries.stamp())))
    return _said(_fitted(stage, _prepared(stage)))


def _said(model: TakeModel) -> TakeModel:
    """The model with the names of its levels in the reader's language."""

    def names() -> dict[str, dict[str, str]]:
        return {factor: {key: level_said(factor, key, name) for key, name in by_key.items()} for factor, by_key in model.names.items()}

    return replace(model, names=held(f"level names {model.stage}", (model.names,), names))


def _subject(stage: str) -> str:
    """Whose model of which stage it is: books may stand in one folder."""
    return f"{stage} {queries.nursery().pk}"


def is_large() -> bool:
    """Whether the book's fits are made beside the pages."""
    return held("is_large", queries.stamp(), lambda: Graft.objects.count() + Tally.objects.count() > QUICK_GRAFTS)


def learn(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    """The work beside the pages: fit every stage; one whose records are as they were is at hand already."""
    for at, stage in enumerate(STAGES):

        def told(share: float, word: str, at: int = at) -> None:
            tell(progress, (at + share) / len(STAGES), word)

        told(0.0, say("reading the records"))
        _fitted(stage, _prepared(stage), told)
    return lambda: {"stages": list(STAGES)}


def cells_for(fit: TakeFit, levels: Sequence[Mapping[str, str]]) -> TakeCells:
    """Cells to predict, one for each mapping of factor to level key; a factor left out is one new level for all."""
    from scionary.take import TakeCells

    factors, names = {}, {}
    for factor in fit.cells.factors:
        keys = sorted({row[factor] for row in levels if row.get(factor)})
        place = {key: i for i, key in enumerate(keys)}
        factors[factor] = np.array([place.get(row.get(factor, ""), -1) for row in levels], dtype=np.int64)
        names[factor] = tuple(keys)
    nothing = np.zeros(len(levels), dtype=np.int64)
    return TakeCells(nothing, nothing, factors, levels=names)


@dataclass(frozen=True)
class _Prepared:
    """The records of a stage, ready to be fitted, with a hash of everything that a fit rests on."""

    records: TakeRecords
    names: Mapping[str, Mapping[str, str]]
    alias: Mapping[str, tuple[str, Mapping[str, str]]]
    left_out: tuple[str, ...]
    content: str
    stamp: str


def _prepared(stage: str) -> _Prepared:
    stamp = queries.stamp()  # before the facts: what is written meanwhile is not in them
    known = [fact for fact in take_facts(stage) if fact.takes is not None]
    measured = [value for fact in known for value in fact.measured.values()]  # readings come in without an event
    facts = {"stage": stage, "book": stamp, "known": len(known), "measured": [len(measured), sum(measured)]}
    return remembered("take_records", RESULT_VERSION, facts, lambda: _prepare(known, repr(stamp)))


def _prepare(known: Sequence[TakeFact], stamp: str) -> _Prepared:
    from scionary.take import TakeRecords

    factors, alias = _factors(known)
    factors, dropped = _few_enough(known, factors)
    records = TakeRecords(
        takes=np.array([fact.takes for fact in known], dtype=np.int64),
        grafts=np.array([fact.grafts for fact in known], dtype=np.int64),
        factors={name: np.array([fact.key(name) for fact in known], dtype=object) for name in factors},
        covariates={name: np.array([fact.measured.get(name, np.nan) for fact in known]) for name in _covariates(known)},
    )
    names = {factor: {fact.levels[factor][0]: fact.levels[factor][1] for fact in known} for factor in FACTORS}
    alike = [
        say("Grafts fall alike by {other} and by {name}: what either does counts for both.", other=FACTORS[other], name=FACTORS[name])
        for name, (other, _) in alias.items()
    ]
    return _Prepared(records, names, alias, (*alike, *dropped), _content(records, alias), stamp)


def _fitted(stage: str, prepared: _Prepared, progress: Callable[[float, str], None] | None = None) -> TakeModel:
    def compute() -> TakeModel:
        from scionary.take import aggregate_records, fit_take

        points = MANY_POINTS if prepared.records.grafts.sum() > MANY_GRAFTS else POINTS
        fit = fit_take(aggregate_records(prepared.records), points=points, rng=SEED, progress=progress)
        return TakeModel(stage, fit, prepared.names, prepared.alias, prepared.left_out, prepared.content)

    found = kept("take_model", RESULT_VERSION, _subject(stage), f"{stage} {prepared.content}", compute, stamp=prepared.stamp)
    return replace(found, names=prepared.names, alias=prepared.alias, left_out=prepared.left_out)  # a name changes no result


def _content(records: TakeRecords, alias: Mapping[str, tuple[str, Mapping[str, str]]]) -> str:
    digest = hashlib.sha256(repr(sorted((factor, base) for factor, (base, _) in alias.items())).encode())
    for name, column in (("grafts", records.grafts), ("takes", records.takes), *records.factors.items(), *records.covariates.items()):
        digest.update(f"{name}:{column.tolist()};".encode())
    return digest.hexdigest()


def _factors(known: Sequence[TakeFact]) -> tuple[list[str], dict[str, tuple[str, Mapping[str, str]]]]:
    """The factors that the records can tell apart; and for one by which grafts fall as by another, that other one.

    Without any record, all that passes is supposed: a coming season has its luck before the first was seen.
    """
    if not known:
        return ["cultivar", *(factor for factor in FACTORS if factor not in STAYING)], {}
    used: list[str] = []
    splits: dict[tuple[bool, tuple[int, ...]], str] = {}
    alias: dict[str, tuple[str, Mapping[str, str]]] = {}
    for factor in ("cultivar", "season", "lot", "method", "tree", "grafter", "dome", "day"):
        keys = [fact.key(factor) for fact in known]
        different = set(keys) - {""}
        if factor != "cultivar" and (not different or (factor in STAYING and len(different) == 1)):
            continue
        if len(different) == 1:  # one alone says nothing, but a coming one will be another
            used.append(factor)
            continue
        if factor == "dome" and any(fact.own_filling for fact in known):  # a count's own filling is supposed: no other factor's level
            used.append(factor)
            continue
        other = splits.setdefault((factor in STAYING, _split(keys)), factor)
        if other != factor:
            alias[factor] = (other, {fact.key(factor): fact.key(other) for fact in known})
        else:
            used.append(factor)
    return used, alias


def _few_enough(known: Sequence[TakeFact], factors: list[str]) -> tuple[list[str], list[str]]:
    """The factors without those of the most levels, as long as there are more levels in all than a fit can take; and a word for each."""
    levels = {factor: len({fact.key(factor) for fact in known}) for factor in factors}
    dropped = []
    while sum(levels.values()) > MOST_LEVELS and len(levels) > 1:
        largest = max((factor for factor in levels if factor != "cultivar"), key=lambda factor: levels[factor])
        dropped.append(
            say(
                "{factor}: {number} of them are too many to be told apart here, so it is left out.",
                factor=FACTORS[largest].capitalize(),
                number=levels.pop(largest),
            )
        )
    return list(levels), dropped


def _split(keys: Iterable[str]) -> tuple[int, ...]:
    """The partition that keys make, whatever they are called."""
    place: dict[str, int] = {}
    return tuple(place.setdefault(key, len(place)) for key in keys)


def _covariates(known: Sequence[TakeFact]) -> list[str]:
    """Measured numbers that enough grafts have, and not all alike."""
    found = []
    for name in COVARIATES:
        values = [fact.measured[name] for fact in known if name in fact.measured]
        if len(values) >= FEWEST_MEASURED and len(set(values)) > 1:
            found.append(name)
    return found
