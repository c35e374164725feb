"""What signs are worth, simulated: how well accuracies are learned, whether a season's range holds its total, and how soon it is there.

python benchmarks/take_signs.py               prints the figures (about a quarter of an hour); exit code 1 when an aim is missed
python benchmarks/take_signs.py --seasons N   with N simulated seasons of 150 and 300 plants in place of 600
python benchmarks/take_signs.py --write       also puts them, dated, into benchmarks/results/take_signs.json

The alternative to sampling around the mode is plain weighing: draws of the same shocks, weighed by the same signs, until as many are
effective as the engine hands back. Drawing them is not counted. Where even the most draws tried here do not reach it, the time is
extrapolated by the effective share that was reached, and named so: few draws promise too much, so that this is the least it would take.
Seconds are the processor's.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from scionary.take import SIGN_PRIORS, SignAccuracy, SignEvidence, chances_with_signs, score_signs
from scionary.take.seen_plants import SeenPlants
from scionary.take.weights import effective_draws, normalised
from scionary.units import Float

ROOT = Path(__file__).resolve().parent.parent
STORED = ROOT / "benchmarks" / "results" / "take_signs.json"
TRUE = {"stalk_drops": (0.9, 0.5), "bud_moving": (0.7, 0.8), "callus_seen": (0.85, 0.7)}
SEASONS, LARGE, REPLICATES = 600, 24, 4000
DRAWS, BLOCK, MOST_NUMBERS = 4000, 4000, 120_000_000
MOST_BIAS, LEAST_HELD, LEAST_EFFECTIVE = 0.02, 0.85, 400.0
MOST_S = {300: 0.5, 3000: 5.0}
RECORDS = (
    # sign, plants, take rate, sensitivity, specificity, share of "yes" and of "no" that is followed up
    ("stalk_drops", 200, 0.6, 0.9, 0.5, 1.0, 0.1),
    ("stalk_drops", 200, 0.6, 0.95, 0.4, 1.0, 0.1),
    ("stalk_drops", 600, 0.6, 0.85, 0.7, 0.8, 0.1),
    ("bud_moving", 200, 0.7, 0.6, 0.8, 1.0, 0.1),
    ("callus_seen", 200, 0.5, 0.7, 0.85, 0.9, 0.15),
)


@dataclass(frozen=True)
class Learned:
    """How well the accuracy of one sign is learned from many simulated records, most "no" plants thrown away."""

    record: str
    replicates: int
    sensitivity_bias: float
    specificity_bias: float
    sensitivity_held: float
    specificity_held: float
    counted_bias: float

    def missed(self) -> list[str]:
        """Aims that are not met."""
        worst = max(abs(self.sensitivity_bias), abs(self.specificity_bias))
        return [f"{self.record}: bias {worst:.3f}, aim at most {MOST_BIAS:g}"] if worst > MOST_BIAS else []


@dataclass(frozen=True)
class Totals:
    """How often a season's 90 % range holds the number that took."""

    plants: int
    signs: str
    seasons: int
    held: float
    least_effective: float
    median_effective: float
    median_s: float

    def missed(self) -> list[str]:
        """Aims that are not met."""
        words = [f"{self.plants} plants: {self.held:.3f} held, aim {LEAST_HELD:g}"] if self.held < LEAST_HELD else []
        if self.median_s > MOST_S.get(self.plants, 5.0):
            words.append(f"{self.plants} plants: {self.median_s:.2f} s, aim below {MOST_S[self.plants]:g} s")
        if self.median_effective < LEAST_EFFECTIVE:
            words.append(f"{self.plants} plants: {self.median_effective:.0f} effective draws, aim {LEAST_EFFECTIVE:.0f}")
        return words


@dataclass(frozen=True)
class Race:
    """The engine beside plain weighing that reaches the same effective number."""

    plants: int
    signs: int
    seconds: float
    effective: float
    weighed_draws: int
    weighed_effective: float
    weighed_s: float

    @property
    def reached(self) -> bool:
        """Whether weighing got so far here."""
        return self.weighed_effective >= self.effective

    @property
    def ratio(self) -> float:
        """How many times as long weighing takes."""
        return self.weighed_s * (1.0 if self.reached else self.effective / self.weighed_effective) / self.seconds


class Nursery:
    """Plants whose log odds hang together through season, domes, cultivars, lots and hands; the scales are not known for sure."""

    def __init__(self, plants: int, rng: np.random.Generator) -> None:
        levels = ((max(4, plants // 50), 0.5), (max(5, plants // 20), 0.5), (max(3, plants // 100), 0.3), (3, 0.3))
        self.scales = [scale for _, scale in levels]
        self.counts = [count for count, _ in levels]
        self.codes = [np.arange(plants) // 50 % self.counts[0], *(rng.integers(count, size=plants) for count in self.counts[1:])]

    def draws(self, number: int, rng: np.random.Generator) -> Float:
        """Equally likely sets of take probabilities."""
        odds = 0.4 + 0.4 * rng.normal(size=(number, 1))
        for scale, count, code in zip(self.scales, self.counts, self.codes, strict=True):
            sd = scale * np.exp(0.3 * rng.normal(size=(number, 1)))
            odds = odds + (sd * rng.normal(size=(number, count)))[:, code]
        return np.asarray(1.0 / (1.0 + np.exp(-odds)))


def record(
    sign: str, plants: int, rate: float, shares: Sequence[float], rng: np.random.Generator, draws: int
) -> tuple[SignAccuracy, float]:
    """A sign's accuracy as learned, and the specificity counted among plants with a known end."""
    sensitivity, specificity, follow_yes, follow_no = shares
    taken = rng.random(plants) < rate
    signs = np.where(taken, rng.random(plants) < sensitivity, rng.random(plants) > specificity)
    followed = rng.random(plants) < np.where(signs, follow_yes, follow_no)
    counted = 1.0 - float(np.mean(signs[followed & ~taken])) if np.any(followed & ~taken) else np.nan
    return score_signs(signs.astype(float), np.where(followed, taken, np.nan), SIGN_PRIORS[sign], draws=draws, rng=rng), counted


def learned(replicates: int) -> list[Learned]:
    """Bias of what is learned of signs, and how often its 90 % ranges hold the truth."""
    result = []
    for sign, plants, rate, *shares in RECORDS:
        rng = np.random.default_rng(4)
        errors, held, counted = [], [], []
        for _ in range(replicates):
            found, naive = record(sign, plants, rate, shares, rng, 400)
            both = ((found.sensitivity, shares[0]), (found.specificity, shares[1]))
            errors.append([each.mean - truth for each, truth in both])
            held.append([each.low <= truth <= each.high for each, truth in both])
            counted.append(naive - shares[1])
        bias, share = np.mean(errors, axis=0), np.mean(held, axis=0)
        words = f"{sign.replace('_', ' ')}: {plants} plants, Se {shares[0]:g}, Sp {shares[1]:g}"
        result.append(Learned(words, replicates, *map(float, (*bias, *share, np.nanmean(counted)))))
    return result


def season(plants: int, signs: int, seed: int) -> tuple[Float, list[SignEvidence], int]:
    """Draws, what was seen, and how many took; the truth is one more draw of the same."""
    rng = np.random.default_rng(seed)
    draws = Nursery(plants, rng).draws(DRAWS + 1, rng)
    taken = rng.random(plants) < draws[0]
    seen = []
    for sign in list(TRUE)[:signs]:
        accuracy, _ = record(sign, 200, 0.6, (*TRUE[sign], 1.0, 0.1), rng, 4000)
        row = rng.integers(len(accuracy.sensitivity_draws))
        yes = np.where(taken, accuracy.sensitivity_draws[row], 1.0 - accuracy.specificity_draws[row])
        seen.append(accuracy.evidence(np.where(rng.random(plants) < 0.8, rng.random(plants) < yes, np.nan)))
    return draws[1:], seen, int(taken.sum())


def totals(plants: int, seasons: int) -> Totals:
    """Ranges of simulated seasons with one, two and three signs in turn."""
    held, effective, seconds = [], [], []
    for seed in range(seasons):
        draws, seen, taken = season(plants, 1 + seed % 3, 1000 + seed)
        began = time.process_time()
        found = chances_with_signs(draws, seen, rng=seed)
        seconds.append(time.process_time() - began)
        held.append(found.total_low <= taken <= found.total_high)
        effective.append(found.effective)
    numbers = (float(np.mean(held)), min(effective), float(np.median(effective)), float(np.median(seconds)))
    return Totals(plants, "1, 2 and 3 in turn", seasons, *numbers)


def race(plants: int, signs: int) -> Race:
    """The engine, then weighing more and more draws of the same shocks."""
    draws, seen, _ = season(plants, signs, 7)
    began = time.process_time()
    effective = chances_with_signs(draws, seen, rng=1).effective
    engine_s = time.process_time() - began
    rng = np.random.default_rng(7)
    nursery = Nursery(plants, rng)
    heights: list[Float] = []
    spent, reached, blocks = 0.0, 0.0, 0
    while reached < effective and blocks < MOST_NUMBERS // (BLOCK * plants):
        blocks += 1
        groups = SeenPlants.gathered(nursery.draws(BLOCK, rng), seen, np.full(plants, np.nan))
        began = time.process_time()
        rows = np.column_stack([rng.permutation(len(each.if_taken))[np.arange(BLOCK) % len(each.if_taken)] for each in groups.evidence])
        for part in np.array_split(np.arange(BLOCK), max(1, BLOCK * plants // 1_000_000)):
            heard = groups.heard(*groups.said(rows[part]))
            heights.append(groups.look(groups.log_odds[part][:, groups.cell], heard).height)
        spent += time.process_time() - began
        reached = effective_draws(normalised(np.concatenate(heights)))
    return Race(plants, signs, engine_s, effective, sum(map(len, heights)), reached, spent)


def table(found: tuple[list[Learned], list[Totals], list[Race]]) -> str:
    """The figures as Markdown."""
    first, second, third = found
    lines = ["| record | bias of Se | of Sp | 90 % range holds Se | Sp | bias of Sp when counted |", "|---|--:|--:|--:|--:|--:|"]
    lines += [
        f"| {each.record} | {each.sensitivity_bias:+.3f} | {each.specificity_bias:+.3f} | {each.sensitivity_held:.3f} "
        f"| {each.specificity_held:.3f} | {each.counted_bias:+.3f} |"
        for each in first
    ]
    lines += ["", "| plants | signs | seasons | 90 % range holds the total | effective draws, least | middle | seconds |"]
    lines += ["|--:|---|--:|--:|--:|--:|--:|"]
    lines += [
        f"| {each.plants:,} | {each.signs} | {each.seasons} | {each.held:.3f} | {each.least_effective:.0f} | {each.median_effective:.0f} "
        f"| {each.median_s:.2f} |"
        for each in second
    ]
    lines += ["", "| plants | signs | engine | effective draws | draws weighed | effective | seconds | weighing ÷ engine |"]
    lines += ["|--:|--:|--:|--:|--:|--:|--:|--:|"]
    for one in third:
        beyond = "" if one.reached else ", at least (extrapolated)"
        weighed = f"{one.weighed_draws:,} | {one.weighed_effective:.0f} | {one.weighed_s:.1f} s"
        lines.append(f"| {one.plants:,} | {one.signs} | {one.seconds:.2f} s | {one.effective:.0f} | {weighed} | {one.ratio:,.0f}{beyond} |")
    return "\n".join(lines)


def main(arguments: list[str] | None = None) -> int:
    """Simulate, print, and say by the exit code whether the aims are met."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--seasons", type=int, default=SEASONS)
    parser.add_argument("--write", action="store_true", help=f"also write {STORED.relative_to(ROOT)}")
    chosen = parser.parse_args(arguments)
    few = chosen.seasons / SEASONS
    large = max(3, round(LARGE * few))
    found = (
        learned(max(100, round(REPLICATES * few))),
        [totals(150, chosen.seasons), totals(300, chosen.seasons), totals(3000, large)],
        [race(*each) for each in ((300, 1), (300, 2), (300, 3), (3000, 1), (3000, 3))],
    )
    print(table(found))
    if chosen.write:
        STORED.parent.mkdir(exist_ok=True)
        machine = f"{platform.machine()}, {os.cpu_count()} processors, Python {platform.python_version()}"
        accuracies, ranges, races = ([asdict(each) for each in part] for part in found)
        parts = {"learned": accuracies, "totals": ranges, "races": races}
        STORED.write_text(json.dumps({"date": datetime.now(UTC).date().isoformat(), "machine": machine, **parts}, indent=1) + "\n")
    judged: list[Learned | Totals] = [*found[0], *found[1]]
    missed = [words for each in judged for words in each.missed()]
    print("\nMissed: " + "; ".join(missed) if missed else "\nAll aims are met.")
    return 1 if missed else 0


def stored() -> tuple[str, str, list[Learned], list[Totals], list[Race]] | None:
    """Date, machine and figures of the last written run, if there is one."""
    if not STORED.exists():
        return None
    kept = json.loads(STORED.read_text())
    parts = (
        [Learned(**each) for each in kept["learned"]],
        [Totals(**each) for each in kept["totals"]],
        [Race(**each) for each in kept["races"]],
    )
    return kept["date"], kept["machine"], *parts


if __name__ == "__main__":
    sys.exit(main())
