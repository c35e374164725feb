"""When buds push in this book: looks at buds with their dates, and the curve learned from those of grafts whose end is known.

Learning takes some seconds, so it is done beside the pages and kept; pages use what was learned last. With few looks there is no curve, and
a bud that moves is a sign like any other, whatever its day.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from typing import TYPE_CHECKING
from uuid import UUID

import numpy as np
import numpy.typing as npt

from scionary.answers.growing_year import growing_year, spring_equinox, year_at
from scionary.answers.kept import kept, last_kept
from scionary.answers.outcomes import graft_day, outcome, stage_seen
from scionary.answers.remembered import remembered
from scionary.answers.sign_looks import Look, looks_among, looks_at
from scionary.answers.take_facts import all_grafts
from scionary.answers.take_model import SEED, may_wait
from scionary.book import queries
from scionary.book.models import Graft, Nursery

if TYPE_CHECKING:
    from scionary.take import BudPush, SignEvidence

RESULT_VERSION = 1
STAGE = "firm"
FEWEST_LOOKS = 10  # grafts with looks and a known end before a curve is learned; project default, unsourced
QUICK_LOOKS = 60  # different looks from which the terminal learns while a person waits; a second or so
_WINTER_DAYS = 90  # from midwinter to the spring equinox: who is grafted later has had its winter; project default, unsourced
_SPRING_STEP = 10  # days to the spring are told no finer: a rest has no sharper end, and alike looks are worked on at once
_DRAWS = 1000

Float = npt.NDArray[np.float64]


@dataclass(frozen=True)
class BudLooks:
    """What was seen of one graft's bud: (days since grafting, pushed), one a day; its season, and days to the spring it may rest until."""

    season: str
    spring: float
    looks: tuple[tuple[int, bool], ...]


@dataclass(frozen=True)
class LearnedPush:
    """A curve with what it was learned from: grafts that took, that failed, and whose end is not known."""

    curve: BudPush
    took: int
    failed: int
    unknown: int
    content: str


@dataclass(frozen=True)
class _Known:
    """Looks to learn from: at grafts that no longer wait, each with its end."""

    looks: Sequence[BudLooks]
    ends: tuple[float, ...]
    content: str

    @property
    def different(self) -> int:
        """How many different looks there are: the time that learning takes goes with it."""
        return len(set(zip(self.looks, map(str, self.ends), strict=True)))

    def count(self, end: float) -> int:
        return sum(each == end for each in self.ends)


def bud_looks() -> Mapping[UUID, BudLooks]:
    """Looks at buds by graft: those of grafts whose day is known, as they stand after all corrections."""
    return remembered("bud_looks", RESULT_VERSION, {"book": queries.stamp()}, _find_looks)


def last_push() -> LearnedPush | None:
    """The curve that was learned last; None where there were too few looks, or nothing was learned yet."""
    last = last_kept("bud_push", RESULT_VERSION, _subject())
    return last[0] if last is not None else None


def push_at_hand(waiting: Iterable[UUID]) -> LearnedPush | None:
    """The curve as the records are, where it can be waited for; else the one that was learned last."""
    known = _known(waiting) if may_wait() else None
    return learn_push(waiting) if known is not None and known.different <= QUICK_LOOKS else last_push()


def learn_push(waiting: Iterable[UUID]) -> LearnedPush | None:
    """Learn the curve from looks at all grafts but those that wait; at hand already when these are as they were."""
    known = _known(waiting)
    return kept("bud_push", RESULT_VERSION, _subject(), known.content, lambda: _learned(known))


def push_is_behind(waiting: Iterable[UUID]) -> bool:
    """Whether looks or ends have changed since the curve was learned."""
    learned, known = last_push(), _known(waiting)
    return _enough(known) if learned is None else learned.content != known.content


def _subject() -> str:
    """Whose curve it is: books may stand in one folder."""
    return f"{STAGE} {queries.nursery().pk}"


def push_evidence(learned: LearnedPush, plants: Sequence[BudLooks | None]) -> list[SignEvidence]:
    """What looks say of plants, in their order: one piece a season, since plants of one season share its shift."""
    found = []
    for season in sorted({each.season for each in plants if each}):
        own = [each if each and each.season == season else None for each in plants]
        days, pushed = _columns(own)
        spring = np.array([each.spring if each else np.nan for each in own])
        found.append(learned.curve.evidence(days, pushed, season=season, spring=spring, rng=SEED))
    return found


def _enough(known: _Known) -> bool:
    return known.count(1.0) + known.count(0.0) >= FEWEST_LOOKS and known.count(1.0) > 0


def _known(waiting: Iterable[UUID]) -> _Known:
    left_out = frozenset(waiting)
    return remembered("bud_ends", RESULT_VERSION, {"book": queries.stamp()}, lambda: _with_ends(left_out))


def _with_ends(waiting: frozenset[UUID]) -> _Known:
    nursery, looks, grafts = queries.nursery(), bud_looks(), all_grafts()
    seen = stage_seen(grafts, STAGE, nursery)
    chosen = sorted((graft for graft in grafts if graft.pk in looks and graft.pk not in waiting), key=lambda graft: str(graft.pk))
    truths = [outcome(graft, STAGE, nursery, stage_seen=seen(graft)) for graft in chosen]
    ends = tuple(np.nan if truth is None else float(truth) for truth in truths)
    listed = [looks[graft.pk] for graft in chosen]
    told = sorted(repr((each, end)) for each, end in zip(listed, ends, strict=True))
    return _Known(listed, ends, hashlib.sha256("\n".join(told).encode()).hexdigest())


def _learned(known: _Known) -> LearnedPush | None:
    from scionary.take import bud_push

    if not _enough(known):
        return None
    days, pushed = _columns(known.looks)
    curve = bud_push(
        days,
        pushed,
        season=np.array([each.season for each in known.looks]),
        spring=np.array([each.spring for each in known.looks]),
        taken=np.array(known.ends),
        draws=_DRAWS,
        rng=SEED,
    )
    unknown = len(known.ends) - known.count(1.0) - known.count(0.0)
    return LearnedPush(curve, known.count(1.0), known.count(0.0), unknown, known.content)


def _columns(plants: Sequence[BudLooks | None]) -> tuple[Float, Float]:
    """Days and answers, a row a plant; NaN behind the last look."""
    most = max((len(each.looks) for each in plants if each), default=0) or 1
    days, pushed = np.full((len(plants), most), np.nan), np.full((len(plants), most), np.nan)
    for at, each in enumerate(plants):
        for place, (day, answer) in enumerate(each.looks if each else ()):
            days[at, place], pushed[at, place] = day, answer
    return days, pushed


def _find_looks() -> dict[UUID, BudLooks]:
    return _dated(looks_at("bud_moving"))


def bud_looks_among(grafts: Sequence[Graft]) -> Mapping[UUID, BudLooks]:
    """The same for some plants, given all their grafts."""
    return _dated(looks_among(grafts, "bud_moving"))


def _dated(seen_of: Iterable[tuple[Graft, list[Look]]]) -> dict[UUID, BudLooks]:
    nursery = queries.nursery()
    told = {graft.pk: _told(graft, seen, nursery) for graft, seen in seen_of if graft.precision == "day"}
    return {pk: looks for pk, looks in told.items() if looks.looks}


def _told(graft: Graft, seen: Sequence[Look], nursery: Nursery) -> BudLooks:
    grafted = graft_day(graft, nursery)
    aged = [((at.astimezone(nursery.zone).date() - grafted).days, answer) for at, _, answer in seen]
    last_of_day = [list(group)[-1] for _, group in groupby((each for each in aged if each[0] > 0), key=lambda each: each[0])]
    return BudLooks(str(year_at(grafted, nursery)), _days_to_spring(grafted, nursery.latitude_deg), tuple(last_of_day))


def _days_to_spring(grafted: date, latitude_deg: float | None) -> float:
    """Days to the next spring where a winter lies between, in tens of days; infinite where none does."""
    own = spring_equinox(growing_year(grafted, latitude_deg), latitude_deg)
    if grafted < own - timedelta(days=_WINTER_DAYS):
        spring = own
    elif grafted < own:
        return float("inf")
    else:
        spring = spring_equinox(growing_year(grafted, latitude_deg) + 1, latitude_deg)
    return float(round((spring - grafted).days / _SPRING_STEP) * _SPRING_STEP)
