"""How fast a site's windows are against a plain loop, and what chill, stages and files of weather take.

python benchmarks/season_speed.py            prints the table as Markdown; exit code 1 when a target is missed or the loop says otherwise
python benchmarks/season_speed.py --write    also puts it, dated, between its marks in docs/season.md
"""

from __future__ import annotations

import os
import platform
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import numpy.typing as npt

from scionary.files.weather import read_weather
from scionary.season import chill_portions, fit_heat_sums, method_windows, window_fraction, window_map

PAGE = Path(__file__).resolve().parent.parent / "docs" / "season.md"
START, END = "<!-- speed: begin -->", "<!-- speed: end -->"
TARGET_S = 0.005
YEARS = 30
DAYS, LOW_C, HIGH_C, LIMIT_C, SHARE = 30, 15.0, 27.0, 33.0, 0.6
Floats = npt.NDArray[np.float64]


def made_up(years: int) -> Floats:
    """Hours of whole years: seasons, days, and weather that lasts some days."""
    rng = np.random.default_rng(1)
    hours = np.arange(years * 8760)
    season, day = np.cos(2 * np.pi * (hours / 8760 - 0.55)), np.cos(2 * np.pi * (hours / 24 - 0.6))
    weather = np.repeat(np.convolve(rng.normal(0.0, 6.0, years * 365 + 6), np.full(7, 1 / 7), "valid"), 24)
    return 12.0 + 9.0 * season + 4.0 * day + weather


def plain_loop(hours: Floats) -> Floats:
    """Every start of every year by itself, each sum by numpy."""
    inside = (hours >= LOW_C) & (hours <= HIGH_C)
    hot = hours > LIMIT_C
    good = np.zeros(365)
    for start in range(YEARS * 365):
        window = slice(start * 24, (start + DAYS) * 24)
        good[start % 365] += inside[window].sum() >= SHARE * DAYS * 24 and not hot[window].any()
    return good / YEARS


def seconds(work: Callable[[], object], times: int) -> float:
    """The middle of some runs, after one to warm up."""
    work()
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        taken.append(time.perf_counter() - began)
    return sorted(taken)[len(taken) // 2]


def hourly_file(hours: Floats) -> bytes:
    """The same hours as a person's file."""
    when = np.arange(np.datetime64("1991-01-01T00", "h"), np.datetime64("1991-01-01T00", "h") + hours.size)
    rows = (f"{str(hour).replace('T', ' ')}:00,{t:.1f},80,0.0,2.1" for hour, t in zip(when, hours, strict=True))
    return "\n".join(["time,temperature (°C),humidity (%),rain (mm),wind (m/s)", *rows]).encode()


def looks() -> tuple[list[str], list[str], Floats]:
    """Twelve cultivars looked at in five springs."""
    rng = np.random.default_rng(2)
    cultivar = [str(i) for i in range(12) for _ in range(5)]
    return cultivar, [str(j) for _ in range(12) for j in range(5)], rng.lognormal(5.0, 0.2, 60)


def daily_s(hours: Floats) -> float:
    """Windows of two methods over the same years by day."""
    by_day = hours[: YEARS * 8760].reshape(-1, 24)
    days = np.datetime64("1991-01-01") + np.arange(by_day.shape[0])
    return seconds(lambda: method_windows(days, by_day.max(axis=1), by_day.min(axis=1), latitude_deg=47.2), 5)


def main(arguments: list[str]) -> int:
    """Measure and print, write where asked, and say whether the target is kept."""
    load = os.getloadavg()[0]
    hours = made_up(YEARS + 1)
    band = {"low_c": LOW_C, "high_c": HIGH_C, "limit_c": LIMIT_C, "share": SHARE}
    same = window_fraction(hours, days=DAYS, **band).tolist() == plain_loop(hours).tolist()
    loop_s = seconds(lambda: plain_loop(hours), 3)
    window_s = seconds(lambda: window_fraction(hours, days=DAYS, **band), 15)
    map_s = seconds(lambda: window_map(hours, days=DAYS, **band), 9)
    data, (cultivar, season, heat) = hourly_file(hours[: YEARS * 8760]), looks()
    read_s = seconds(lambda: read_weather(data, name="hours.csv", time_zone="Europe/Vienna"), 1)
    fit_s = seconds(lambda: fit_heat_sums(cultivar, season, heat, heat), 5)
    text = "\n".join(
        [
            f"Measured on {datetime.now(UTC).date()} ({os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}; "
            f"{load:.1f} processes were waiting or running beforehand), {YEARS} years of hours, warm:",
            "",
            "| what | time | against the loop |",
            "|---|--:|--:|",
            f"| plain loop over {YEARS} × 365 starts | {1000 * loop_s:.0f} ms | 1 |",
            f"| `window_fraction`, {'identical' if same else 'NOT THE SAME'} (aim: under 5 ms) | {1000 * window_s:.1f} ms "
            f"| {loop_s / window_s:.0f} times as fast |",
            f"| `window_map`, with ranges | {1000 * map_s:.1f} ms | |",
            f"| `method_windows`, two methods, by day | {1000 * daily_s(hours):.0f} ms | |",
            f"| `chill_portions` of all hours | {1000 * seconds(lambda: chill_portions(hours), 3):.0f} ms | |",
            f"| `fit_heat_sums`, 60 looks at 12 cultivars | {1000 * fit_s:.0f} ms | |",
            f"| `read_weather`, {YEARS * 8760:,} hours, {len(data) / 1e6:.0f} MB | {read_s:.1f} s | |",
        ]
    )
    print(text)
    if "--write" in arguments:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
    return 0 if same and window_s < TARGET_S else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
