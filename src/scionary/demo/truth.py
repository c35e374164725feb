"""The demo's truth: what the chance of every graft really was.

The take chance is of the form that the take engine assumes (log odds: cultivar + stock lot + season + dome filling), later stages
lose some more. On top come faults that no engine is told of: an overheated afternoon, a dry weekend, wrong labels.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np

from scionary.demo.chance import stream
from scionary.demo.seasons import Filling
from scionary.demo.tarn_bridge import BY_NAME

MEAN = 1.25  # log odds of firm, all effects at zero
GENUS = {"Acer": 0.0, "Hamamelis": -0.2, "Fagus": -0.5}
LEAFY = 0.15  # added for leafy summer grafts, taken off for dormant ones
CULTIVAR_SD, LOT_SD, SEASON_SD, FILLING_SD = 0.7, 0.35, 0.3, 0.45
GROWING, GROWING_SHARE = 2.3, 0.5  # log odds of growing on once firm; share of the cultivar's effect that still counts
IN_LEAF, IN_LEAF_SHARE, SPRING_SD = 2.2, 0.3, 0.4  # log odds of leafing out once growing; the winter's own luck
WRONG_LABEL_SHARE = 0.03
OVERHEATED, DRY = -1.9, -1.2  # log odds that an overheated afternoon and a dry weekend cost


@dataclass(frozen=True)
class AirFault:
    """Something that went wrong with the air of a dome while grafts healed in it."""

    dome: str
    kind: str  # "overheated" or "dry"
    begin: date
    end: date  # last day

    @property
    def cost(self) -> float:
        return OVERHEATED if self.kind == "overheated" else DRY

    def harms(self, filling: Filling) -> bool:
        return filling.dome == self.dome and filling.day <= self.begin <= filling.day + timedelta(days=31)


@dataclass(frozen=True)
class Outcome:
    """What really became of a graft, with the chances it had."""

    firm: bool
    growing: bool
    in_leaf: bool
    firm_chance: float
    in_leaf_chance: float
    harm: str = ""


@dataclass
class Truth:
    """Draws effects and outcomes; the same seed gives the same, whatever the day."""

    seed: int
    faults: list[AirFault] = field(default_factory=list)

    def effect(self, what: str, sd: float) -> float:
        return float(stream(self.seed, f"effect {what}").normal(0.0, sd))

    def cultivar(self, spoken: str) -> float:
        return GENUS[BY_NAME[spoken].genus] + self.effect(f"cultivar {spoken}", CULTIVAR_SD)

    def log_odds(self, spoken: str, lot: str, filling: Filling) -> float:
        shared = self.effect(f"lot {lot}", LOT_SD) + self.effect(f"season {filling.season}", SEASON_SD)
        dome = self.effect(f"filling {filling.key}", FILLING_SD)
        return MEAN + self.cultivar(spoken) + shared + dome + (LEAFY if filling.leafy else -LEAFY)

    def growing_chance(self, spoken: str) -> float:
        return logistic(GROWING + GROWING_SHARE * self.cultivar(spoken))

    def in_leaf_chance(self, spoken: str, spring: float) -> float:
        return logistic(IN_LEAF + IN_LEAF_SHARE * self.cultivar(spoken) + spring)

    def outcome(self, spoken: str, lot: str, filling: Filling, rng: np.random.Generator) -> Outcome:
        """Draw what becomes of a graft of what is really this cultivar."""
        harm = next((fault for fault in self.faults if fault.harms(filling)), None)
        firm = logistic(self.log_odds(spoken, lot, filling) + (harm.cost if harm else 0.0))
        growing = self.growing_chance(spoken)
        leaf = self.in_leaf_chance(spoken, self.effect(f"spring {filling.season + 1}", SPRING_SD))
        draws = rng.random(3)
        is_firm = bool(draws[0] < firm)
        is_growing = is_firm and bool(draws[1] < growing)
        return Outcome(is_firm, is_growing, is_growing and bool(draws[2] < leaf), firm, firm * growing * leaf, harm.kind if harm else "")

    def long_run(self, spoken: str) -> dict[str, float]:
        """A cultivar's chance to reach each stage, averaged over lots, seasons and dome fillings; without faults of the air."""
        nodes, weights = np.polynomial.hermite_e.hermegauss(31)
        weights = weights / weights.sum()
        shared_sd = float(np.sqrt(LOT_SD**2 + SEASON_SD**2 + FILLING_SD**2))
        methods = (LEAFY, -LEAFY) if BY_NAME[spoken].genus == "Acer" else (-LEAFY,)
        firm = float(np.mean([weights @ logistic_all(MEAN + self.cultivar(spoken) + method + shared_sd * nodes) for method in methods]))
        growing = firm * self.growing_chance(spoken)
        leaf = float(weights @ logistic_all(IN_LEAF + IN_LEAF_SHARE * self.cultivar(spoken) + SPRING_SD * nodes))
        return {"firm": round(firm, 4), "growing": round(growing, 4), "in_leaf": round(growing * leaf, 4)}

    def model(self) -> dict[str, Any]:
        """The numbers of the model, for the record."""
        return {
            "mean": MEAN,
            "cultivar_sd": CULTIVAR_SD,
            "lot_sd": LOT_SD,
            "season_sd": SEASON_SD,
            "filling_sd": FILLING_SD,
            "leafy": LEAFY,
            "overheated": OVERHEATED,
            "dry": DRY,
            "wrong_label_share": WRONG_LABEL_SHARE,
        }


def logistic(log_odds: float) -> float:
    return float(1.0 / (1.0 + np.exp(-log_odds)))


def logistic_all(log_odds: np.ndarray) -> np.ndarray:
    return np.asarray(1.0 / (1.0 + np.exp(-log_odds)))


def air_faults(past: list[Filling], present: list[Filling], today: date) -> list[AirFault]:
    """One overheated afternoon and one dry weekend in the last past summer, and one of each in what stands now."""
    last_summer = {f.dome: f.day for f in past if f.leafy}
    hot_day = last_summer["Dome 2"] + timedelta(days=12)
    dry_saturday = _saturday_from(last_summer["Long case"] + timedelta(days=6))
    recent_saturday = _saturday_from(today - timedelta(days=8))
    recent_hot = today - timedelta(days=5)
    return [
        AirFault("Dome 2", "overheated", hot_day, hot_day),
        AirFault("Long case", "dry", dry_saturday, dry_saturday + timedelta(days=1)),
        AirFault(present[1].dome, "overheated", recent_hot, recent_hot),
        AirFault(present[0].dome, "dry", recent_saturday, recent_saturday + timedelta(days=1)),
    ]


def _saturday_from(day: date) -> date:
    """The first Saturday on or after a day."""
    return day + timedelta(days=(5 - day.weekday()) % 7)
