"""Each plant's chance of life, as its ring shows it, and how many of a group are likely alive.

A stage that was scored when it could be told is taken as it stands. A plant not yet scored has the chance that the take model gives its
cultivar, tree, lot, season and filling of a dome, moved by what was seen on it and on those beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from uuid import UUID

import numpy as np
import numpy.typing as npt

from scionary.answers.early_signs import Chance, waiting_chances, waiting_totals
from scionary.answers.outcomes import answered, disputed
from scionary.answers.rates import CONFIDENCE, coming_draws
from scionary.answers.words import count_range, percent, percent_range
from scionary.book import queries
from scionary.book.kinds import STAGES
from scionary.book.leafless import stalk_flags
from scionary.book.models import Nursery, Plant
from scionary.language import Words, mark, say

_SIGN_WORDS = Words(
    {
        "stalk_drops_yes": mark("stalk drops: alive, not yet united"),
        "stalk_drops_no": mark("stalk stays"),
        "bud_moving_yes": mark("bud moving"),
        "bud_moving_no": mark("bud still"),
        "callus_seen_yes": mark("callus seen"),
        "firm_yes": mark("firm"),
        "firm_no": mark("not firm"),
        "firm_unsure": mark("not sure"),
        "growing_yes": mark("growing"),
        "growing_no": mark("not growing"),
        "in_leaf_yes": mark("in leaf"),
        "in_leaf_no": mark("not in leaf"),
        "wilting": mark("wilting"),
        "mould": mark("mould"),
        "missing": mark("missing"),
        "unchanged": mark("unchanged"),
        "found": mark("found again"),
        "name_in_doubt": mark("name in doubt"),
        "growing_unsure": mark("growing unsure"),
        "in_leaf_unsure": mark("in leaf unsure"),
        "stalk_drops_unsure": mark("stalk drops unsure"),
        "bud_moving_unsure": mark("bud moving unsure"),
        "callus_seen_unsure": mark("callus seen unsure"),
        "callus_seen_no": mark("callus seen no"),
        "stalks_picked_out": mark("stalks picked out"),
        "lost": mark("lost"),
    }
)

_MOVED_BY = Words(
    {
        "stalk_drops_yes": mark("its stalk dropped, which says alive, not yet united"),
        "stalk_drops_no": mark("its stalk stayed"),
        "bud_moving_yes": mark("its bud moved"),
        "bud_moving_no": mark("its bud was seen still"),
    }
)
_LEAST_MOVE = 0.01  # a smaller move is not told


@dataclass(frozen=True)
class Ring:
    """A plant's chance of life: the arc's low end, best guess and high end, 0 to 1; `mark` is "", "cross" or "question".

    `chance` tells in few words how it was moved by what was seen, "70 → 87 %"; empty where it is not a chance that is known.
    """

    low: float
    mid: float
    high: float
    mark: str
    words: str
    chance: str = ""


def sign_words(sign: str) -> str:
    """What was last seen on a plant, in words."""
    return _SIGN_WORDS.get(sign, sign.replace("_", " "))


def lost_words(sign: str, cause: str) -> str:
    """Lost: dried up; suspected: too dry. What the program offers to tap is said in the reader's language."""
    told = {"sign": say(sign), "cause": say(cause)}
    if sign and cause:
        return say("lost: {sign}; suspected: {cause}", **told)
    return say("lost: {sign}", **told) if sign else say("lost; suspected: {cause}", **told) if cause else say("lost")


def rings(plants: Iterable[Plant]) -> dict[UUID, Ring]:
    """The ring of each plant."""
    nursery = queries.nursery()
    told = [(plant, evidence(plant, nursery)) for plant in plants]
    open_ones = [plant for plant, what in told if what in (Evidence.WAITING, Evidence.DOUBT)]
    chances = waiting_chances([plant for plant, what in told if what is Evidence.WAITING])
    ranges = chances | _unseen([plant for plant in open_ones if plant.id not in chances])
    return {plant.id: _ring(plant, ranges, what) for plant, what in told}


def _unseen(plants: Sequence[Plant]) -> dict[UUID, Chance]:
    """For a plant on which records are in doubt: what a graft of its cultivar has in a coming season."""
    wanted = sorted({plant.cultivar_id for plant in plants if plant.cultivar_id}, key=str)
    if not wanted:
        return {}
    draws, _ = coming_draws("firm", wanted)
    low, high = np.quantile(draws, [(1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2], axis=0)
    mean = draws.mean(axis=0)
    own = {ident: Chance(float(low[i]), float(mean[i]), float(high[i]), float(mean[i])) for i, ident in enumerate(wanted)}
    return {plant.id: own[plant.cultivar_id] for plant in plants if plant.cultivar_id}


def likely_alive(plants: Iterable[Plant]) -> tuple[int, int, int]:
    """How many of these are likely alive: low, best guess and high, nine times in ten.

    Plants of one filling share its luck, moved by the signs seen on them; whether each takes is drawn on top of that. Those of
    which only doubt is known (not firm, records disagree) count at the high end alone.
    """
    nursery = queries.nursery()
    told = [(plant, evidence(plant, nursery)) for plant in plants]
    sure = sum(what is Evidence.ALIVE for _, what in told)
    doubtful = sum(what is Evidence.DOUBT for _, what in told)
    waiting = [plant for plant, what in told if what is Evidence.WAITING]
    if not waiting:
        return sure, sure, sure + doubtful
    totals = np.sum([_same_length(draws) for draws in [*waiting_totals(waiting), *_unseen_totals(waiting)]], axis=0)
    low, mid, high = (int(v) for v in np.quantile(totals, [0.05, 0.5, 0.95], method="inverted_cdf"))
    return sure + low, sure + mid, sure + high + doubtful


def _unseen_totals(plants: Sequence[Plant]) -> list[npt.NDArray[np.int64]]:
    """Numbers alive among plants that no filling is known of, each with its cultivar's chance in a coming season."""
    seen = waiting_chances(plants)
    found = []
    for ident, chance in _unseen([plant for plant in plants if plant.id not in seen]).items():
        rng = np.random.default_rng(ident.int % (1 << 32))
        found.append(rng.binomial(1, np.clip(rng.triangular(chance.low, chance.mid, chance.high, size=4000), 0, 1)))
    return found


def _same_length(draws: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Fillings may come with different numbers of draws; each is drawn from anew, by itself."""
    return np.random.default_rng(len(draws) + int(draws.sum())).choice(draws, size=4000)


def alive_words(plants: Iterable[Plant], alive: tuple[int, int, int] | None = None) -> str:
    """7 of 10 alive; between 5 and 9; 1 missing. `alive` is what `likely_alive` says of them, where that is known already."""
    listed = [p for p in plants if p.state not in (Plant.State.LEFT, Plant.State.MISSING)]
    everything = [p for p in plants if p.state == Plant.State.MISSING]
    low, mid, high = alive or likely_alive(listed)
    words = count_range(low, mid, high, len(listed))
    return say("{words}; {everything} missing", words=words, everything=len(everything)) if everything else words


class Evidence(Enum):
    """What a plant's records say of its life."""

    ALIVE = "alive"
    WAITING = "waiting"
    DOUBT = "doubt"
    DEAD = "dead"
    NOWHERE = "nowhere"


def evidence(plant: Plant, nursery: Nursery) -> Evidence:
    """Alive only once a stage was scored when it could be told; firm in the first weeks is firm so far."""
    if plant.state == Plant.State.DEAD and "state" not in plant.disputed:
        return Evidence.DEAD
    if plant.state in (Plant.State.MISSING, Plant.State.LEFT):
        return Evidence.NOWHERE
    graft = next(iter(reversed(list(plant.grafts.all()))), None)
    if graft is None:
        return Evidence.WAITING
    if any(disputed(graft, stage) for stage in STAGES):
        return Evidence.DOUBT
    answers = [answered(graft, stage, nursery) for stage in STAGES]
    if False in answers and plant.state != Plant.State.ALIVE:
        return Evidence.DOUBT
    return Evidence.ALIVE if True in answers and plant.state == Plant.State.ALIVE else Evidence.WAITING


def _ring(plant: Plant, ranges: Mapping[UUID, Chance], what: Evidence) -> Ring:
    name, seen = plant.spoken, _last_seen(plant)
    chance = ranges.get(plant.id, Chance(0.0, 0.5, 1.0, 0.5))
    if what is Evidence.DEAD:
        return Ring(0, 0, 0, "cross", say("{name}: lost", name=name))
    if what is Evidence.NOWHERE:
        return Ring(0, 0, 0, "question", f"{name}: {plant.get_state_display()}")
    if what is Evidence.DOUBT:
        why = say("records disagree") if plant.disputed else say("whether it lives is not known")
        return Ring(0, 0, chance.high, "question", f"{name}: {why}{seen}")
    if what is Evidence.ALIVE:
        return Ring(1, 1, 1, "", say("{name}: alive{seen}", name=name, seen=seen))
    so_far = say(" so far") if plant.last_sign.endswith("_yes") and plant.state == Plant.State.ALIVE else ""
    told = say(
        "{name}: {mid} to be firm, {percent_range}",
        name=name,
        mid=percent(chance.mid),
        percent_range=percent_range(chance.low, chance.high),
    )
    words = f"{told}. {_moved(plant, chance)}{so_far}." if _has_moved(chance) else f"{told}{_last_seen(plant)}{so_far}"
    return Ring(chance.low, chance.mid, chance.high, "", words, _in_short(chance) if plant.id in ranges else "")


def _has_moved(chance: Chance) -> bool:
    return abs(chance.mid - chance.before) >= _LEAST_MOVE


def _in_short(chance: Chance) -> str:
    """70 → 87 %; the chance alone where it did not move."""
    before, now = percent(chance.before), percent(chance.mid)
    return f"{before.removesuffix(' %')} → {now}" if _has_moved(chance) and before != now else now


def _last_seen(plant: Plant) -> str:
    return f"; {sign_words(plant.last_sign)}" if plant.last_sign else ""


def _moved(plant: Plant, chance: Chance) -> str:
    """What the chance was before any sign was seen and which sign moved it; and what was seen last."""
    was, seen = say("It was {before} before ", before=percent(chance.before)), _last_seen(plant)
    if not chance.own_signs:
        return say("{was}signs were seen beside it{seen}", was=was, seen=seen)
    counts = plant.last_sign in _MOVED_BY and not (plant.last_sign.startswith("stalk_drops") and stalk_flags(plant))
    return was + _MOVED_BY[plant.last_sign] if counts else say("{was}its signs were seen{seen}", was=was, seen=seen)
