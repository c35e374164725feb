"""What the dome's physics reaches, in one table: what was aimed at, beside what was measured here and now.

python benchmarks/dome_reach.py                        prints the table as Markdown; exit code 1 when an aim is missed
python benchmarks/dome_reach.py --logs 100             fits that many invented logs (20 unless said)
python benchmarks/dome_reach.py --write docs/air.md    also puts the table between its two marks on that page

Times are processor seconds of one thread, the least of five runs; ratios compare ways of computing the same in one run. The plain
loop over minutes is that of the tests.
"""

from __future__ import annotations

import argparse
import os
import platform
import sys
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tests"))
START, END = "<!-- dome reach: begin -->", "<!-- dome reach: end -->"
DAYS_30_YEARS = 10_957
LOOP_DAYS = 10
CLOCKED_LOGS = 10


@dataclass(frozen=True)
class Row:
    """One line: what, the aim in words, the figure in words, whether it is met (None: reported without an aim)."""

    what: str
    aim: str
    figure: str
    met: bool | None

    def line(self) -> str:
        """As a line of a Markdown table."""
        mark = {True: "yes", False: "**no**", None: "–"}[self.met]
        return f"| {self.what} | {self.aim} | {self.figure} | {mark} |"


def least(run: Callable[[], Any], times: int = 5) -> float:
    """Processor seconds of the least of some runs: this machine is shared."""
    found = []
    for _ in range(times):
        begin = time.process_time()
        run()
        found.append(time.process_time() - begin)
    return min(found)


def speed_rows() -> Iterable[Row]:
    """Thirty years by the hour, three ways."""
    from dome.dome_weather import by_the_minute, porch
    from dome.minute_reference import minute_loop
    from scionary.dome import DomeSpec, Path, simulate_dome

    dome, outside = DomeSpec(shade_share=0.5), porch(DAYS_30_YEARS)
    compiled = simulate_dome(dome, outside, 100.0, path=Path.COMPILED)
    plain = simulate_dome(dome, outside, 100.0, path=Path.NUMPY)
    if compiled.path is not Path.COMPILED:
        yield Row("30 years hourly, compiled", "below 0.3 s", "numba is not installed", None)
        return
    fast = least(lambda: simulate_dome(dome, outside, 100.0, path=Path.COMPILED))
    slow = least(lambda: simulate_dome(dome, outside, 100.0, path=Path.NUMPY))
    _, minutes = by_the_minute(porch(LOOP_DAYS))
    loop = least(lambda: minute_loop(dome, minutes, [0.01] * len(minutes)), 1) * DAYS_30_YEARS / LOOP_DAYS
    yield Row("30 years hourly, compiled, half-hour steps", "below 0.3 s", f"{fast:.2f} s", fast < 0.3)
    yield Row("the same in numpy ÷ compiled", "none", f"{slow / fast:.1f} ({slow:.1f} s)", None)
    yield Row(f"a plain loop over minutes (from {LOOP_DAYS} days) ÷ compiled", "none", f"{loop / fast:,.0f} ({loop:,.0f} s)", None)
    apart = max(float(np.abs(getattr(plain, name) - getattr(compiled, name)).max()) for name in ("temperature_c", "relative_humidity_pct"))
    yield Row("numpy and compiled differ by", "at most 1e-9", f"{apart:.0e}", apart <= 1e-9)


def truth_rows(days: int = LOOP_DAYS) -> Iterable[Row]:
    """Against the plain loop over minutes, and the balances."""
    from dome.dome_weather import by_the_minute, porch
    from dome.minute_reference import minute_loop
    from scionary.dome import DomeSpec, heat_account, simulate_dome

    kelvin = pct = residual = rest = 0.0
    for dome, vents in ((DomeSpec(), 0.0), (DomeSpec(shade_share=0.5), 100.0), (DomeSpec(), 400.0)):
        outside = porch(days)
        _, minutes = by_the_minute(outside)
        by_minute = np.array([row[:2] for row in minute_loop(dome, minutes, [vents / 1e4] * len(minutes))])[::30]
        air = simulate_dome(dome, outside, vents)
        kelvin = max(kelvin, float(np.abs(air.temperature_c - by_minute[:, 0]).max()))
        pct = max(pct, float(np.abs(air.relative_humidity_pct - by_minute[:, 1]).max()))
        month = simulate_dome(dome, porch(30, seed=5), vents)
        residual = max(residual, month.worst_residual)
        rest = max(rest, abs(heat_account(month).rest_share))
    yield Row("temperature against the plain loop, worst", "within 0.1 K", f"{kelvin:.2f} K", kelvin < 0.1)
    yield Row("humidity against the plain loop, worst", "within 0.5 %", f"{pct:.2f} %", pct < 0.5)
    yield Row("rest of the balances of vapour and cover, over the largest flux", "at most 1e-6", f"{residual:.0e}", residual <= 1e-6)
    yield Row("rest of 30 days' heat", "within 0.1 %", f"{100 * rest:.2f} %", rest < 1e-3)


def fit_rows(logs: int) -> Iterable[Row]:
    """Fits of invented logs whose truth is known."""
    from dome.logged_domes import logged
    from scionary.dome import DomeSpec, Told, fit_dome
    from scionary.dome.fitted import FITTED

    held: dict[str, list[bool]] = {name: [] for name in FITTED}
    errors: dict[str, list[float]] = {name: [] for name in FITTED}
    bound, claimed, seconds, with_clocks = [], 0, [], []
    for seed in range(logs):
        truth, outside, inside, vents, _ = logged(seed)
        begin = time.process_time()
        fit = fit_dome(DomeSpec(shade_share=0.5), outside, inside, vents, rng=seed)
        seconds.append(time.process_time() - begin)
        if seed < CLOCKED_LOGS:
            begin = time.process_time()
            fit_dome(DomeSpec(shade_share=0.5), outside, inside, vents, rng=seed, clock_doubt_s=1800.0, sun_doubt_share=0.05)
            with_clocks.append(time.process_time() - begin)
        for name in FITTED:
            each, true = fit.estimate(name), getattr(truth, name)
            held[name].append(each.low <= true <= each.high)
            errors[name].append(abs(np.log(each.value / true)))
        leak = fit.estimate("leak_l_min")
        claimed += leak.told is Told.RANGE
        bound.append(truth.leak_l_min <= leak.high)
    yield Row("fit of 10 days at 10 minutes, median", "below 1 s", f"{np.median(seconds):.2f} s", bool(np.median(seconds) < 1.0))
    clocked = float(np.median(with_clocks))
    yield Row("the same with the weather's clocks in doubt, as the program fits it", "below 1 s", f"{clocked:.2f} s", clocked < 1.0)
    shares = {name: 100 * float(np.mean(each)) for name, each in held.items()}
    words = ", ".join(f"{share:.0f}" for share in shares.values())
    overall = float(np.mean(list(shares.values())))
    met = all(85 <= share <= 95 for share in shares.values()) if logs >= 100 else None
    yield Row(
        f"90 % ranges hold the truth, over {logs} logs: sun, vents, heat store, evaporation",
        "85 to 95 % of each",
        f"{overall:.0f} % ({words})",
        met,
    )
    typical = ", ".join(f"{100 * float(np.median(each)):.1f}" for each in errors.values())
    yield Row("typical error of the same four", "none", f"{typical} %", None)
    yield Row("a closed leak given as a number", "never", f"{claimed} of {logs}", claimed == 0)
    share = 100 * float(np.mean(bound))
    yield Row("upper bound of the leak holds", "at least 95 %", f"{share:.0f} %", share >= 95 if logs >= 100 else None)


def table(rows: Iterable[Row]) -> str:
    """The whole table as Markdown, dated."""
    today = datetime.now(UTC).date().isoformat()
    head = f"Measured {today} on {os.cpu_count()} cores, Python {platform.python_version()}, processor seconds of one thread:"
    return "\n".join([head, "", "| what | aim | measured | met |", "|---|---|---|---|", *(row.line() for row in rows)])


def write(text: str, page: Path, start: str = START, end: str = END) -> None:
    """Put the table between its two marks on the page."""
    before, begun, rest = page.read_text(encoding="utf-8").partition(start)
    _, ended, after = rest.partition(end)
    if not begun or not ended:
        raise SystemExit(f"{page} has no place for the table: put {start} and {end} there")
    page.write_text(f"{before}{start}\n{text}\n{end}{after}", encoding="utf-8")


def main(arguments: list[str] | None = None) -> int:
    """Measure, print, write when asked."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--write", type=Path, metavar="PAGE", help="also put the table between its marks on this page")
    parser.add_argument("--logs", type=int, default=20, help="invented logs to fit")
    chosen = parser.parse_args(arguments)
    rows = [*speed_rows(), *truth_rows(), *fit_rows(chosen.logs)]
    print(table(rows))
    if chosen.write:
        write(table(rows), chosen.write)
    missed = [row.what for row in rows if row.met is False]
    print("\nMissed: " + "; ".join(missed) if missed else "\nAll aims are met.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
