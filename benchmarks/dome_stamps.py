"""How often a dome's fitted ranges hold the truth when the weather's rows are not the weather: sampled, averaged, stamped early or late.

python benchmarks/dome_stamps.py                        prints the table as Markdown
python benchmarks/dome_stamps.py --logs 24              fits that many invented logs a line (8 unless said)
python benchmarks/dome_stamps.py --write docs/air.md    also puts the table between its two marks on that page

Each log is made in steps of a minute under weather of a minute, and fitted with rows of an hour or ten minutes: once as if those rows
were exact, once with the doubts that the program itself takes.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "benchmarks")]
START, END = "<!-- dome stamps: begin -->", "<!-- dome stamps: end -->"
DAYS = 11
LINES = (
    ("smooth, sampled every hour", "smooth", "sample", 60),
    ("sun and wind that jump on the hour, sampled then", "jumps", "sample", 60),
    ("the same, sampled every ten minutes", "jumps", "sample", 10),
    ("clouds of minutes, hourly means stamped at the middle", "clouds", "middle", 60),
    ("the same, stamped at the hour's end", "clouds", "end", 60),
    ("the same, stamped at its beginning", "clouds", "begin", 60),
    ("clouds of minutes, sampled every hour", "clouds", "sample", 60),
)


def by_the_minute(seed: int, kind: str) -> Any:
    """Weather of a porch minute by minute: smooth, with jumps on the hour, or with clouds that last some ten minutes."""
    from dome.dome_weather import porch
    from scionary.dome import OutsideAir

    rng = np.random.default_rng([11, seed])
    rough = porch(DAYS, seed=2000 + seed, sunny=rng.uniform(300, 700))
    time_s = np.arange(0, DAYS * 86_400 + 1, 60.0)
    air, moist, sun, wind = (
        np.interp(time_s, rough.time_s, row) for row in (rough.temperature_c, rough.relative_humidity_pct, rough.solar_w_m2, rough.wind_m_s)
    )
    if kind == "jumps":
        hour = np.floor(time_s / 3600.0).astype(int)
        sun, wind = rough.solar_w_m2[hour], rough.wind_m_s[hour]
    if kind == "clouds":
        sun = np.clip(sun * (0.2 + 1.1 / (1.0 + np.exp(-2.5 * _lasting(rng, time_s)))), 0.0, 1200.0)
        wind = wind * np.exp(0.4 * _lasting(rng, time_s))
    return OutsideAir(time_s, air, moist, sun, wind)


def _lasting(rng: np.random.Generator, time_s: Any) -> Any:
    """Noise of deviation one that lasts for twelve minutes."""
    knots, keep = np.arange(time_s[0], time_s[-1] + 361.0, 360.0), float(np.exp(-0.5))
    out = rng.normal(size=knots.size)
    for at in range(1, knots.size):
        out[at] = keep * out[at - 1] + np.sqrt(1.0 - keep**2) * out[at]
    return np.interp(time_s, knots, out)


def logged(seed: int, kind: str) -> tuple[Any, Any, Any, Any]:
    """The truth, the weather of a minute, the log of ten minutes and the vents."""
    from dome.logged_domes import erring
    from scionary.dome import DomeSpec, InsideAir, Vents
    from scionary.dome.kernel import saturated
    from scionary.dome.marching import march
    from scionary.dome.outside import at_moments
    from scionary.dome.spec import side_by_side, sizes_of
    from scionary.dome.vents import opening_on_steps

    rng, weather = np.random.default_rng([7, seed]), by_the_minute(seed, kind)
    truth = DomeSpec(
        shade_share=0.5,
        absorbed_fraction=min(0.65 * np.exp(rng.normal(0, 0.25)), 0.95),
        vent_factor=np.exp(rng.normal(0, 0.4)),
        heat_capacity_j_k=8000 * np.exp(rng.normal(0, 0.3)),
        evaporation_m_s=0.0035 * np.exp(rng.normal(0, 0.3)),
        leak_l_min=float(np.exp(rng.uniform(np.log(0.02), np.log(0.8)))),
    )
    changes = np.arange(0, DAYS * 86_400, 1.5 * 86_400) + 30_000
    areas = rng.permutation(np.resize([0.0, 25.0, 100.0, 50.0, 0.0, 150.0], changes.size))
    vents = Vents(np.append(0.0, changes), np.append(0.0, areas))
    opening = opening_on_steps(vents, weather, weather.time_s)
    made, _ = march(at_moments(weather, weather.time_s), opening, side_by_side([sizes_of(truth)]), np.array([np.inf]))
    air, time_s = made[0, ::10, 0], weather.time_s[::10]
    moist = 100.0 * made[2, ::10, 0] / saturated(air)
    air = air + rng.normal(0, 0.2) + erring(rng, time_s, 0.1, 0.15, 0.15)
    moist = moist + rng.normal(0, 1.2) + erring(rng, time_s, 0.3, 0.5, 0.6)
    return truth, weather, InsideAir(time_s, np.round(air, 1), np.clip(np.round(moist, 1), 0, 100)), vents


def rows(weather: Any, how: str, minutes: int) -> Any:
    """The rows that a station would write of weather of a minute."""
    from scionary.dome import OutsideAir

    columns = (weather.temperature_c, weather.relative_humidity_pct, weather.solar_w_m2, weather.wind_m_s)
    if how == "sample":
        return OutsideAir(weather.time_s[::minutes], *(column[::minutes] for column in columns))
    count = (weather.time_s.size - 1) // minutes
    means = [column[: count * minutes].reshape(count, minutes).mean(axis=1) for column in columns]
    begins = weather.time_s[: count * minutes : minutes]
    return OutsideAir(begins + {"begin": 0.0, "middle": 30.0, "end": 60.0}[how] * minutes, *means)


def line(words: str, kind: str, how: str, minutes: int, logs: int) -> str:
    """One line of the table: shares held as if exact, and with the program's doubts."""
    from scionary.answers.dome_doubts import CLOCK_DOUBT_S, SUN_DOUBT
    from scionary.dome import DomeSpec, fit_dome
    from scionary.dome.fitted import FITTED

    doubts: tuple[dict[str, Any], ...] = ({}, {"clock_doubt_s": CLOCK_DOUBT_S, "sun_doubt_share": SUN_DOUBT})
    held: tuple[list[list[bool]], ...] = ([], [])
    late = []
    for seed in range(logs):
        truth, weather, inside, vents = logged(seed, kind)
        given = rows(weather, how, minutes)
        for kept, doubt in zip(held, doubts, strict=True):
            fit = fit_dome(DomeSpec(shade_share=0.5), given, inside, vents, rng=seed, **doubt)
            told = [(fit.estimate(name), getattr(truth, name)) for name in FITTED]
            kept.append([*(each.low <= true <= each.high for each, true in told), truth.leak_l_min <= fit.estimate("leak_l_min").high])
        late.append(fit.estimate("sun_late_min").value)
    shares = [", ".join(f"{100 * share:.0f}" for share in np.mean(each, axis=0)) for each in held]
    return f"| {words} | {shares[0]} | {shares[1]} | {np.median(late):+.0f} min |"


def table(logs: int) -> Iterable[str]:
    """The whole table as Markdown, dated."""
    today = datetime.now(UTC).date().isoformat()
    yield f"Measured {today} by `benchmarks/dome_stamps.py`, {logs} logs a line; share in % whose range held the truth: sun, vents,"
    yield "heat store, evaporation, upper bound of the leak."
    yield ""
    yield "| weather that the fit was given | rows taken as exact | as the program takes them | its sun found late by |"
    yield "|---|---|---|---|"
    for each in LINES:
        yield line(*each, logs)


def main() -> int:
    """Measure, print, write when asked."""
    from dome_reach import write as put

    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--write", type=Path, metavar="PAGE", help="also put the table between its marks on this page")
    parser.add_argument("--logs", type=int, default=8, help="invented logs a line")
    chosen = parser.parse_args()
    text = "\n".join(table(chosen.logs))
    print(text)
    if chosen.write:
        put(text, chosen.write, START, END)
    return 0


if __name__ == "__main__":
    sys.exit(main())
