"""What early signs are worth in this book, and what they make of the plants whose take is not known yet.

A stalk that drops, a bud that moves: neither is the take. How often each goes with it is learned from grafts that were followed up,
with a thought for growers who throw the "no" away. Plants of one filling of a dome share its luck, so what is seen on one moves them all.
Looks at buds that carry a date speak by their day, once a curve of bud push was learned.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from threading import Lock
from typing import TYPE_CHECKING, Any
from uuid import UUID

import numpy as np
import numpy.typing as npt

from scionary.answers.bud_looks import LearnedPush, last_push, push_at_hand, push_evidence
from scionary.answers.held import held
from scionary.answers.learned import last_learned, learn, learned
from scionary.answers.outcomes import outcome, stage_seen
from scionary.answers.remembered import remembered
from scionary.answers.sign_looks import early_score, score
from scionary.answers.since import Since, only_plants
from scionary.answers.take_facts import all_grafts
from scionary.answers.take_model import SEED, TakeModel, cells_for, take_model
from scionary.answers.waiting_near import NearAwaited
from scionary.answers.waiting_plants import SIGNS, AllAwaited, Awaited, awaited
from scionary.book import queries
from scionary.book.models import Plant

if TYPE_CHECKING:
    from scionary.take import PlantChances, SignAccuracy

RESULT_VERSION = 2
STAGE = "firm"
DRAWS = 8_000
CONFIDENCE = 0.9


@dataclass(frozen=True)
class Chance:
    """A plant's chance with its range; `before` any sign was seen, and whether signs were scored on the plant itself."""

    low: float
    mid: float
    high: float
    before: float
    own_signs: bool = False


@dataclass(frozen=True)
class Weights:
    """All that the plants which wait are weighed with, as the book stands."""

    model: TakeModel
    accuracies: Mapping[str, SignAccuracy]
    push: LearnedPush | None
    waiting: AllAwaited | NearAwaited
    chances: dict[str, PlantChances] = field(default_factory=dict, compare=False)


_one_reading: ContextVar[list[Weights] | None] = ContextVar("one_reading", default=None)


@contextmanager
def one_reading() -> Iterator[None]:
    """Within this, the book is read once for all plants that are asked for, when the first is; nothing may be written meanwhile."""
    outer = _one_reading.get()
    token = _one_reading.set([] if outer is None else outer)
    try:
        yield
    finally:
        _one_reading.reset(token)


def weights() -> Weights:
    read = _one_reading.get()
    if read is None:
        return _read()
    if not read:
        read.append(_read())
    return read[0]


def _read() -> Weights:
    if reads_near():
        return _NEAR.weights()
    waiting = awaited()
    return Weights(take_model(STAGE), sign_accuracies(), push_at_hand(waiting.grafts), waiting)


@dataclass
class _Near:
    """What the pages of a large book weigh plants with, held until something else was learned; who was written about is read again."""

    since: Since = field(default_factory=Since)
    held: Weights | None = None
    lock: Lock = field(default_factory=Lock)

    def weights(self) -> Weights:
        with self.lock, self.since.looking() as changed:
            now, last = Weights(take_model(STAGE), sign_accuracies(), last_push(), NearAwaited()), self.held
            if changed is None or last is None or not _alike(last, now) or only_plants(changed) is None:
                self.held = now
            elif changed:
                assert isinstance(last.waiting, NearAwaited)
                near = last.waiting.without(only_plants(changed) or ())
                chances = {group: found for group, found in last.chances.items() if group in near.read}
                self.held = replace(now, waiting=near, chances=chances)
            assert self.held is not None
            return self.held


def _alike(one: Weights, other: Weights) -> bool:
    return (
        one.model.content == other.model.content
        and one.accuracies is other.accuracies
        and (one.push.content if one.push else "") == (other.push.content if other.push else "")
    )


_NEAR = _Near()


def reads_near() -> bool:
    """Whether a page reads only what stands beside the plants that it shows: in a large book, of which something was learned already."""
    return last_learned("sign_accuracies", RESULT_VERSION) is not None


def waiting_chances(plants: Iterable[Plant]) -> dict[UUID, Chance]:
    """The chance of each of these plants, whose take is not known yet, to be firm.

    All plants of a filling that wait are weighed together, asked for or not, so that a plant has one chance on every page.
    """
    using = weights()
    chances: dict[UUID, Chance] = {}
    for group in sorted(set(using.waiting.groups_of(plant.pk for plant in plants).values())):
        listed, found = using.waiting.members(group), _of_group(using, group)
        columns = zip(listed, found.low, found.chance, found.high, found.before, strict=True)
        chances |= {each.plant_id: Chance(float(a), float(b), float(c), float(d), each.seen) for each, a, b, c, d in columns}
    return chances


def waiting_totals(plants: Iterable[Plant]) -> list[npt.NDArray[np.int64]]:
    """Equally likely numbers of these plants that are alive, for each filling that they stand in; fillings are taken one by one."""
    using = weights()
    chosen: dict[str, set[UUID]] = defaultdict(set)
    for ident, group in using.waiting.groups_of(plant.pk for plant in plants).items():
        chosen[group].add(ident)
    return [_total(using, group, frozenset(idents)) for group, idents in sorted(chosen.items())]


def _total(using: Weights, group: str, counted: frozenset[UUID]) -> npt.NDArray[np.int64]:
    members = using.waiting.members(group)
    if len(counted) == len(members):
        return _of_group(using, group).total_draws
    return _weighed(using, members, counted).total_draws


def _of_group(using: Weights, group: str) -> PlantChances:
    if group not in using.chances:
        using.chances[group] = _weighed(using, using.waiting.members(group), None)
    return using.chances[group]


def _weighed(using: Weights, members: Sequence[Awaited], counted: frozenset[UUID] | None) -> PlantChances:
    last: tuple[dict[str, PlantChances]] | None = last_learned("chances_of_groups", RESULT_VERSION)
    if counted is None and last is not None:
        learned_of_group = last[0].get(_asked_key(using, members))
        if learned_of_group is not None:
            return learned_of_group
    asked = {**asked_of(using, members), "counted": sorted(str(ident) for ident in counted) if counted is not None else None}
    return remembered("waiting_chances", RESULT_VERSION, asked, lambda: weigh(using, members, counted), seed=SEED)


def learn_chances() -> None:
    """Weigh the plants of every filling that wait, for the pages of a large book."""

    def all_groups() -> dict[str, PlantChances]:
        using = weights()
        members = [using.waiting.members(group) for group in sorted(set(awaited().own.values()))]
        return {_asked_key(using, each): _weighed(using, each, None) for each in members}

    with one_reading():
        learn("chances_of_groups", RESULT_VERSION, all_groups)


def _asked_key(using: Weights, members: Sequence[Awaited]) -> str:
    return hashlib.sha256(repr(sorted(asked_of(using, members).items())).encode()).hexdigest()


def asked_of(using: Weights, members: Sequence[Awaited]) -> dict[str, Any]:
    """All that the chances of these plants rest on."""
    return {
        "content": using.model.content,
        "members": [(str(each.plant_id), sorted(each.levels.items()), each.scores, repr(each.looks)) for each in members],
        "worth": {sign: accuracy.counts for sign, accuracy in using.accuracies.items()},
        "push": using.push.content if using.push else None,
    }


def weigh(using: Weights, members: Sequence[Awaited], counted: frozenset[UUID] | None, *, draws: int = DRAWS) -> PlantChances:
    """The chances of these plants, weighed together; `counted` are those that count in the total, all when left out."""
    from scionary.take import update_with_signs

    keys = [repr(sorted(each.levels.items())) for each in members]
    different = {key: each.levels for key, each in zip(keys, members, strict=True)}
    place = {key: i for i, key in enumerate(different)}
    looks = [each.looks if using.push else None for each in members]
    scores = {sign: [each.scores[i] for each in members] for i, sign in enumerate(SIGNS)}
    # a look with its day says more than the sign alone, and must not count twice
    scores["bud_moving"] = [np.nan if look else known for look, known in zip(looks, scores["bud_moving"], strict=True)]
    return update_with_signs(
        using.model.fit,
        cells_for(using.model.fit, list(different.values())),
        scores,
        using.accuracies,
        cell=np.array([place[key] for key in keys], dtype=np.int64),
        evidence=push_evidence(using.push, looks) if using.push else (),
        counted=None if counted is None else [each.plant_id in counted for each in members],
        draws=draws,
        confidence=CONFIDENCE,
        rng=SEED,
    )


def sign_accuracies() -> dict[str, SignAccuracy]:
    """What each sign is worth, from grafts that no longer wait: what is seen on those that do is weighed by it, not counted in it.

    Where a page cannot wait, as it was learned last.
    """
    return learned("sign_accuracies", RESULT_VERSION, lambda: held("sign_accuracies", queries.stamp(), _learned))


def learn_accuracies() -> None:
    """Learn what each sign is worth, for the pages of a large book."""
    learn("sign_accuracies", RESULT_VERSION, sign_accuracies)


def _learned() -> dict[str, SignAccuracy]:
    from scionary.take import SIGN_PRIORS, score_signs

    nursery, grafts, waiting = queries.nursery(), all_grafts(), awaited()
    seen = stage_seen(grafts, STAGE, nursery)
    early = {sign: early_score(sign, STAGE, nursery) for sign in SIGNS}
    known = [graft for graft in grafts if graft.pk not in waiting.grafts and any(not np.isnan(score(graft, sign)) for sign in SIGNS)]
    truths = [outcome(graft, STAGE, nursery, stage_seen=seen(graft)) for graft in known]
    ends = np.array([np.nan if truth is None else float(truth) for truth in truths])
    return {sign: score_signs([early[sign](graft) for graft in known], ends, SIGN_PRIORS[sign]) for sign in SIGNS}
