"""How soon the take model is fitted, from a small season to five million rows, each beside long sampling runs of the same data.

python benchmarks/take_speed.py            prints the table; exit code 1 when an aim is missed
python benchmarks/take_speed.py --write    also puts the figures, dated, into benchmarks/results/take_speed.json

Every fit runs in a process of its own, on one thread; its peak memory is the whole process's, imports included. The better of three fits
is told for the smaller ones, after a first that is not timed (imports). The sampler is NUTS in its usual form: four chains, two at once,
1,000 draws of warm-up and 1,000 kept, compiling included. It runs here and now when the extra `oracle` is installed; without it the
seconds of the stored runs stand there, which are far longer (30,000 draws a chain at a small step), and the table says so.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parent.parent
STORED = ROOT / "benchmarks" / "results" / "take_speed.json"
sys.path.insert(0, str(ROOT / "tools"))
Codes = NDArray[np.int64]
MIB = 1024


@dataclass(frozen=True)
class Case:
    """What is fitted, with how many points, and what it may take."""

    name: str
    points: int
    most_s: float
    least_ratio: float | None = None
    oracle: str | None = None
    repeats: int = 1


CASES = (
    Case("60 grafts", 128, 0.3, least_ratio=30.0, oracle="grafts_60", repeats=3),
    Case("2,000 grafts, about 110 effects", 128, 3.0, oracle="grafts_2000", repeats=3),
    Case("2,000 grafts, about 480 effects", 512, 15.0),
    Case("100,000 grafts of a nursery", 64, 5.0),
    Case("5,000,000 rows of codes", 32, 15.0),
)
MOST_MIB = 1024


@dataclass(frozen=True)
class Timing:
    """What one fit took."""

    name: str
    points: int
    cells: int
    effects: int
    seconds: float
    aggregate_s: float
    peak_mib: float
    effective_size: float
    sampler_s: float | None = None
    sampler: str | None = None

    @property
    def ratio(self) -> float | None:
        """How many times as long the sampler takes."""
        return None if self.sampler_s is None else self.sampler_s / self.seconds

    def missed(self) -> list[str]:
        """Aims that are not met."""
        case = next(case for case in CASES if case.name == self.name)
        words = []
        if self.seconds >= case.most_s:
            words.append(f"{self.name}: {self.seconds:.2f} s, aim below {case.most_s:g} s")
        if case.least_ratio is not None and self.ratio is not None and self.ratio < case.least_ratio:
            words.append(f"{self.name}: {self.ratio:.0f} times as fast, aim {case.least_ratio:g}")
        if self.peak_mib >= MOST_MIB:
            words.append(f"{self.name}: {self.peak_mib:.0f} MiB, aim below {MOST_MIB}")
        return words


@dataclass(frozen=True)
class Sampled:
    """What the sampler took, and how it was run."""

    name: str
    seconds: float
    how: str


def crossed(rows: int, levels: dict[str, int], rng: np.random.Generator) -> tuple[Codes, dict[str, Codes]]:
    """Takes and codes of factors that have nothing to do with one another, levels unevenly common."""
    eta, factors = np.full(rows, 0.5), {}
    for name, number in levels.items():
        factors[name] = rng.choice(number, rows, p=rng.dirichlet(np.full(number, 1.5)))
        eta += rng.normal(0.0, 0.6, number)[factors[name]]
    return drawn(eta, rng), factors


def nursery(rows: int, rng: np.random.Generator) -> tuple[Codes, dict[str, Codes]]:
    """Takes and codes of ten seasons: days, domes and lots belong to seasons, mother trees to cultivars; a day has few of each."""
    seasons, days, cultivars, mothers, lots, domes, hands, methods = 10, 20, 100, 2, 3, 8, 3, 3
    day = rng.integers(seasons * days, size=rows)
    season = day // days

    def of_day(number: int, out_of: int) -> Codes:
        return rng.integers(out_of, size=(seasons * days, number))[day, rng.integers(number, size=rows)]

    cultivar = of_day(8, cultivars)
    factors = {
        "cultivar": cultivar,
        "mother": cultivar * mothers + rng.integers(mothers, size=rows),
        "lot": season * lots + of_day(2, lots),
        "method": of_day(1, methods),
        "season": season,
        "day": day,
        "dome": season * domes + of_day(2, domes),
        "grafter": of_day(2, hands),
    }
    eta = np.full(rows, 0.6)
    for codes in factors.values():
        eta += rng.normal(0.0, 0.4, int(codes.max()) + 1)[codes]
    return drawn(eta, rng), factors


def drawn(eta: NDArray[np.float64], rng: np.random.Generator) -> Codes:
    """One graft a row, taken or not."""
    return (rng.random(len(eta)) < 1.0 / (1.0 + np.exp(-eta))).astype(np.int64)


def records_of(case: Case) -> Callable[[], tuple[Codes, dict[str, Codes]]]:
    """The maker of a case's rows."""
    rng = np.random.default_rng(3)
    many = {"cultivar": 120, "mother": 150, "lot": 40, "method": 3, "season": 4, "day": 100, "dome": 60, "grafter": 6}
    few = {"cultivar": 40, "season": 8, "method": 4, "dome": 12, "grafter": 4}
    return {
        CASES[2].name: lambda: crossed(2000, many, rng),
        CASES[3].name: lambda: nursery(100_000, rng),
        CASES[4].name: lambda: crossed(5_000_000, few, rng),
    }[case.name]


def fit_one(case: Case) -> Timing:
    """Fit a case, in this process."""
    from oracle.store import read

    from scionary.take import TakeCells, TakeRecords, aggregate_records, fit_take

    began = time.perf_counter()
    if case.oracle:
        stored, _ = read(case.oracle)
        cells = TakeCells(stored.grafts, stored.takes, stored.factors, stored.covariates)
        aggregated = 0.0
    else:
        takes, factors = records_of(case)()
        began = time.perf_counter()
        cells = aggregate_records(TakeRecords(takes=takes, factors=factors))
        aggregated = time.perf_counter() - began
    if case.repeats > 1:
        fit_take(cells, points=16, draws=100, rng=1)
    taken = []
    for _ in range(case.repeats):
        began = time.perf_counter()
        fit = fit_take(cells, points=case.points, rng=1)
        taken.append(time.perf_counter() - began)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / MIB
    return Timing(case.name, case.points, len(cells), fit.design.latent, aggregated + min(taken), aggregated, peak, fit.effective_size)


def sample_one(case: Case) -> Sampled:
    """Run the sampler in its usual form, in this process; where it is not installed, tell of the stored run."""
    from oracle.store import read

    cells, _ = read(str(case.oracle))
    if find_spec("numpyro") is None:
        run = cells.metadata["run"]
        chains = f"{run['chains']} chains of {run['draws_a_chain']:,} draws, {run['chains_at_once']} at once"
        return Sampled(case.name, float(run["seconds"]), f"the long run stored on {run['date']}: {chains}")
    import numpyro

    numpyro.set_platform("cpu")
    numpyro.set_host_device_count(2)
    import jax
    from numpyro.infer import MCMC, NUTS
    from oracle.posterior import model_of

    began = time.perf_counter()
    for seed in (1, 2):
        chains = MCMC(NUTS(model_of(cells)), num_warmup=1000, num_samples=1000, num_chains=2, progress_bar=False)
        chains.run(jax.random.PRNGKey(seed))
        jax.block_until_ready(chains.get_samples())
    seconds = time.perf_counter() - began
    return Sampled(case.name, seconds, f"numpyro {numpyro.__version__} in the same run: 4 chains, 1,000 + 1,000 draws each, 2 at once")


def table(timings: list[Timing]) -> str:
    """The figures as Markdown."""
    lines = [
        "| record | points | cells | effects | seconds | of it rows to cells | peak memory | sampler ÷ engine |",
        "|---|--:|--:|--:|--:|--:|--:|--:|",
    ]
    for each in timings:
        ratio = "not sampled" if each.ratio is None else f"{each.ratio:,.0f}"
        lines.append(
            f"| {each.name} | {each.points} | {each.cells:,} | {each.effects:,} | {each.seconds:.2f} | {each.aggregate_s:.2f} "
            f"| {each.peak_mib:.0f} MiB | {ratio} |"
        )
    lines += [f"\nSampler for {each.name}: {each.sampler_s:.0f} s, {each.sampler}." for each in timings if each.sampler]
    return "\n".join(lines)


def measure(cases: tuple[Case, ...] = CASES) -> list[Timing]:
    """Each case in a process of its own, on one thread; then the sampler, in another."""
    timings = []
    for case in cases:
        timing = Timing(**apart("--only", case.name))
        if case.oracle:
            sampled = Sampled(**apart("--sample", case.name))
            timing = replace(timing, sampler_s=sampled.seconds, sampler=sampled.how)
        timings.append(timing)
    return timings


def apart(*arguments: str) -> dict[str, Any]:
    """What this script prints when it is run in a process of its own."""
    one_thread = os.environ | {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    shown = subprocess.run([sys.executable, __file__, *arguments], env=one_thread, check=True, capture_output=True, text=True).stdout
    found: dict[str, Any] = json.loads(shown.splitlines()[-1])
    return found


def main(arguments: list[str] | None = None) -> int:
    """Measure, print, and say by the exit code whether the aims are met."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--only", help="fit one case in this process and print its figures")
    parser.add_argument("--sample", help="run the sampler on one case in this process and print its seconds")
    parser.add_argument("--write", action="store_true", help=f"also write {STORED.relative_to(ROOT)}")
    chosen = parser.parse_args(arguments)
    if chosen.only or chosen.sample:
        case = next(case for case in CASES if case.name == (chosen.only or chosen.sample))
        print(json.dumps(asdict(fit_one(case) if chosen.only else sample_one(case))))
        return 0
    timings = measure()
    print(table(timings))
    if chosen.write:
        STORED.parent.mkdir(exist_ok=True)
        machine = f"{platform.machine()}, {os.cpu_count()} processors, Python {platform.python_version()}"
        kept = {"date": datetime.now(UTC).date().isoformat(), "machine": machine, "timings": [asdict(each) for each in timings]}
        STORED.write_text(json.dumps(kept, indent=1) + "\n")
    missed = [words for each in timings for words in each.missed()]
    print("\nMissed: " + "; ".join(missed) if missed else "\nAll aims are met.")
    return 1 if missed else 0


def stored() -> tuple[str, str, list[Timing]] | None:
    """Date, machine and figures of the last written run, if there is one."""
    if not STORED.exists():
        return None
    kept = json.loads(STORED.read_text())
    return kept["date"], kept["machine"], [Timing(**each) for each in kept["timings"]]


if __name__ == "__main__":
    sys.exit(main())
