"""The whole reach of the season's plan in two tables: aims beside what was measured, and three hand rules beside the plan.

python benchmarks/plan_reach.py                        prints both tables as Markdown; exit code 1 when an aim is missed
python benchmarks/plan_reach.py --write docs/plan.md   also puts them between their marks on that page
python benchmarks/plan_reach.py --few                  3 nurseries a kind of room for the hand rules in place of 30; the aims are the same

Everything is computed on the spot on one thread, with the extensive form by scipy's own copy of its solver as the named alternative in the
same run. About ten minutes; `--few` three.
"""

from __future__ import annotations

import argparse
import os
import platform
import subprocess
import sys
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from plan_nurseries import Room, nursery
from plan_rules import RULES

from scionary.plan import Effort, PlanProblem, broken_limits, evaluate_plan, solve_plan
from scionary.plan.limit_writing import limit_rows
from scionary.plan.searching import Search, solve_relaxation
from scionary.plan.seasons import seasons_of

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tools"))
MARKS = {"reach": ("<!-- reach: begin -->", "<!-- reach: end -->"), "rules": ("<!-- rules: begin -->", "<!-- rules: end -->")}
SEEDS, NURSERIES, FEW = (11, 12, 13), 30, 3  # 1 to 3 were looked at while the engine was made
MANY, MOST_MIB, EXTENSIVE_S = 300, 1536, 300.0
SURE, FOUR_IN_FIVE = 0.8, 0.8


@dataclass(frozen=True)
class Row:
    """One line: what, the aim in words, the figure in words, whether it is met (None: reported without an aim)."""

    what: str
    aim: str
    figure: str
    met: bool | None

    def line(self) -> str:
        """As a line of a Markdown table."""
        return f"| {self.what} | {self.aim} | {self.figure} | {({True: 'yes', False: '**no**', None: '–'})[self.met]} |"


@dataclass(frozen=True)
class Took:
    """Seconds of the processor, by which aims are judged, and by the clock, which other work on the machine stretches."""

    processor: float
    clock: float

    @property
    def words(self) -> str:
        """Both."""
        return f"{self.processor:.2f} s (by the clock {self.clock:.2f} s)"


def timed(work: Callable[[], Any]) -> tuple[Any, Took]:
    """What it gives, and how long it took on one thread."""
    processor, clock = time.process_time(), time.perf_counter()
    given = work()
    return given, Took(time.process_time() - processor, time.perf_counter() - clock)


def best_of_two(work: Callable[[], Any]) -> tuple[Any, Took]:
    """The quicker of two runs."""
    return min((timed(work) for _ in range(2)), key=lambda run: run[1].processor)


def slowest(runs: Iterable[tuple[Any, Took]]) -> Took:
    """The worst of several."""
    return max((took for _, took in runs), key=lambda took: took.processor)


def relaxation(problem: PlanProblem) -> float:
    """Limits, relaxation, and the relaxation with the luck of single grafts; its value."""
    rows = limit_rows(problem)
    seasons = seasons_of(problem, assurance=None, rng=np.random.default_rng(1))
    return solve_relaxation(Search(rows, Effort.NORMAL, None, None), seasons, luck=True)[2].value


def speed_rows(cultivars: int, seeds: Iterable[int], aims: dict[Effort, tuple[float, float]]) -> Iterable[Row]:
    """Seconds and gaps of one size: the worst of all nurseries, each the better of two runs."""
    problems = [nursery(cultivars, seed=seed, room=room) for seed in seeds for room in Room]
    name = f"{cultivars} cultivars × 200 seasons"
    worst = slowest(best_of_two(partial(relaxation, problem)) for problem in problems)
    aim = "at most 0.3 s" if cultivars == 40 else "none"
    yield Row(f"{name}: relaxation with all prices", aim, worst.words, worst.processor <= 0.3 if cultivars == 40 else None)
    for effort, (most_gap, most_s) in aims.items():
        runs = [best_of_two(partial(solve_plan, problem, effort=effort, rng=1)) for problem in problems]
        gap, took = max(run[0].gap for run in runs), slowest(runs)
        words = f"within {100 * most_gap:g} % of the bound in {most_s:g} s"
        figure = f"{100 * gap:.2f} % in {took.words}"
        yield Row(f"{name}: effort {effort.name.lower()}, judging included", words, figure, gap <= most_gap and took.processor <= most_s)
    optimism = np.array([solve_plan(p, rng=1).optimism for p in problems])
    figure = f"{100 * optimism.mean():.2f} % ({100 * optimism.min():.2f} to {100 * optimism.max():.2f} %)"
    yield Row(f"{name}: in-sample optimism, mean (range) of {len(problems)}", "at most 1.5 %", figure, bool(optimism.mean() <= 0.015))
    grafts = solve_plan(problems[0], effort=Effort.QUICK, rng=1).grafts
    took = best_of_two(lambda: evaluate_plan(problems[0], grafts, rng=2))[1]
    yield Row(f"{cultivars} cultivars: judging by 10,000 seasons", "at most 1 s", took.words, took.processor <= 1.0)


def extensive_rows(cultivars: int, aimed: bool) -> Iterable[Row]:
    """The same model by its extensive form in the same run: seconds to 1 % of the bound, or what there was when it was stopped."""
    from oracle.extensive import extensive_form, solved

    problem = nursery(cultivars, seed=SEEDS[0])
    ours, engine = timed(lambda: solve_plan(problem, rng=1))
    form = extensive_form(ours.rows, ours.made_from)
    (value, bound), other = timed(lambda: solved(form, gap=0.01, seconds=EXTENSIVE_S))
    gap = (bound - value) / abs(value) if np.isfinite(value) else np.inf
    state = f"at {100 * gap:.2f} %" if np.isfinite(gap) else "without any plan"
    ratio = other.processor / engine.processor
    figure = f"{ratio:.1f} times as long: {other.words}, {state}; the engine {engine.words}, at {100 * ours.gap:.2f} %"
    what = f"{cultivars} cultivars × 200 seasons: extensive form to 1 %, stopped after {EXTENSIVE_S:.0f} s by the clock"
    yield Row(what, "slower than the engine" if aimed else "none", figure, ratio > 1.0 if aimed else None)


def memory_row() -> Row:
    """Peak memory of a process that plans the largest season."""
    code = (
        "import resource; from plan_nurseries import nursery; from scionary.plan import solve_plan;"
        f"solve_plan(nursery({MANY}, seed={SEEDS[0]}), rng=1); print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    )
    here = Path(__file__).resolve().parent
    said = subprocess.run([sys.executable, "-c", code], cwd=here, check=True, capture_output=True, text=True).stdout
    peak = int(said.split()[-1]) / 1024
    what = f"{MANY} cultivars: peak memory of `solve_plan` alone, for most value"
    return Row(what, f"below {MOST_MIB} MiB", f"{peak:.0f} MiB", peak < MOST_MIB)


@dataclass(frozen=True)
class Reached:
    """What one way of planning reached in one nursery: its value and wishes reached four seasons in five."""

    value: float
    wishes: float
    kept: bool


def reached(problem: PlanProblem, grafts: Any) -> Reached:
    """Judge a plan by seasons that no rule has seen."""
    seen = evaluate_plan(problem, grafts, rng=99)
    return Reached(seen.mean, float((seen.chance >= FOUR_IN_FIVE).mean()), not broken_limits(problem, grafts))


def race(nurseries: int) -> dict[Room, dict[str, list[Reached]]]:
    """Every way of planning in every nursery."""
    found: dict[Room, dict[str, list[Reached]]] = {room: {} for room in Room}
    for room in Room:
        for seed in range(nurseries):
            problem = nursery(5 + seed % 21, seed=1_000 + seed, room=room, seasons=150, fresh=2_000)
            plans: dict[str, Any] = {name: rule(problem) for name, rule in RULES}
            plans["plan: most value"] = solve_plan(problem, rng=seed).grafts
            plans[f"plan: as sure as {SURE:.0%}"] = solve_plan(problem, rng=seed, assurance=SURE).grafts
            for name, grafts in plans.items():
                found[room].setdefault(name, []).append(reached(problem, grafts))
    return found


def rule_table(found: dict[Room, dict[str, list[Reached]]]) -> str:
    """Value as a share of the plan's, wishes reached, and in how many nurseries the rule did at least as well."""
    heads = (
        "room",
        "way of planning",
        "value, of the plan's",
        "wishes reached four seasons in five",
        "at least as much value in",
        "more in",
    )
    lines = [f"| {' | '.join(heads)} |", "|---|---|---|---|---|---|"]
    for room, ways in found.items():
        best = ways["plan: most value"]
        for name, each in ways.items():
            share = sum(one.value for one in each) / sum(one.value for one in best)
            wishes = float(np.mean([one.wishes for one in each]))
            pairs = list(zip(each, best, strict=True))
            value = sum(one.value >= plan.value for one, plan in pairs) if each is not best else len(best)
            more = sum(one.wishes > plan.wishes for one, plan in pairs)
            counts = f"{value} of {len(each)} | {more} of {len(each)}" if each is not best else "– | –"
            lines.append(f"| {room.name.lower()} | {name} | {100 * share:.1f} % | {100 * wishes:.0f} % | {counts} |")
    return "\n".join(lines)


def rule_rows(found: dict[Room, dict[str, list[Reached]]]) -> Iterable[Row]:
    """Whether the plan is worth its while, and whether every plan can be done."""
    for room, ways in found.items():
        best = np.array([one.value for one in ways["plan: most value"]])
        for name, _ in RULES:
            behind = sum(one.value > 1.005 * plan for one, plan in zip(ways[name], best, strict=True))
            yield Row(f"{room.name.lower()} room: nurseries where “{name}” brings over 0.5 % more", "none", str(behind), behind == 0)
    kept = all(one.kept for ways in found.values() for each in ways.values() for one in each)
    yield Row("every plan of every way keeps all limits", "all", "all" if kept else "not all", kept)


def table(rows: Iterable[Row], today: str) -> str:
    """The aims as Markdown, with the day and the machine."""
    lines = ["| what | aim | measured | met |", "|---|---|---|---|", *(row.line() for row in rows)]
    machine = f"{platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, Python {platform.python_version()}"
    return "\n".join([f"Measured on {today}, {machine}; seconds of the processor on one thread.", "", *lines])


def write(texts: dict[str, str], page: Path) -> None:
    """Put each table between its two marks on the page."""
    text = page.read_text(encoding="utf-8")
    for name, body in texts.items():
        start, end = MARKS[name]
        before, begin, rest = text.partition(start)
        _, finish, after = rest.partition(end)
        if not begin or not finish:
            raise SystemExit(f"{page} has no place for a table: put {start} and {end} there")
        text = f"{before}{start}\n{body}\n{end}{after}"
    page.write_text(text, encoding="utf-8")


def main(arguments: list[str] | None = None) -> int:
    """Measure, print, write when asked."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--write", type=Path, metavar="PAGE", help="also put the tables between their marks on this page")
    parser.add_argument("--few", action="store_true", help=f"{FEW} nurseries a kind of room for the hand rules, not {NURSERIES}")
    chosen = parser.parse_args(arguments)
    today = datetime.now(UTC).date().isoformat()
    rows = list(speed_rows(40, SEEDS, {Effort.QUICK: (0.015, 2.0), Effort.NORMAL: (0.01, 10.0)}))
    rows += [
        *speed_rows(MANY, SEEDS[:1], {Effort.NORMAL: (0.01, 10.0)}),
        memory_row(),
        *extensive_rows(40, True),
        *extensive_rows(MANY, False),
    ]
    found = race(FEW if chosen.few else NURSERIES)
    rows += rule_rows(found)
    texts = {"reach": table(rows, today), "rules": rule_table(found)}
    print(texts["reach"], texts["rules"], sep="\n\n")
    if chosen.write:
        write(texts, chosen.write)
    missed = [row.what for row in rows if row.met is False]
    print("\nMissed: " + "; ".join(missed) if missed else "\nAll aims are met.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
