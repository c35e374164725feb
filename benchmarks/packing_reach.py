"""How well and how quickly round pots are packed: against published packings, and against another solver given the same time.

python benchmarks/packing_reach.py            prints the tables as Markdown; exit code 1 when an aim is missed
python benchmarks/packing_reach.py --write    also puts them, dated, into docs/trays.md and benchmarks/results/packing_reach.json

The published radii stand with their source in tests/references/test_packing.py. The alternative is SLSQP of scipy: the largest common width
under all pair and side constraints, from random starts, again and again until it has had the seconds that our search took.
"""

from __future__ import annotations

import json
import os
import platform
import sys
import time
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import minimize

from scionary.plan import RoundPot, pots_on_tray
from scionary.plan.lattices import best_rows
from scionary.plan.widening import width_that_stands
from scionary.units import Float

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tests" / "references"))
from test_packing import RADII  # noqa: E402

PAGE, STORED = ROOT / "docs" / "trays.md", ROOT / "benchmarks" / "results" / "packing_reach.json"
START, END = "<!-- packing: begin -->", "<!-- packing: end -->"
BEYOND = 1e-4  # pots this much too wide: not to be placed, so that the widest that could be is told
MOST_S, ROWS_S = 2.0, 1e-3
COMPARED = (5, 7, 10, 13, 17, 19, 20, 23, 26, 30)
TRAYS = ((20.5, 10.5, 4.5), (20.5, 10.5, 3.0), (21.25, 11.0, 4.0), (21.25, 11.0, 6.5), (20.5, 10.5, 2.5))


@dataclass(frozen=True)
class Packed:
    """One number of circles: how far below the published width the widest found are, and the seconds of the call that must place them."""

    count: int
    below: float
    placed: bool
    seconds: float
    other_below: float | None = None
    other_starts: int = 0


def packed(count: int, radius: float) -> Packed:
    """What the search reaches for so many circles in a unit square."""
    slack = 1e-6 if count <= 20 else 2e-3
    begin = time.process_time()
    placed = pots_on_tray(1.0, 1.0, RoundPot(2 * radius * (1 - slack))).count >= count
    seconds = time.process_time() - begin
    short = pots_on_tray(1.0, 1.0, RoundPot(2 * radius * (1 + BEYOND)))
    reached = short.next_width_mm if short.count == count - 1 else float("nan")
    if count not in COMPARED:
        return Packed(count, 1 - reached / (2 * radius), placed, seconds)
    other, starts = by_slsqp(count, seconds)
    return Packed(count, 1 - reached / (2 * radius), placed, seconds, 1 - other / (2 * radius), starts)


def by_slsqp(count: int, seconds: float) -> tuple[float, int]:
    """The widest that the alternative finds in so many seconds, one start at least, and its starts."""
    rng, begin, widest, starts = np.random.default_rng(0), time.process_time(), 0.0, 0
    first, second = np.triu_indices(count, 1)

    def room(x: Float) -> Float:
        points, width = x[:-1].reshape(count, 2), x[-1]
        between = points[first] - points[second]
        walls = np.concatenate([x[:-1] - width / 2, 1 - x[:-1] - width / 2])
        return np.concatenate([(between**2).sum(axis=1) - width**2, walls])

    def slopes(x: Float) -> Float:
        points, width = x[:-1].reshape(count, 2), x[-1]
        pairs, every = np.arange(len(first)), np.arange(2 * count)
        found = np.zeros((len(first) + 4 * count, 2 * count + 1))
        for axis in (0, 1):
            between = 2 * (points[first, axis] - points[second, axis])
            found[pairs, 2 * first + axis], found[pairs, 2 * second + axis] = between, -between
        found[pairs, -1] = -2 * width
        found[len(first) + every, every], found[len(first) + 2 * count + every, every] = 1, -1
        found[len(first) :, -1] = -0.5
        return found

    solve: Any = minimize
    aim = np.zeros(2 * count + 1)
    aim[-1] = -1.0
    while starts == 0 or time.process_time() - begin < seconds:
        start = np.append(rng.uniform(size=2 * count), 0.1)
        limits = [{"type": "ineq", "fun": room, "jac": slopes}]
        done: Any = solve(lambda x: -x[-1], start, jac=lambda x: aim, constraints=limits, method="SLSQP", options={"maxiter": 300})
        widest = max(widest, width_that_stands(done.x[:-1].reshape(count, 2), np.ones(2), 0.0))
        starts += 1
    return widest, starts


def seconds_of_rows() -> tuple[float, float]:
    """Seconds for the best rows on a usual tray, and for a small pot."""
    found = []
    for pot in (98.0, 30.0):
        room = np.array([540.0, 280.0]) - pot
        best_rows(room, pot)
        begin = time.process_time()
        for _ in range(200):
            best_rows(room, pot)
        found.append((time.process_time() - begin) / 200)
    return found[0], found[1]


def below_words(share: float) -> str:
    """A distance from what is published, in words."""
    return "not found" if np.isnan(share) else "none" if share < 1e-9 else f"{share:.1e}"


def tables(found: list[Packed], rows: tuple[float, float]) -> str:
    """All that was measured, as Markdown."""
    few, many = [p for p in found if p.count <= 20], [p for p in found if p.count > 20]
    exact = sum(p.below < 1e-9 for p in found)
    quick = "yes" if max(rows) < ROWS_S else "**no**"
    lines = [
        "| what | aim | measured | kept |",
        "|---|---|---|---|",
        f"| 2 to 20 circles in a square, a millionth narrower than published | all placed in 2 s | {_placed(few)} | {_kept(few, MOST_S)} |",
        f"| 21 to 30 circles, 0.2 % narrower | all placed | {_placed(many)} | {_kept(many, np.inf)} |",
        f"| the published width itself, to a thousand-millionth | – | {exact} of {len(found)} | – |",
        f"| rows alone on 540 × 280 mm, pots of 98 and of 30 mm | under 1 ms | {rows[0] * 1e3:.2f} and {rows[1] * 1e3:.2f} ms | {quick} |",
        "",
        "Beside SLSQP from random starts, given as many seconds: how far the widest circles found stay below the published width.",
        "",
        "| circles | our search | SLSQP | its starts | seconds |",
        "|--:|--:|--:|--:|--:|",
    ]
    lines += [
        f"| {p.count} | {below_words(p.below)} | {below_words(p.other_below)} | {p.other_starts} | {p.seconds:.2f} |"
        for p in found
        if p.other_below is not None
    ]
    lines += [
        "",
        "Round pots on trays, in inches: by dividing, by the best rows, by the search.",
        "",
        "| inside | pot | dividing | rows | search |",
    ]
    lines += ["|---|--:|--:|--:|--:|", *(_tray_line(*tray) for tray in TRAYS)]
    return "\n".join(lines)


def _placed(found: list[Packed]) -> str:
    return f"{sum(p.placed for p in found)} of {len(found)}, slowest {max(p.seconds for p in found):.2f} s"


def _kept(found: list[Packed], most_s: float) -> str:
    return "yes" if all(p.placed and p.seconds < most_s for p in found) else "**no**"


def _tray_line(length: float, width: float, pot: float) -> str:
    alone, searched = (pots_on_tray(length * 25.4, width * 25.4, RoundPot(pot * 25.4), tries=tries).count for tries in (0, 3))
    return f"| {length:g} × {width:g} | {pot:g} | {int(length / pot) * int(width / pot)} | {alone} | {searched} |"


def main(arguments: list[str]) -> int:
    """Measure, print, write where asked, and say whether the aims are kept."""
    load = os.getloadavg()[0]
    found = [packed(count, radius) for count, radius in RADII.items()]
    rows = seconds_of_rows()
    machine = f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}"
    words = (
        f"Measured on {datetime.now(UTC).date()} ({machine}; {load:.1f} processes were waiting or running beforehand) by "
        "`benchmarks/packing_reach.py`; seconds are those of the processor:"
    )
    text = f"{words}\n\n{tables(found, rows)}"
    print(text)
    if "--write" in arguments:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
        stored = {"date": str(datetime.now(UTC).date()), "machine": machine, "load_before": load, "rows_s": rows}
        stored |= {"circles": [asdict(p) for p in found]}
        STORED.write_text(json.dumps(stored, indent=1) + "\n", encoding="utf-8")
    return 0 if _kept(found[:19], MOST_S) == _kept(found, np.inf) == "yes" and max(rows) < ROWS_S else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
