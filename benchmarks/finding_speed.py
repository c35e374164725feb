"""How fast a nameless plant is looked for among many, beside a plain loop over plants that computes the same.

python benchmarks/finding_speed.py            prints the table; exit code 1 when a target is missed
python benchmarks/finding_speed.py --write    also puts it, dated, between its marks in docs/finding.md
"""

from __future__ import annotations

import math
import os
import platform
import sys
import time
from collections import Counter
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import numpy as np

from scionary.names import NUMBERS, TRAITS, Evidence, FindingAssumptions, PlantIndex, Standing, index_plants, next_question, rank_plants
from scionary.names.codes import FIELD
from scionary.names.plant_index import HEIGHT_STEP, Column, plain_letters
from scionary.names.reading import written_symbols

PAGE = Path(__file__).resolve().parent.parent / "docs" / "finding.md"
START, END = "<!-- speed: begin -->", "<!-- speed: end -->"
TARGET_S, PLANTS, LOOPED = 0.1, 1_000_000, (4_000, 12_000)
LOOKS = {trait.key: tuple(trait.values) for trait in TRAITS}


def made_up(plants: int, seed: int) -> PlantIndex:
    """A book of so many plants: 300 cultivars, 200 places, 12 kinds of pot, 6 grafters, 12 years."""
    rng = np.random.default_rng(seed)
    syllables = ("ta", "rn", "fell", "beck", "gill", "how", "rigg", "keld", "sike", "wath", "thwaite", "garth")
    names = ["".join(rng.choice(syllables, size=rng.integers(2, 5))).title() + f" {number}" for number in range(300)]
    drawn = {name: rng.dirichlet(np.full(len(values), 0.5), size=len(names)) for name, values in LOOKS.items()}
    traits = {
        name: {each: dict(zip(values, row / row.sum(), strict=True)) for each, row in zip(names, drawn[name], strict=True)}
        for name, values in LOOKS.items()
    }
    shares = rng.dirichlet(np.full(len(names), 0.7))
    return index_plants(
        cultivar=[names[one] for one in rng.choice(len(names), size=plants, p=shares)],
        number=rng.choice(NUMBERS, size=plants, replace=False).tolist(),
        stands=[None if one == 0 else f"Bed {one}" for one in rng.integers(0, 200, plants)],
        pot_kind=[f"Pot {one}" for one in rng.integers(0, 12, plants)],
        grafter=[None if one == 0 else f"Hand {one}" for one in rng.integers(0, 7, plants)],
        grafted_on=(735_000 + rng.integers(0, 4_380, plants)).tolist(),
        height_mm=np.where(rng.random(plants) < 0.3, np.nan, np.exp(rng.normal(6.2, 0.6, plants))).tolist(),
        standing=rng.choice(len(Standing), size=plants, p=(0.7, 0.05, 0.2, 0.05)).tolist(),
        traits=traits,
    )


EVIDENCE = Evidence(
    code="P?W E?Y?",
    name=("be?k",),
    stands="Bed 17",
    pot_kind="Pot 3",
    grafter="Hand 2",
    grafted_about=date.fromordinal(737_000),
    height_mm=480.0,
    traits={"lobes": "7", "cut": "deep", "summer": "red", "size": "small"},
)


def plain_rank(evidence: Evidence, plants: PlantIndex, assumed: FindingAssumptions) -> tuple[list[float], float]:
    """Chance of each plant and of "none of these", one plant after the other, from the formulas, with nothing prepared."""
    weights = (1.0, assumed.missing, assumed.accounted, assumed.gone)
    prior_sum = sum(weights[standing] for standing in plants.standing)
    none = assumed.none_of_these
    usual = Usual(evidence, plants, assumed)
    chances = [
        (1.0 - none) * weights[plants.standing[one]] / prior_sum * math.prod(part(one) / average for part, average in usual.parts)
        for one in range(len(plants.standing))
    ]
    total = sum(chances) + none
    return [chance / total for chance in chances], none / total


class Usual:
    """The parts of the product, each with its average over the book."""

    def __init__(self, evidence: Evidence, plants: PlantIndex, assumed: FindingAssumptions) -> None:
        self.evidence, self.plants, self.assumed = evidence, plants, assumed
        self.columns = {name: [_value(column, code) for code in column.codes.tolist()] for name, column in plants.columns.items()}
        self.parts: list[tuple[Callable[[int], float], float]] = []
        if evidence.code is not None:
            read = [(place, symbol) for place, symbol in enumerate(written_symbols(evidence.code)[0]) if symbol is not None]
            self.parts.append((lambda one: self.code(one, read), FIELD ** -len(read)))
        if evidence.name:
            self.averaged("cultivar", self.name)
        for field in ("stands", "pot_kind", "grafter"):
            if getattr(evidence, field) is not None:
                self.averaged(field, self.choice(field))
        if evidence.grafted_about is not None:
            self.averaged("grafted_on", self.day())
        if evidence.height_mm is not None:
            self.averaged("height_mm", self.height())
        if evidence.traits:
            self.averaged("cultivar", self.looks())

    def averaged(self, field: str, chance: Callable[[Any], float]) -> None:
        """Add a field; plants of which the book does not say it get the average."""
        values, found = self.columns[field], {}
        for value in set(values) - {None}:
            found[value] = chance(value)
        known = [found[value] for value in values if value is not None]
        average = sum(known) / len(known)
        self.parts.append((lambda one: average if values[one] is None else found[values[one]], average))

    def code(self, one: int, read: list[tuple[int, int]]) -> float:
        """Chance of the characters read."""
        symbols, right = self.plants.symbols[:, one], self.assumed.code_character
        any_code = FIELD ** -len(read)
        if symbols[0] >= FIELD:
            return any_code
        own = math.prod(right if symbols[place] == symbol else (1.0 - right) / (FIELD - 1) for place, symbol in read)
        return self.assumed.own_label * own + (1.0 - self.assumed.own_label) * any_code

    def name(self, cultivar: Any) -> float:
        """Chance of the letters read, mixed with that of another plant's label."""
        if not hasattr(self, "any_name"):
            values = [value for value in self.columns["cultivar"] if value is not None]
            each = {value: self.letters(value) for value in set(values)}
            self.any_name = sum(each[value] for value in values) / len(values)
        return self.assumed.own_label * self.letters(cultivar) + (1.0 - self.assumed.own_label) * self.any_name

    def letters(self, cultivar: Any) -> float:
        """Mean over the places where each part may begin."""
        text, right, product = plain_letters(str(cultivar)), self.assumed.name_letter, 1.0
        for part in map(plain_letters, self.evidence.name):
            starts = range(len(text) - len(part) + 1)
            wrong = (1.0 - right) / 25.0
            at = [math.prod(1.0 if p == "?" else right if p == t else wrong for p, t in zip(part, text[s:], strict=False)) for s in starts]
            product *= sum(at) / len(at) if at else wrong ** sum(letter != "?" for letter in part)
        return product

    def choice(self, field: str) -> Callable[[Any], float]:
        """Chance of the word said, given the word in the book."""
        values = [value for value in self.columns[field] if value is not None]
        counts = Counter(values)
        usual = {value: (count + 1) / (len(values) + len(counts) + 1) for value, count in counts.items()}
        seen, agree = getattr(self.evidence, field), getattr(self.assumed, field)
        of_seen = usual.get(seen, 1 / (len(values) + len(counts) + 1))
        return lambda value: agree if value == seen else (1.0 - agree) * of_seen / (1.0 - usual[value])

    def day(self) -> Callable[[Any], float]:
        """Density of the day remembered."""
        from scipy import stats

        assert self.evidence.grafted_about is not None
        days, tail = self.plants.columns["grafted_on"].values, self.assumed.date_tail
        near = stats.t(3, loc=self.evidence.grafted_about.toordinal(), scale=self.evidence.grafted_within_days).pdf(days)
        found = dict(zip(days, near.tolist(), strict=True))
        return lambda value: (1.0 - tail) * found[value] + tail / max(days[-1] - days[0] + 1, 365)

    def height(self) -> Callable[[Any], float]:
        """Density of the height."""
        from scipy import stats

        assert self.evidence.height_mm is not None
        steps, tail = self.plants.columns["height_mm"].values, self.assumed.height_tail
        away = np.log(self.evidence.height_mm) - np.array(steps) * HEIGHT_STEP
        narrow, wide = (stats.norm(0.0, one).pdf(away) for one in (self.assumed.height_spread, self.assumed.height_tail_spread))
        found = dict(zip(steps, ((1.0 - tail) * narrow + tail * wide).tolist(), strict=True))
        return lambda value: found[value]

    def looks(self) -> Callable[[Any], float]:
        """Chance of all traits, mixed with that of a look that misleads."""
        values = [value for value in self.columns["cultivar"] if value is not None]
        names, each, average = list(self.plants.columns["cultivar"].values), [], 1.0
        for trait, seen in self.evidence.traits.items():
            table = self.plants.traits[trait]
            place = table.values.index(seen)
            told = {name: float(table.chances[number, place]) for number, name in enumerate(names)}
            known = [told[value] for value in values if not math.isnan(told[value])]
            usual = sum(known) / len(known)
            chance = {name: 0.99 * (usual if math.isnan(one) else one) + 0.01 / len(table.values) for name, one in told.items()}
            average *= sum(chance[value] for value in values) / len(values)
            each.append(chance)
        clear = 1.0 - self.assumed.misleading_look
        return lambda cultivar: clear * math.prod(chance[cultivar] for chance in each) + (1.0 - clear) * average


def _value(column: Column, code: int) -> Any:
    return column.values[code] if code < len(column.values) else None


def seconds(work: Callable[[], object], times: int) -> float:
    """The middle of some runs, after one to warm up."""
    work()
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        taken.append(time.perf_counter() - began)
    return sorted(taken)[len(taken) // 2]


def looped_s() -> float:
    """What the loop would take for all plants: what each further plant takes between two sizes, without what is made once."""
    few, many = (made_up(size, 2) for size in LOOPED)
    assumed = FindingAssumptions()
    taken = [seconds(lambda book=book: plain_rank(EVIDENCE, book, assumed), 3) for book in (few, many)]  # type: ignore[misc]
    return (taken[1] - taken[0]) / (LOOPED[1] - LOOPED[0]) * PLANTS


def main(arguments: list[str]) -> int:
    """Measure and print, and say whether the target is kept."""
    load = os.getloadavg()[0]
    large = made_up(PLANTS, 1)
    loop_s = looped_s()
    rank_s = seconds(lambda: rank_plants(EVIDENCE, large), 9)
    ask_s = seconds(lambda: next_question(Evidence(stands="Bed 17", traits={"lobes": "7"}), large), 5)
    text = "\n".join(
        [
            f"Measured on {datetime.now(UTC).date()} ({os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}; "
            f"{load:.1f} processes were waiting or running beforehand), {PLANTS:,} plants, eight fields, warm:",
            "",
            "| what | time | against the loop |",
            "|---|--:|--:|",
            f"| plain loop over plants (from {LOOPED[0]:,} and {LOOPED[1]:,} of them, in proportion) | {loop_s:.1f} s | 1 |",
            f"| `rank_plants` | {1000 * rank_s:.0f} ms | {loop_s / rank_s:,.0f} times as fast |",
            f"| `next_question`, nine traits among the fields | {1000 * ask_s:.0f} ms | |",
        ]
    )
    print(text)
    if "--write" in arguments:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
    return 0 if max(rank_s, ask_s) < TARGET_S else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
