"""The whole reach of take rates in one table: what was aimed at, beside what was measured, and where the figure comes from.

python benchmarks/take_reach.py                        prints the table as Markdown; exit code 1 when an aim is missed
python benchmarks/take_reach.py --write docs/take.md   also puts it between its two marks on that page

Distances from the stored sampling runs, numbers of a trial and its rule for looks are computed on the spot (about a minute). Calibration,
signs and timings are the dated figures of the last long runs that were written (`benchmarks/results`); where there is none, calibration is
measured on 100 nurseries, which judges nothing, and the rest is left out.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import take_calibration
import take_signs
import take_speed
import take_trials

from scionary.take import LookRule, LookVerdict, arms_needed

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tools"))
START, END = "<!-- reach: begin -->", "<!-- reach: end -->"
TRIALS = 2000
FEW = 100


@dataclass(frozen=True)
class Row:
    """One line: what, the aim in words, the figure in words, whether it is met (None: reported without an aim), and whence."""

    what: str
    aim: str
    figure: str
    met: bool | None
    source: str

    def line(self) -> str:
        """As a line of a Markdown table."""
        mark = {True: "yes", False: "**no**", None: "–"}[self.met]
        return f"| {self.what} | {self.aim} | {self.figure} | {mark} | {self.source} |"


def oracle_rows(today: str) -> Iterable[Row]:
    """How far fits lie from the stored long runs of the sampler."""
    from oracle.holding import held
    from oracle.nursery import NURSERIES

    source = f"on the spot, {today}"
    for nursery in NURSERIES:
        found = held(nursery.name)
        grafts = f"{int(found.fit.cells.grafts.sum()):,} grafts"
        kinds = [found.of(kind) for kind in ("fixed", "effect", "rate_at_reference", "long_run_rate")]
        mean = max(float(np.max(np.abs(each.mean))) for each in kinds)
        ratios = np.concatenate([each.sd_ratio for each in kinds])
        ends = max(float(np.max(np.abs([each.low, each.high]))) for each in kinds)
        scales = float(np.max(np.abs([found.scales.low, found.scales.median, found.scales.high])))
        width = max(float(each.width_ratio.mean()) for each in kinds[2:])
        yield Row(f"{grafts}: worst mean, in posterior sd from the sampler's", "at most 0.08", f"{mean:.3f}", mean <= 0.08, source)
        spread = f"{ratios.min():.2f} to {ratios.max():.2f}"
        yield Row(f"{grafts}: sd ÷ the sampler's", "0.93 to 1.06", spread, bool(ratios.min() >= 0.93 and ratios.max() <= 1.06), source)
        yield Row(f"{grafts}: worst 5 or 95 % point, in sd", "at most 0.20", f"{ends:.2f}", ends <= 0.20, source)
        yield Row(f"{grafts}: worst 5, 50 or 95 % point of a scale, in sd", "at most 0.15", f"{scales:.2f}", scales <= 0.15, source)
        yield Row(f"{grafts}: mean width of rate ranges ÷ the sampler's", "at most 1.2", f"{width:.2f}", width <= 1.2, source)


def calibration_rows(today: str) -> Iterable[Row]:
    """Whether ranges hold what they promise; so few nurseries as are measured on the spot judge nothing."""
    kept = take_calibration.stored()
    found = kept[1] if kept else [take_calibration.measure(FEW)]
    for each in found:
        source = f"{each.nurseries:,} simulated nurseries, {kept[0]}" if kept else f"only {FEW} simulated nurseries, on the spot, {today}"
        fault = next((fault for fault in take_calibration.FAULTS if fault.name == each.fault), None)
        for row in faulty_rows(each, source, aimed=fault.aimed) if fault else faultless_rows(each, source):
            yield row if kept else replace(row, met=None)


def faultless_rows(each: take_calibration.Coverage, source: str) -> Iterable[Row]:
    """What holds when nothing is unknown to the model."""
    words = {
        "reference": "90 % ranges of rates all else alike hold",
        "long_run": "90 % ranges of long-run rates hold",
        "total": "90 % range of the next season's total holds",
        "needed": "number to graft for 10 takes at 90 % brings them",
    }
    for name, what in words.items():
        aim, figure = take_calibration.AIMS[name], getattr(each, name)
        yield Row(what, f"{100 * aim.least:.0f} to {100 * aim.most:.0f} %", f"{100 * figure:.1f} %", aim.met(figure), source)
    fails = not take_calibration.AIMS["total"].met(each.total_without_luck)
    what = "the same check of a total foretold as if no new season, dome or lot came"
    yield Row(what, "must fail", f"{100 * each.total_without_luck:.1f} %", fails, source)
    error = f"{each.thin_error:.3f} of {each.thin_raw_error:.3f} ({each.error_share:.3f})"
    met = take_calibration.AIMS["error_share"].met(each.error_share)
    yield Row("mean error for cultivars with at most 12 grafts, of that of their percentage", "at most half", error, met, source)


def faulty_rows(each: take_calibration.Coverage, source: str, *, aimed: bool) -> Iterable[Row]:
    """What holds under a fault that the model does not know."""
    figures = ", ".join(f"{100 * getattr(each, name):.1f} %" for name in ("reference", "long_run", "total"))
    words = f"at least {100 * take_calibration.LEAST_UNDER_FAULT:.0f} %" if aimed else "none"
    what = f"unknown to the model: {each.fault}; ranges of rates all else alike, long-run rates, next total"
    yield Row(what, words, figures, not each.missed() if aimed else None, source)


def speed_rows() -> Iterable[Row]:
    """Seconds, memory, and the sampler beside them."""
    kept = take_speed.stored()
    if kept is None:
        return
    date, machine, timings = kept
    for each in timings:
        case = next(case for case in take_speed.CASES if case.name == each.name)
        source = f"{machine}, {date}"
        what = f"{each.name}, {each.points} points, {each.effects:,} effects: seconds"
        yield Row(what, f"below {case.most_s:g}", f"{each.seconds:.2f}", each.seconds < case.most_s, source)
        fits = each.peak_mib < take_speed.MOST_MIB
        yield Row(f"{each.name}: peak memory", f"below {take_speed.MOST_MIB} MiB", f"{each.peak_mib:.0f} MiB", fits, source)
        if each.ratio is not None:
            aim = "none" if case.least_ratio is None else f"at least {case.least_ratio:g}"
            met = None if case.least_ratio is None else each.ratio >= case.least_ratio
            yield Row(f"{each.name}: sampler ÷ engine ({each.sampler})", aim, f"{each.ratio:,.0f}", met, source)


def sign_rows() -> Iterable[Row]:
    """What signs teach."""
    kept = take_signs.stored()
    if kept is None:
        return
    date, machine, learned, totals, races = kept
    for one in learned:
        worst = f"{max(abs(one.sensitivity_bias), abs(one.specificity_bias)):.3f}"
        source = f"{one.replicates:,} simulated records, {date}"
        what = f"sign {one.record}: worst bias of its accuracies"
        yield Row(what, f"at most {take_signs.MOST_BIAS:g}", worst, not one.missed(), source)
    for each in totals:
        aim = f"at least {100 * take_signs.LEAST_HELD:.0f} %"
        what, source = f"{each.plants:,} plants with signs: 90 % range holds the total", f"{each.seasons} simulated seasons, {date}"
        yield Row(what, aim, f"{100 * each.held:.1f} %", each.held >= take_signs.LEAST_HELD, source)
    for race in races:
        beyond = "" if race.reached else "at least "
        what = f"{race.plants:,} plants, {race.signs} signs: plain weighing ÷ engine"
        yield Row(what, "none", f"{beyond}{race.ratio:,.0f}", None, f"{machine}, {date}")


def trial_rows(today: str) -> Iterable[Row]:
    """Sizes of trials and the rule for looks."""
    source = f"on the spot, {today}"
    for block_sd in (0.0, 0.5, 1.0):
        needed = str(arms_needed(0.6, 0.75, block_sd=block_sd))
        yield Row(f"60 against 75 %, trays differ by {block_sd:g}: grafts an arm", "none", needed, None, source)
    for words, rates in (("power at 60 against 75 %", (0.6, 0.75)), ("false claims", (0.6, 0.6))):
        takes = take_trials.drawn_takes(np.full((12, 2), 20.0), rates, TRIALS, tray_sd=0.0, seed=5).cumsum(axis=1).astype(int)
        share = float(np.mean([take_trials.last_look(one, LookRule()).verdict is LookVerdict.CLAIM for one in takes.tolist()]))
        aim, met = ("at least 80 %", share >= 0.80) if rates[0] != rates[1] else ("at most 5 %", share <= 0.05)
        yield Row(f"looks every 20 an arm up to 240: {words}", aim, f"{100 * share:.1f} %", met, f"{TRIALS:,} simulated trials, {source}")


def table(rows: Iterable[Row]) -> str:
    """The whole table as Markdown."""
    return "\n".join(["| what | aim | measured | met | measured how |", "|---|---|---|---|---|", *(row.line() for row in rows)])


def write(text: str, page: Path) -> None:
    """Put the table between its two marks on the page."""
    before, begin, rest = page.read_text(encoding="utf-8").partition(START)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise SystemExit(f"{page} has no place for the table: put {START} and {END} there")
    page.write_text(f"{before}{START}\n{text}\n{END}{after}", encoding="utf-8")


def main(arguments: list[str] | None = None) -> int:
    """Gather, print, write when asked."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--write", type=Path, metavar="PAGE", help="also put the table between its marks on this page")
    chosen = parser.parse_args(arguments)
    today = datetime.now(UTC).date().isoformat()
    rows = [*oracle_rows(today), *calibration_rows(today), *speed_rows(), *sign_rows(), *trial_rows(today)]
    print(table(rows))
    if chosen.write:
        write(table(rows), chosen.write)
    missed = [row.what for row in rows if row.met is False]
    print("\nMissed: " + "; ".join(missed) if missed else "\nAll aims are met.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
