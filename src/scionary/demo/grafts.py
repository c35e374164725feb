"""What was grafted: for every dome filling its grafts in order, each with cultivar, stock, tree, thickness and its true fate."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from scionary.demo.chance import stream
from scionary.demo.ground import lot_name
from scionary.demo.seasons import Filling
from scionary.demo.tarn_bridge import LOT_A_SHARE, LOTS, VARIETIES, Variety
from scionary.demo.truth import WRONG_LABEL_SHARE, Outcome, Truth

_LONGEST_RUN = 6
_MEASURED_SHARE = 0.45
_TREE_KNOWN_SHARE = 0.93
MINUTES_A_GRAFT = 6


@dataclass(frozen=True)
class Planned:
    """One graft as it was made, and what it really is."""

    key: str
    filling: Filling
    place: int
    cultivar: str
    really: str
    lot: str
    tree: str
    stock_mm: float | None
    scion_mm: float | None
    outcome: Outcome

    @property
    def minute(self) -> int:
        """Minutes after the bench day's start at nine."""
        return self.place * MINUTES_A_GRAFT

    def chances(self) -> dict[str, float]:
        return {"firm": round(self.outcome.firm_chance, 4), "in_leaf": round(self.outcome.in_leaf_chance, 4)}


def planned_grafts(fillings: Sequence[Filling], truth: Truth) -> list[Planned]:
    """All first grafts of all fillings; a session shares its cultivars out among its domes."""
    found: list[Planned] = []
    for (season, leafy, now), session in groupby(fillings, key=lambda f: (f.season, f.leafy, f.now)):
        domes = list(session)
        rng = stream(truth.seed, f"bench {season} {leafy} {now}")
        runs = _runs(sum(f.grafts for f in domes), leafy=leafy, rng=rng)
        found += [planned for filling in domes for planned in _fill(filling, runs, truth)]
    return found


def one_graft(filling: Filling, place: int, variety: Variety, letter: str, truth: Truth, *, lot: str = "") -> Planned:
    """One graft with all that chance decides about it; the stock is of the season's own lot unless another is named."""
    key = f"{filling.key} {place}"
    rng = stream(truth.seed, f"graft {key}")
    lot = lot or lot_name(filling.season, letter)
    really = _other(variety, rng).spoken if rng.random() < WRONG_LABEL_SHARE else variety.spoken
    stock_mm, scion_mm = _thickness(letter, rng)
    trees = [f"{variety.spoken}, {where}" for where, _ in variety.trees]
    tree = trees[min(int(rng.integers(0, 3)), len(trees)) - 1] if rng.random() < _TREE_KNOWN_SHARE else ""
    outcome = truth.outcome(really, lot, filling, rng)
    return Planned(key, filling, place, variety.spoken, really, lot, tree, stock_mm, scion_mm, outcome)


def _fill(filling: Filling, runs: Iterator[tuple[Variety, str]], truth: Truth) -> list[Planned]:
    return [one_graft(filling, place, *next(runs), truth) for place in range(1, filling.grafts + 1)]


def _runs(count: int, *, leafy: bool, rng: np.random.Generator) -> Iterator[tuple[Variety, str]]:
    """Cultivar and lot letter of each graft of a session, in short runs of one cultivar; only maples are grafted in leaf."""
    offered = [v for v in VARIETIES if not leafy or v.genus == "Acer"]
    weights = np.array([v.weight for v in offered])
    numbers = rng.multinomial(count, weights / weights.sum())
    runs = [
        (v, min(_LONGEST_RUN, n - start)) for v, n in zip(offered, numbers.tolist(), strict=True) for start in range(0, n, _LONGEST_RUN)
    ]
    for at in rng.permutation(len(runs)):
        variety, length = runs[at]
        letter = _lot_letter(variety, rng)
        yield from [(variety, letter)] * length


def _lot_letter(variety: Variety, rng: np.random.Generator) -> str:
    letters = [letter for letter, (*_, genus) in LOTS.items() if genus == variety.genus]
    return letters[0] if len(letters) == 1 or rng.random() < LOT_A_SHARE else letters[1]


def _other(variety: Variety, rng: np.random.Generator) -> Variety:
    """A cultivar of the same genus that a label can be swapped with."""
    others = [v for v in VARIETIES if v.genus == variety.genus and v is not variety]
    return others[int(rng.integers(len(others)))]


def _thickness(letter: str, rng: np.random.Generator) -> tuple[float | None, float | None]:
    stock_mm = max(3.0, rng.normal(LOTS[letter][2], 1.1))
    scion_mm = max(2.0, rng.normal(0.62, 0.12) * stock_mm)
    measured, both = rng.random(2)
    if measured > _MEASURED_SHARE:
        return None, None
    return round(float(stock_mm), 1), round(float(scion_mm), 1) if both < 0.8 else None
