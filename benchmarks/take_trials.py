"""What the rules for trials do, on simulated ones: power, false claims, grafts used, ranges that hold the truth.

python benchmarks/take_trials.py              prints the figures (some minutes)
python benchmarks/take_trials.py --write      also puts them, dated, between their marks in docs/take.md
python benchmarks/take_trials.py --trials N   with N simulated trials a line in place of 10,000
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import numpy as np

from scionary.take import LookRule, LookVerdict, TrialLook, arms_needed, look_at_trial
from scionary.take.effect import Effect, common_effect, varying_effect
from scionary.take.stratified import stratified_test, tray_test, whole_tray_test
from scionary.units import Float

PAGE = Path(__file__).resolve().parent.parent / "docs" / "take.md"
START, END = "<!-- trials: begin -->", "<!-- trials: end -->"
SEED = 20_260_301
SIGNIFICANCE = 0.05


def drawn_takes(grafts: Float, rates: Iterable[float], trials: int, *, tray_sd: float, interaction_sd: float = 0.0, seed: int = 0) -> Float:
    """Takes of many trials by tray and arm; trays differ in log odds, and so may the effect in them."""
    rng = np.random.default_rng(SEED + seed)
    log_odds = np.log(np.array([rate / (1.0 - rate) for rate in rates]))
    shift = rng.normal(0.0, tray_sd, (trials, len(grafts), 1))
    extra = rng.normal(0.0, interaction_sd, (trials, len(grafts), 1)) * np.array([-0.5, 0.5])
    return rng.binomial(grafts.astype(int), 1.0 / (1.0 + np.exp(-(log_odds + shift + extra)))).astype(float)


def claims(test: Callable[[Float], float], takes: Float) -> float:
    """Share of trials that a test claims a difference in."""
    return float(np.mean([test(one) < SIGNIFICANCE for one in takes]))


def table(columns: str, rows: Iterable[tuple[object, ...]]) -> str:
    """A table of the page; the first column is words, the others numbers."""
    names = columns.split(" | ")
    lines = [f"| {columns} |", "|---|" + "--:|" * (len(names) - 1)]
    return "\n".join([*lines, *("| " + " | ".join(str(cell) for cell in row) + " |" for row in rows)])


def sample_sizes(trials: int) -> str:
    """Power that the number needed really has, in trays of ten grafts an arm."""
    rows = []
    for block_sd in (0.0, 0.5, 1.0):
        needed = arms_needed(0.6, 0.75, block_sd=block_sd)
        sizes = np.diff(np.append(np.arange(0, needed, 10), needed)).astype(float)
        grafts = np.column_stack([sizes, sizes])
        takes = drawn_takes(grafts, (0.6, 0.75), trials, tray_sd=block_sd, seed=1)
        power = claims(lambda one, grafts=grafts: stratified_test(grafts, one), takes)  # type: ignore[misc]
        rows.append((f"trays differ by {block_sd:g}", needed, f"{power:.3f}"))
    return "Grafts an arm to tell 60 from 75 %, with power 0.80:\n\n" + table("log odds | `arms_needed` | power simulated", rows)


def interactions(trials: int) -> str:
    """False claims and power when the effect differs between trays."""
    rows = []
    for trays, each, sd in ((8, 20, 0.0), (8, 20, 0.3), (8, 20, 0.5), (16, 10, 0.5), (4, 40, 0.5)):
        grafts = np.full((trays, 2), float(each))
        cells: list[str] = []
        for rates in ((0.6, 0.6), (0.6, 0.75)):
            takes = drawn_takes(grafts, rates, trials, tray_sd=0.5, interaction_sd=sd, seed=2)
            tests: tuple[Callable[[Float, Float], float], ...] = (stratified_test, tray_test)
            cells += [f"{claims(lambda one, test=test, grafts=grafts: test(grafts, one), takes):.3f}" for test in tests]  # type: ignore[misc]
        rows.append((f"{trays} trays of {each} an arm, effect differs by {sd:g}", *cells))
    columns = "layout | false claims by graft | by tray | power by graft | by tray"
    return "Arms beside each other in trays that differ by 0.5 (60 against 60 %, 60 against 75 %):\n\n" + table(columns, rows)


def whole_trays(trials: int) -> str:
    """False claims when whole trays are treated, counted by graft and by tray."""
    rows = []
    for an_arm, each, sd in ((3, 20, 0.5), (5, 20, 0.5), (5, 20, 0.7), (5, 40, 0.5), (8, 20, 0.5)):
        grafts = np.full((2 * an_arm, 1), float(each))
        takes = drawn_takes(np.repeat(grafts, 2, axis=1), (0.6, 0.6), trials, tray_sd=sd, seed=3)[:, :, 0]
        better = drawn_takes(np.repeat(grafts, 2, axis=1), (0.6, 0.75), trials, tray_sd=sd, seed=4)
        better = np.concatenate([better[:, :an_arm, 0], better[:, an_arm:, 1]], axis=1)
        made = grafts[:, 0]

        def by_tray(one: Float, made: Float = made, an_arm: int = an_arm) -> float:
            return whole_tray_test((made[:an_arm], one[:an_arm]), (made[an_arm:], one[an_arm:]))

        def by_graft(one: Float, total: float = float(an_arm * each), an_arm: int = an_arm) -> float:
            return stratified_test(np.array([[total, total]]), np.array([[one[:an_arm].sum(), one[an_arm:].sum()]]))

        shares = (claims(by_graft, takes), claims(by_tray, takes), claims(by_tray, better))
        rows.append((f"{an_arm} trays of {each} an arm, trays differ by {sd:g}", *(f"{share:.3f}" for share in shares)))
    columns = "layout | false claims by graft | by tray | power by tray"
    return "A treatment given to whole trays (60 against 60 %, 60 against 75 %):\n\n" + table(columns, rows)


@cache
def look(an_arm: int, first: int, second: int, rule: LookRule) -> TrialLook:
    """One look, remembered: many trials pass through the same counts."""
    return look_at_trial((an_arm, an_arm), (first, second), rule=rule)


def looks(trials: int) -> str:
    """Claims and grafts used by the rule for looks, beside looser ones."""
    rows = []
    for words, rule in (("0.99", LookRule()), ("0.975", LookRule(claim=0.975)), ("0.975, flat prior", LookRule(claim=0.975, prior_sd=5.0))):
        for rates in ((0.6, 0.75), (0.6, 0.6), (0.8, 0.8)):
            takes = drawn_takes(np.full((12, 2), 20.0), rates, trials, tray_sd=0.0, seed=5).cumsum(axis=1)
            ends = [last_look(one, rule) for one in takes.astype(int).tolist()]
            claimed = float(np.mean([end.verdict is LookVerdict.CLAIM for end in ends]))
            mean = float(np.mean([end.an_arm for end in ends]))
            rows.append((f"claim above {words}; {rates[0]:.0%} against {rates[1]:.0%}", f"{claimed:.3f}", f"{mean:.0f}"))
    return "Looks every 20 an arm up to 240:\n\n" + table("rule | claims | mean grafts an arm", rows)


def last_look(takes: list[list[int]], rule: LookRule) -> TrialLook:
    """The look at which a trial ends."""
    for number, (first, second) in enumerate(takes, start=1):
        seen = look(20 * number, first, second, rule)
        if seen.verdict is not LookVerdict.GO_ON:
            break
    return seen


def ranges(trials: int) -> str:
    """How often the 90 % range of the log odds ratio holds a truth drawn from the prior."""
    grafts = np.full((8, 2), 10.0)
    rows = []
    models: dict[str, Callable[[Float, Float], Effect]] = {"alike in all trays": common_effect, "allowed to differ": varying_effect}
    for words, sd in (("alike", 0.0), ("by 0.5", 0.5)):
        rng = np.random.default_rng(SEED + 6)
        truths = rng.normal(0.0, 0.5, trials)
        held = dict.fromkeys(models, 0)
        for number, truth in enumerate(truths):
            rates = 1.0 / (1.0 + np.exp(-(0.5 + np.array([-0.5, 0.5]) * truth)))
            takes = drawn_takes(grafts, rates, 1, tray_sd=0.5, interaction_sd=sd, seed=100 + number)[0]
            for name, model in models.items():
                low, high = model(grafts, takes).quantile([0.05, 0.95])
                held[name] += bool(low <= truth <= high)
        rows.append((f"effect differs between trays: {words}", *(f"{count / trials:.3f}" for count in held.values())))
    return "90 % ranges that hold the truth, 8 trays of 10 an arm:\n\n" + table(
        "truth | model: alike in all trays | model: allowed to differ", rows
    )


def figures(trials: int) -> str:
    """All figures, with the day and the error of a simulated share."""
    parts = [part(trials) for part in (sample_sizes, interactions, whole_trays, looks)] + [ranges(min(trials, 2_000))]
    error = np.sqrt(0.05 * 0.95 / trials)
    day, share = datetime.now(UTC).date(), f"a share of 0.05 is good to {error:.3f}"
    head = f"Simulated on {day} by `benchmarks/take_trials.py`, {trials:,} trials a line: {share}."
    return "\n\n".join([head, *parts])


def write(text: str, page: Path) -> None:
    """Put the figures between their two marks on the page."""
    before, begin, rest = page.read_text(encoding="utf-8").partition(START)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise SystemExit(f"{page} has no place for the figures: put {START} and {END} there")
    page.write_text(f"{before}{START}\n{text}\n{END}{after}", encoding="utf-8")


def main(arguments: list[str]) -> int:
    """Simulate, print, write when asked."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--trials", type=int, default=10_000)
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args(arguments)
    text = figures(asked.trials)
    print(text)
    if asked.write:
        write(text, PAGE)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
