"""How soon contact, chances and pairs are worked out, each beside a plainer way of the same in the same run.

python benchmarks/union_speed.py            prints the table; exit code 1 when an aim is missed
python benchmarks/union_speed.py --write    also puts it, dated, into docs/union.md and benchmarks/results/union_speed.json

What is set beside another way must give the same (a drawn chance: as near as 300 placements let it be told), or the run stops.
"""

from __future__ import annotations

import json
import os
import platform
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import linear_sum_assignment

from scionary.union import CutStem, Matching, Placement, contact_length, match_stocks, sampled_chance, shortfall_cost
from scionary.units import Float

ROOT = Path(__file__).resolve().parent.parent
PAGE, STORED = ROOT / "docs" / "union.md", ROOT / "benchmarks" / "results" / "union_speed.json"
START, END = "<!-- union speed: begin -->", "<!-- union speed: end -->"
STOCK, SCION = CutStem(4.0, 0.6, 1.0), CutStem(2.0, 0.4, 1.0)
PLACEMENTS, WALKED, STEPS = 1_000_000, 300, 10_000
GIVEN = {"tolerance_mm": 0.4, "error_mm": 0.35, "wanted_mm": 12.0, "depth_error_mm": 0.15}


@dataclass(frozen=True)
class Timed:
    """One thing that was timed: its seconds, and those that the other way would take for as much."""

    what: str
    seconds: float
    most_s: float | None
    other: str
    other_s: float | None

    @property
    def missed(self) -> bool:
        return self.most_s is not None and self.seconds >= self.most_s

    def line(self) -> str:
        aim = "none" if self.most_s is None else f"< {self.most_s:g} s{', **missed**' if self.missed else ''}"
        ratio = "" if self.other_s is None else f"{self.other_s / self.seconds:,.1f} ×"
        return f"| {self.what} | {self.seconds:.3g} s | {aim} | {self.other} | {ratio} |"


def seconds(do: Callable[[], Any], times: int = 3) -> float:
    """The middle of some runs, in seconds of the processor: what others do on the machine does not count."""
    found = []
    for _ in range(times):
        begin = time.process_time()
        do()
        found.append(time.process_time() - begin)
    return statistics.median(found)


def walked(placement: Placement, tolerance_mm: float) -> Float:
    """Contact by small steps along the scion's lines, all placements at once."""
    z = (np.arange(STEPS) + 0.5) / STEPS - 0.5
    total: Any = 0.0
    for side in (-1.0, 1.0):
        line = placement.shift_mm[:, None] + side * np.sqrt(1.6**2 - 1.0**2) + placement.lean_mm[:, None] * z
        total = total + np.mean(np.minimum(np.abs(line - 1.6), np.abs(line + 1.6)) <= tolerance_mm, axis=1)
    return np.asarray(total * np.hypot(placement.length_mm, placement.lean_mm))


def contact_row() -> Timed:
    """A million known placements, by intervals and by steps."""
    rng = np.random.default_rng(1)
    shift, lean = rng.normal(0.0, 0.4, PLACEMENTS), rng.normal(1.5, 0.5, PLACEMENTS)
    few = Placement(shift[:WALKED], lean[:WALKED], 25.0)
    if np.max(np.abs(walked(few, 0.4) - contact_length(STOCK, SCION, few, tolerance_mm=0.4))) > 0.05:
        raise RuntimeError("contact by intervals and by steps differ")
    own = seconds(lambda: contact_length(STOCK, SCION, Placement(shift, lean, 25.0), tolerance_mm=0.4))
    other = seconds(lambda: walked(few, 0.4)) * PLACEMENTS / WALKED
    return Timed(f"contact of {PLACEMENTS:,} placements", own, None, f"{STEPS:,} steps along each line", other)


def chance_row() -> Timed:
    """A million placements drawn and judged."""
    placement, given = Placement(0.0, 1.5, 25.0), {"tolerance_mm": 0.4, "error_mm": 0.35, "wanted_mm": 8.0}
    own = seconds(lambda: sampled_chance(STOCK, SCION, placement, **given, rng=1, draws=PLACEMENTS))
    rng = np.random.default_rng(1)
    few = Placement(rng.normal(0.0, 0.25, WALKED), rng.normal(1.5, 0.5, WALKED), 25.0)
    chance = sampled_chance(STOCK, SCION, placement, **given, rng=1, draws=PLACEMENTS)
    if abs(np.mean(walked(few, 0.4) >= 8.0) - chance) > 4.0 * np.sqrt(0.25 / WALKED):
        raise RuntimeError("the drawn chance and that of placements walked along differ by more than so few let them")
    other = seconds(lambda: np.mean(walked(few, 0.4) >= 8.0)) * PLACEMENTS / WALKED
    return Timed(f"chance by {PLACEMENTS:,} drawn placements", own, 0.3, f"{STEPS:,} steps along each line", other)


def matching_rows() -> list[Timed]:
    """Pairs of known costs, beside scipy's plain assignment."""
    rows = []
    for count, most_s in ((1_000, 0.3), (2_000, None), (5_000, 15.0)):
        rng = np.random.default_rng(count)
        scions, stocks = rng.uniform(2.5, 5.0, count), rng.uniform(5.0, 10.0, count)
        table = shortfall_cost(method="side_veneer", **GIVEN)(scions[:, None], stocks[None, :])
        plain_s = plain(table, matched(scions, stocks, table)) if count <= 2_000 else None
        own = seconds(partial(matched, scions, stocks, table))
        what = f"{count:,} scions to {count:,} stocks, costs known"
        rows.append(Timed(what, own, most_s, "scipy's assignment as it is" if plain_s else "not run: minutes", plain_s))
    return rows


def matched(scions: Float, stocks: Float, table: Float) -> Matching:
    """Pairs whose costs are known."""
    return match_stocks(scions, stocks, lambda one, other: table)


def plain(table: Float, found: Matching) -> float:
    """Seconds of the plain way, whose pairs must be as many and cost the same; a forbidden pair is a very dear one there."""
    finite = np.where(np.isfinite(table), table, 1e6)
    begin = time.process_time()
    rows, columns = linear_sum_assignment(finite)
    took = time.process_time() - begin
    costs = table[rows, columns]
    costs = costs[np.isfinite(costs)]
    if len(costs) != len(found.pairs) or abs(costs.sum() - found.cost) > 1e-6:
        raise RuntimeError("the two ways of pairing differ")
    return took


def cost_row() -> Timed:
    """Costs of a thousand scions with a thousand stocks."""
    rng = np.random.default_rng(7)
    scions, stocks = rng.uniform(2.5, 5.0, 1_000), rng.uniform(5.0, 10.0, 1_000)
    cost = shortfall_cost(method="side_veneer", **GIVEN)
    own = seconds(lambda: cost(scions[:, None], stocks[None, :]))
    singly = np.array([float(cost(scion, stock)) for scion, stock in zip(scions[:50], stocks[:50], strict=True)])
    if not np.allclose(singly, np.diagonal(cost(scions[:50, None], stocks[None, :50])), atol=1e-9):
        raise RuntimeError("costs of all pairs and of single ones differ")
    few = seconds(lambda: [cost(scion, stock) for scion, stock in zip(scions[:50], stocks[:50], strict=True)], 1)
    return Timed("expected shortfall of 1,000 × 1,000 pairs", own, None, "each pair by itself", few / 50 * 1e6)


def table_of(rows: list[Timed]) -> str:
    """All rows as Markdown."""
    head = ["| what | seconds | aim | beside | takes so much longer |", "|---|--:|--:|---|--:|"]
    return "\n".join([*head, *(row.line() for row in rows)])


def main(arguments: list[str]) -> int:
    """Measure, print, write where asked, and say whether the aims are kept."""
    load = os.getloadavg()[0]
    rows = [contact_row(), chance_row(), cost_row(), *matching_rows()]
    machine = f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}"
    date = str(datetime.now(UTC).date())
    words = (
        f"Measured on {date} ({machine}; {load:.1f} processes were waiting or running beforehand) by `benchmarks/union_speed.py`; "
        "seconds of the processor, on one core; steps along the lines and single pairs are timed on a few and multiplied:"
    )
    text = f"{words}\n\n{table_of(rows)}"
    print(text)
    if "--write" in arguments:
        before, begin, rest = PAGE.read_text(encoding="utf-8").partition(START)
        _, end, after = rest.partition(END)
        if not begin or not end:
            raise SystemExit(f"{PAGE} has no place for the table: put {START} and {END} there")
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{after}", encoding="utf-8")
        stored = {"date": date, "machine": machine, "load_before": load, "rows": [vars(row) for row in rows]}
        STORED.write_text(json.dumps(stored, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return 1 if any(row.missed for row in rows) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
