"""What early signs are worth in this book, and what they make of the plants whose take is not known yet.

A stalk that drops, a bud that moves: neither is the take. How often each goes with it is learned from grafts that were followed up,
with a thought for growers who throw the "no" away. Plants of one filling of a dome share its luck, so what is seen on one moves them all.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from uuid import UUID

import numpy as np
import numpy.typing as npt

from scionary.answers.outcomes import answered, outcome, stage_seen
from scionary.answers.remembered import remembered
from scionary.answers.take_facts import all_grafts, fillings_of, level_of
from scionary.answers.take_model import SEED, TakeModel, cells_for, take_model
from scionary.answers.words import percent, percent_range, plural
from scionary.book import queries
from scionary.book.kinds import STAGES
from scionary.book.models import Graft, Plant

if TYPE_CHECKING:
    from scionary.take import PlantChances, SignAccuracy

RESULT_VERSION = 1
STAGE = "firm"
SIGNS = {"stalk_drops": "a stalk that drops", "bud_moving": "a bud that moves"}
_DRAWS = 8_000
_CONFIDENCE = 0.9


@dataclass(frozen=True)
class SignWorth:
    """What one sign is worth: how often takes show it, and how often failures do not."""

    sign: str
    name: str
    scored: int
    followed: int
    sensitivity: tuple[float, float, float]
    specificity: tuple[float, float, float]

    @property
    def words(self) -> str:
        """A stalk that drops: shown by 85 % of takes ..."""
        (seen, seen_low, seen_high), (not_seen, low, high) = self.sensitivity, self.specificity
        return (
            f"{self.name[:1].upper()}{self.name[1:]}: {percent(seen)} of takes show it ({percent_range(seen_low, seen_high)}), "
            f"{percent(1 - not_seen)} of failures do too ({percent_range(1 - high, 1 - low)}); "
            f"scored on {plural(self.scored, 'graft')}, {self.followed} of them followed up."
        )


Chance = tuple[float, float, float]  # low, middle, high


def sign_worths() -> list[SignWorth]:
    """What each early sign is worth, from the grafts on which it was scored; nothing for a sign that nobody scored."""
    accuracies, counts = _accuracies()
    found = []
    for sign, accuracy in accuracies.items():
        scored, followed = counts[sign]
        if scored:
            told = [(each.mean, each.low, each.high) for each in (accuracy.sensitivity, accuracy.specificity)]
            found.append(SignWorth(sign, SIGNS[sign], scored, followed, told[0], told[1]))
    return found


def waiting_chances(plants: Iterable[Plant]) -> dict[UUID, Chance]:
    """The chance of each of these plants, whose take is not known yet, to be firm: low, middle and high.

    All plants of a filling that wait are weighed together, asked for or not, so that a plant has one chance on every page.
    """
    chances: dict[UUID, Chance] = {}
    for group in {_group_of(plant) for plant in plants} - {None}:
        listed = _members(group)
        found = _weighed(listed, None)
        chances |= {each.plant_id: (float(found.low[i]), float(found.chance[i]), float(found.high[i])) for i, each in enumerate(listed)}
    return chances


def waiting_totals(plants: Iterable[Plant]) -> list[npt.NDArray[np.int64]]:
    """Equally likely numbers of these plants that are alive, for each filling that they stand in; fillings are taken one by one."""
    chosen: dict[str, set[UUID]] = defaultdict(set)
    for plant in plants:
        if (group := _group_of(plant)) is not None:
            chosen[group].add(plant.pk)
    return [_weighed(_members(group), frozenset(idents)).total_draws for group, idents in chosen.items()]


@dataclass(frozen=True)
class Awaited:
    """A graft whose take is not known yet: the levels of its factors, and the signs scored on it."""

    plant_id: UUID
    levels: Mapping[str, str]
    scores: tuple[float, ...]


def _members(group: str | None) -> Sequence[Awaited]:
    """All that wait in a filling, in a fixed order."""
    return _awaited()[0].get(group or "", [])


def _group_of(plant: Plant) -> str | None:
    """None for a plant that does not wait, or of which no graft is known."""
    return _awaited()[1].get(plant.pk)


def _awaited() -> tuple[dict[str, list[Awaited]], dict[UUID, str]]:
    """All plants that wait, by what they share with others: filling, else bench day, else season; and each one's group."""
    return remembered("awaited", RESULT_VERSION, {"book": queries.stamp()}, _find_awaited)


def _find_awaited() -> tuple[dict[str, list[Awaited]], dict[UUID, str]]:
    nursery = queries.nursery()
    grafts = all_grafts()
    fillings = fillings_of(grafts, nursery)
    last: dict[UUID, Graft] = {}
    for graft in sorted(grafts, key=lambda each: (each.grafted_at, each.pk)):
        last[graft.plant_id] = graft
    groups: dict[str, list[Awaited]] = defaultdict(list)
    own: dict[UUID, str] = {}
    for ident in sorted(queries.plants().filter(state__in=queries.STANDING).values_list("pk", flat=True), key=str):
        if ident not in last or any(answered(last[ident], stage, nursery) is not None for stage in STAGES):
            continue
        levels = {factor: key for factor, (key, _) in level_of(last[ident], nursery, fillings).items() if key}
        own[ident] = levels.get("dome") or levels.get("day") or levels.get("season", "")
        groups[own[ident]].append(Awaited(ident, levels, tuple(_score(last[ident], sign) for sign in SIGNS)))
    return dict(groups), own


def _weighed(members: Sequence[Awaited], counted: frozenset[UUID] | None) -> PlantChances:
    model, (accuracies, _) = take_model(STAGE), _accuracies()
    asked = {
        "content": model.content,
        "members": [(str(each.plant_id), sorted(each.levels.items()), each.scores) for each in members],
        "worth": {sign: accuracy.counts for sign, accuracy in accuracies.items()},
        "counted": sorted(str(ident) for ident in counted) if counted is not None else None,
    }
    return remembered("waiting_chances", RESULT_VERSION, asked, lambda: _update(model, members, counted, accuracies), seed=SEED)


def _update(
    model: TakeModel, members: Sequence[Awaited], counted: frozenset[UUID] | None, accuracies: Mapping[str, SignAccuracy]
) -> PlantChances:
    from scionary.take import update_with_signs

    keys = [repr(sorted(each.levels.items())) for each in members]
    different = {key: each.levels for key, each in zip(keys, members, strict=True)}
    place = {key: i for i, key in enumerate(different)}
    return update_with_signs(
        model.fit,
        cells_for(model.fit, list(different.values())),
        {sign: [each.scores[i] for each in members] for i, sign in enumerate(SIGNS)},
        accuracies,
        cell=np.array([place[key] for key in keys], dtype=np.int64),
        counted=None if counted is None else [each.plant_id in counted for each in members],
        draws=_DRAWS,
        confidence=_CONFIDENCE,
        rng=SEED,
    )


def _accuracies() -> tuple[dict[str, SignAccuracy], dict[str, tuple[int, int]]]:
    return remembered("sign_accuracies", RESULT_VERSION, {"book": queries.stamp()}, _learned)


def _learned() -> tuple[dict[str, SignAccuracy], dict[str, tuple[int, int]]]:
    from scionary.take import SIGN_PRIORS, score_signs

    nursery = queries.nursery()
    grafts = all_grafts()
    seen = stage_seen(grafts, STAGE, nursery)
    scored = [graft for graft in grafts if any(not np.isnan(_score(graft, sign)) for sign in SIGNS)]
    truths = [outcome(graft, STAGE, nursery, stage_seen=seen(graft)) for graft in scored]
    ends = np.array([np.nan if truth is None else float(truth) for truth in truths])
    accuracies, counts = {}, {}
    for sign in SIGNS:
        scores = np.array([_score(graft, sign) for graft in scored])
        there = ~np.isnan(scores)
        accuracies[sign] = score_signs(scores[there], ends[there], SIGN_PRIORS[sign])
        counts[sign] = (int(there.sum()), int((there & ~np.isnan(ends)).sum()))
    return accuracies, counts


def _score(graft: Graft, sign: str) -> float:
    answer = getattr(graft, sign)
    return 1.0 if answer == "yes" else 0.0 if answer == "no" else np.nan
