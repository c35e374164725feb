"""A million logger lines read and reported: time, memory, and beside polars reading the same file alone, in one run.

python benchmarks/air_speed.py                       prints the table as Markdown; exit code 1 when an aim is missed
python benchmarks/air_speed.py --write docs/air.md   also puts it between its two marks on that page

The two take turns, and the best of each counts. Polars is no part of the program: without it the comparison is left out.
To have it for this alone: pip install --target FOLDER --no-deps polars polars-runtime-32, and PYTHONPATH=FOLDER before the command.
"""

from __future__ import annotations

import argparse
import gc
import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.util import find_spec
from pathlib import Path

import numpy as np

START, END = "<!-- logger speed: begin -->", "<!-- logger speed: end -->"
ROWS, TURNS = 1_000_000, 5
MOST_S, MOST_MB, MOST_RATIO = 3.0, 300.0, 2.5


@dataclass(frozen=True)
class Row:
    """One line: what, the aim in words, the figure in words, whether it is met; None: reported without an aim."""

    what: str
    aim: str
    figure: str
    met: bool | None

    def line(self) -> str:
        """As a line of a Markdown table."""
        return f"| {self.what} | {self.aim} | {self.figure} | {({True: 'yes', False: '**no**', None: '–'})[self.met]} |"


def write_log(path: Path, rows: int) -> None:
    """A dome's log at one minute, over the changes of two clocks."""
    rng = np.random.default_rng(1)
    minutes = np.arange(rows)
    day = np.sin(2 * np.pi * (minutes % 1440 / 1440 - 0.3))
    temperature = 20 + 5 * day + rng.normal(0, 0.3, rows)
    humidity = np.clip(95 - 6 * day + rng.normal(0, 0.5, rows), 0, 100)
    when = np.datetime_as_string(np.datetime64("2023-01-01T00:00:00") + minutes.astype("timedelta64[m]"), unit="s")
    columns = zip(when.tolist(), temperature.tolist(), humidity.tolist(), strict=True)
    with path.open("w", encoding="ascii") as file:
        file.write("timestamp,temperature_c,relative_humidity_pct\n")
        file.writelines(f"{at[:10]} {at[11:]},{t:.1f},{rh:.1f}\n" for at, t, rh in columns)


def ours(path: Path) -> None:
    """Read and report."""
    from scionary.dome import air_report
    from scionary.files.loggers import read_logger

    log = read_logger(path.read_bytes(), name=path.name, time_zone="Europe/Vienna")
    report = air_report(log.time_s, log.temperature_c, log.relative_humidity_pct)
    assert report.readings > 0.99 * ROWS


def polars_alone(path: Path) -> None:
    """Polars reading the same file, its times as times."""
    import polars

    assert polars.read_csv(path, try_parse_dates=True).height == ROWS


def turns(*calls: Callable[[], None]) -> list[float]:
    """The best time of each [s], taken in turn."""
    best = [float("inf")] * len(calls)
    for _ in range(TURNS):
        for number, call in enumerate(calls):
            gc.collect()
            start = time.perf_counter()
            call()
            best[number] = min(best[number], time.perf_counter() - start)
    return best


def memory_mb(path: Path) -> float:
    """The most memory that a fresh process needs to read and report once."""
    done = subprocess.run([sys.executable, __file__, "--once", str(path)], capture_output=True, text=True, check=True)
    return float(json.loads(done.stdout))


def measured(path: Path) -> Iterable[Row]:
    """Every line of the table."""
    calls = [lambda: ours(path)]
    if find_spec("polars"):
        calls.append(lambda: polars_alone(path))
    best = turns(*calls)
    yield Row(f"{ROWS:,} lines read and reported", f"under {MOST_S:g} s", f"{best[0]:.2f} s", best[0] < MOST_S)
    peak = memory_mb(path)
    yield Row("the most memory of that, all of the program in it", f"under {MOST_MB:g} MB", f"{peak:.0f} MB", peak < MOST_MB)
    if len(best) > 1:
        ratio = best[0] / best[1]
        yield Row("the same ÷ polars reading alone, times as times", f"at most {MOST_RATIO:g}", f"{ratio:.2f}", ratio <= MOST_RATIO)
        yield Row("polars reading alone", "", f"{best[1]:.2f} s", None)
    else:
        sys.stderr.write(f"polars is not here, so nothing is compared.\n{(__doc__ or '').strip().splitlines()[-1]}\n")


def table(rows: Iterable[Row]) -> str:
    """The table with its date."""
    head = "| a log of one minute, two years long | aim | measured | met |\n|---|---|---|---|"
    day = f"{datetime.now(UTC):%Y-%m-%d}"
    return "\n".join(
        [head, *(row.line() for row in rows), "", f"Measured on {day} on 2 cores by `benchmarks/air_speed.py`, best of {TURNS}."]
    )


def write_between(path: Path, text: str) -> None:
    """Put the table between its marks on a page."""
    page = path.read_text(encoding="utf-8")
    before, start, rest = page.partition(START)
    _, end, after = rest.partition(END)
    if not (start and end):
        raise SystemExit(f"{path} lacks the marks {START} and {END}.")
    path.write_text(f"{before}{START}\n\n{text}\n\n{END}{after}", encoding="utf-8")


def main() -> int:
    """Measure, print, write where asked."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--write", type=Path)
    parser.add_argument("--once", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.once:
        ours(asked.once)
        status = Path("/proc/self/status").read_text(encoding="ascii")
        print(int(status.partition("VmHWM:")[2].split()[0]) / 1024)
        return 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "dome.csv"
        write_log(path, ROWS)
        rows = list(measured(path))
    text = table(rows)
    print(text)
    if asked.write:
        write_between(asked.write, text)
    return 1 if any(row.met is False for row in rows) else 0


if __name__ == "__main__":
    sys.exit(main())
