"""Whether the chances of nameless plants are what they say, on simulated losses that follow another model than the search.

python benchmarks/finding_calibration.py                 prints the table
python benchmarks/finding_calibration.py --write         also puts it between its marks in docs/finding.md
python benchmarks/finding_calibration.py --nurseries N   with N nurseries of 150 losses each in place of 200

What the search does not know: labels fade from one end, and each at its own pace; whole trays are moved without a record; windy places
lose more labels; remembered days are off by a year or belong to another bench day, grafters are confused with the one who grafts most;
plants grow at the pace of their cultivar and are cut back; a look goes by thresholds on what varies from leaf to leaf, shade makes all
leaves greener, broader and less cut at once, young plants all stand upright, and the book's table of looks is itself one look at one
plant, with gaps; some nameless plants come from elsewhere, with cultivars that the book has or has not.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy.typing as npt

from scionary.names import (
    ALPHABET,
    NUMBERS,
    CandidateKind,
    Evidence,
    FindingAssumptions,
    PlantIndex,
    Standing,
    code_of,
    index_plants,
    rank_plants,
    trait_tables,
)
from scionary.names.ranking import posterior_of

PAGE = Path(__file__).resolve().parent.parent / "docs" / "finding.md"
START, END = "<!-- calibration: begin -->", "<!-- calibration: end -->"
SEED, LOSSES = 20_260_815, 150
BY_LOOKS = "Without code and name, looks seen of each: the chance of a *cultivar*, all its plants together."
EDGES = (0.02, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
COLOURED = {"spring", "summer", "autumn"}
WORDS = ("Red", "Ash", "Fell", "Gold", "Moon", "Slate", "Dew", "Frost", "Amber", "Wren", "Pale", "Broad")
THINGS = ("Tarn", "Gill", "Lace", "Scree", "Garth", "Veil", "Gimmer", "Ladle", "Knott", "Nook", "Intake", "Keld")

Generator = np.random.Generator
Numbers = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Looks:
    """What each cultivar really looks like: numbers where the person has words."""

    lobes: npt.NDArray[np.float64]
    depth: npt.NDArray[np.float64]
    lace: npt.NDArray[np.float64]
    hue: npt.NDArray[np.float64]  # in three seasons: from green over yellow to dark red
    pattern: Numbers
    size: npt.NDArray[np.float64]
    habit: Numbers


@dataclass(frozen=True)
class Nursery:
    """A book as it is kept, and what is really so."""

    index: PlantIndex
    names: list[str]
    cultivar: Numbers
    number: Numbers
    place: Numbers  # where each plant really stands
    pot: Numbers
    day: Numbers
    days: Numbers
    grafter: Numbers
    height: npt.NDArray[np.float64]
    looks: Looks
    exposure: npt.NDArray[np.float64]
    standing: Numbers


def nursery(rng: Generator) -> Nursery:
    """A book of 150 to 1,200 plants and three seasons."""
    plants, kinds, places = int(rng.integers(150, 1_200)), int(rng.integers(8, 40)), int(rng.integers(5, 25))
    names = [f"{word} {thing}" for word in WORDS for thing in THINGS]
    names = [names[one] for one in rng.choice(len(names), kinds, replace=False)]
    common = 1.0 / np.arange(1, kinds + 1) ** 0.8
    days = np.sort(738_000 + 365 * rng.integers(0, 3, 18) + rng.integers(0, 45, 18))
    # trays of some 12 plants: one place, one bench day, one grafter, mostly one cultivar
    tray = np.sort(rng.integers(0, plants // 12 + 1, plants))
    trays = int(tray.max()) + 1
    tray_kind = rng.choice(kinds, trays, p=common / common.sum())
    cultivar = np.where(rng.random(plants) < 0.6, tray_kind[tray], rng.choice(kinds, plants, p=common / common.sum()))
    grafter, day = rng.choice(3, trays, p=(0.6, 0.3, 0.1))[tray], days[rng.integers(0, len(days), trays)][tray]
    recorded_place, pot = rng.integers(0, places, trays)[tray], rng.choice(4, trays, p=(0.5, 0.3, 0.15, 0.05))[tray]
    moved_tray = rng.random(trays) < 0.15
    place = np.where(moved_tray[tray], rng.integers(0, places, trays)[tray], recorded_place)
    place = np.where(rng.random(plants) < 0.06, rng.integers(0, places, plants), place)
    vigour = rng.gamma(4.0, 0.25, kinds)
    age = (days.max() + 400 - day) / 365.0
    height = 120.0 * (1.0 + vigour[cultivar] * age) * rng.lognormal(0.0, 0.25, plants)
    measured = height / (1.0 + 0.25 * vigour[cultivar] * rng.random(plants))
    height = np.where(rng.random(plants) < 0.08, height * rng.uniform(0.3, 0.7, plants), height)
    looks = drawn_looks(rng, kinds)
    standing = rng.choice(4, plants, p=(0.62, 0.02, 0.28, 0.08))
    number = rng.choice(NUMBERS, plants, replace=False)
    index = index_plants(
        cultivar=[names[one] for one in cultivar],
        number=number.tolist(),
        stands=[None if gap else f"Bed {one}" for one, gap in zip(recorded_place, rng.random(plants) < 0.1, strict=True)],
        pot_kind=[f"Pot {one}" for one in pot],
        grafter=[None if gap else f"Hand {one}" for one, gap in zip(grafter, rng.random(plants) < 0.05, strict=True)],
        grafted_on=day.tolist(),
        height_mm=np.where(rng.random(plants) < 0.5, np.nan, measured).tolist(),
        standing=standing.tolist(),
        traits=trait_tables(written_looks(rng, names, looks), FindingAssumptions().trait_seen),
    )
    grown = np.where(rng.random(plants) < 0.10, np.minimum(pot + 1, 3), pot)
    exposure = rng.gamma(1.5, 1.0, places)
    return Nursery(index, names, cultivar, number, place, grown, day, days, grafter, height, looks, exposure, standing)


def drawn_looks(rng: Generator, kinds: int) -> Looks:
    """Cultivars as they are: many resemble one of a few types."""
    types = rng.integers(0, 6, kinds)
    hue = np.clip(rng.random(6)[types] + rng.normal(0.0, 0.15, kinds), 0.0, 1.0)
    seasons = np.clip(hue[:, None] + rng.normal((0.15, 0.0, 0.3), 0.12, (kinds, 3)), 0.0, 1.0)
    return Looks(
        lobes=rng.choice((1.0, 5.0, 7.0, 9.0), 6, p=(0.2, 0.2, 0.4, 0.2))[types] + rng.normal(0.0, 0.7, kinds),
        depth=np.clip(rng.random(6)[types] + rng.normal(0.0, 0.15, kinds), 0.0, 1.0),
        lace=rng.random(kinds),
        hue=seasons,
        pattern=rng.choice(5, kinds, p=(0.7, 0.1, 0.05, 0.05, 0.1)),
        size=rng.normal(0.0, 0.5, kinds),
        habit=rng.integers(0, 4, kinds),
    )


def look(rng: Generator, looks: Looks, kind: int, shade: float, *, young: bool) -> dict[str, str]:
    """What a person says of one plant: leaves differ on it, shade makes them greener, broader, less cut; the young stand upright."""
    lobes = float(np.clip(round((looks.lobes[kind] + rng.normal(0.0, 0.8) - 1.0) / 2.0) * 2 + 1, 1, 9))
    depth = looks.depth[kind] - 0.2 * shade + rng.normal(0.0, 0.1)
    lace = looks.lace[kind] - 0.3 * shade + rng.normal(0.0, 0.08)
    hues = looks.hue[kind] - 0.3 * shade + rng.normal(0.0, 0.08, 3)
    colours = [
        ("green", "yellow", "orange", "pink", "red", "dark")[int(np.searchsorted((0.25, 0.38, 0.48, 0.58, 0.8), hue))] for hue in hues
    ]
    overlooked = rng.random() < 0.1 + 0.3 * shade
    size = looks.size[kind] + 0.4 * shade + rng.normal(0.0, 0.2)
    return {
        "lobes": "none" if lobes < 2 else str(int(lobes)),
        "cut": "none" if lobes < 2 else ("shallow", "half", "deep")[int(np.searchsorted((0.35, 0.7), depth))],
        "edge": ("smooth", "toothed", "lace")[int(np.searchsorted((0.3, 0.75), lace))],
        **dict(zip(("spring", "summer", "autumn"), colours, strict=True)),
        "pattern": "none" if overlooked else ("none", "white", "yellow", "pink", "veins")[int(looks.pattern[kind])],
        "size": ("small", "middle", "large")[int(np.searchsorted((-0.3, 0.4), size))],
        "habit": "upright" if young else ("upright", "spreading", "weeping", "dwarf")[int(looks.habit[kind])],
    }


def written_looks(rng: Generator, names: list[str], looks: Looks) -> dict[str, dict[str, str]]:
    """The book's table: one look at one grown plant of each cultivar; some traits and some cultivars were never written down."""
    tables = {}
    for kind, name in enumerate(names):
        seen = look(rng, looks, kind, float(rng.beta(1.0, 8.0)), young=False)
        if rng.random() > 0.1:
            tables[name] = {trait: value for trait, value in seen.items() if rng.random() > 0.25}
    return tables


def noticed(rng: Generator, seen: dict[str, str]) -> dict[str, str]:
    """What of it a person says: the colour of one season, and some of the rest."""
    season = ("spring", "summer", "autumn")[int(rng.integers(3))]
    share = rng.uniform(0.2, 1.0)
    return {trait: value for trait, value in seen.items() if trait not in COLOURED - {season} and rng.random() < share}


def worn_code(rng: Generator, number: int) -> str | None:
    """A code faded from one end; what is left is now and then misread."""
    reach, sharp, slips = rng.uniform(-1.5, 8.0), rng.uniform(0.3, 1.5), rng.beta(1.2, 14.0)
    places = np.arange(7) if rng.random() < 0.5 else np.arange(6, -1, -1)
    legible = rng.random(7) < 1.0 / (1.0 + np.exp((places - reach) / sharp))
    read = "".join(
        "?" if not clear else ALPHABET[int(rng.integers(23))] if rng.random() < slips else letter
        for letter, clear in zip(code_of(number), legible, strict=True)
    )
    return None if read == "???????" else read


def worn_name(rng: Generator, name: str) -> tuple[str, ...]:
    """A run of letters out of a name, some of them gone or misread."""
    length = int(rng.integers(2, min(6, len(name)) + 1))
    start = int(rng.integers(0, len(name) - length + 1))
    letters = [
        "?" if rng.random() < 0.25 else chr(ord("a") + int(rng.integers(26))) if rng.random() < 0.05 else letter
        for letter in name[start : start + length].replace(" ", "?")
    ]
    return ("".join(letters),)


def remembered_day(rng: Generator, true: int, days: Numbers) -> int:
    """A day as it is remembered: near, another bench day, or a year off."""
    kind = rng.random()
    if kind < 0.1:
        true += int(rng.choice((-365, 365)))
    elif kind < 0.2:
        true = int(rng.choice(days))
    return true + round(float(rng.laplace(0.0, 12.0)))


def loss(rng: Generator, home: Nursery, *, by_looks: bool = False) -> tuple[Evidence, int | None]:
    """One nameless plant: what is known of it, and which it is; None for one that is not in the book. `by_looks`: its label is gone."""
    here = np.isin(home.standing, (Standing.EXPECTED, Standing.MISSING))
    odds = home.exposure[home.place] * np.where(home.standing == Standing.MISSING, 6.0, 1.0) * (here + 0.03)
    plant = int(rng.choice(len(odds), p=odds / odds.sum()))
    stranger = rng.random() < 0.05
    kind = int(home.cultivar[plant])
    label = (
        int(rng.choice(NUMBERS)) if stranger else int(home.number[rng.integers(len(odds))] if rng.random() < 0.03 else home.number[plant])
    )
    name = home.names[kind]
    if stranger:
        kind, name = int(rng.integers(len(home.names))), str(rng.choice(WORDS)) + " " + str(rng.choice(THINGS))
    shade = float(rng.beta(1.0, 3.0))
    seen = noticed(rng, look(rng, home.looks, kind, shade, young=bool(rng.random() < 0.3)))
    hand = 0 if rng.random() < 0.12 else int(home.grafter[plant])
    height = home.height[int(rng.integers(len(odds)))] if stranger else home.height[plant]
    known = rng.random(7) < ((0.0, 0.0, 0.9, 0.7, 0.35, 0.5, 1.0) if by_looks else (0.45, 0.4, 0.9, 0.7, 0.35, 0.5, 0.7))
    evidence = Evidence(
        code=worn_code(rng, label) if known[0] else None,
        name=worn_name(rng, name) if known[1] else (),
        stands=f"Bed {home.place[plant]}" if known[2] else None,
        pot_kind=f"Pot {home.pot[plant]}" if known[3] else None,
        grafter=f"Hand {hand}" if known[4] else None,
        grafted_about=date.fromordinal(remembered_day(rng, int(home.day[plant]), home.days)) if known[4] else None,
        grafted_within_days=20.0,
        height_mm=float(height) if known[5] else None,
        traits={trait: value for trait, value in seen.items() if trait in home.index.traits} if known[6] else {},
    )
    return evidence, None if stranger else plant


def told_and_true(nurseries: int, losses: int, seed: int, *, by_looks: bool = False) -> npt.NDArray[np.float64]:
    """Rows of (chance told, whether it was so, whether the line was the first, whether it was "none of these")."""
    rng, rows = np.random.default_rng(seed), []
    for _ in range(nurseries):
        home = nursery(rng)
        for _ in range(losses):
            evidence, plant = loss(rng, home, by_looks=by_looks)
            for line, one in enumerate(rank_plants(evidence, home.index, at_most=40)):
                if one.kind is not CandidateKind.OTHERS:
                    right = one.plant == plant if one.kind is CandidateKind.PLANT else plant is None
                    rows.append((one.probability, right, line == 0, one.kind is CandidateKind.NONE))
    return np.array(rows, dtype=np.float64)


def bins(rows: npt.NDArray[np.float64]) -> list[tuple[float, float, int, float, float]]:
    """Each bin's edges, number of lines, mean chance told, and share that was so."""
    found = []
    for low, high in pairwise(EDGES):
        inside = rows[(rows[:, 0] > low) & (rows[:, 0] <= high)]
        if len(inside):
            found.append((low, high, len(inside), float(inside[:, 0].mean()), float(inside[:, 1].mean())))
    return found


def table(rows: npt.NDArray[np.float64], losses: int) -> str:
    """All lines, the first line of each list, and "none of these"."""
    lines = ["| chance told | all lines: number, mean told, so | first line: number, mean told, so |", "|--:|--:|--:|"]
    first = {(low, high): (number, told, true) for low, high, number, told, true in bins(rows[rows[:, 2] == 1.0])}
    for low, high, number, told, true in bins(rows):
        cells = f"{number:,}, {told:.1%}, {true:.1%}"
        other = "{:,}, {:.1%}, {:.1%}".format(*first[low, high]) if (low, high) in first else ""
        lines.append(f"| {low:.0%} to {high:.0%} | {cells} | {other} |".replace("%", " %"))
    top, none = rows[rows[:, 2] == 1.0], rows[rows[:, 3] == 1.0]
    right, mean = top[:, 1].mean(), top[:, 0].mean()
    said = f"{losses:,} losses. The first line was right in {right:.1%} (told: {mean:.1%}); "
    return "\n".join(
        [*lines, "", (said + f'"none of these" was so in {none[:, 1].mean():.1%} (told: {none[:, 0].mean():.1%}).').replace("%", " %")]
    )


def cultivars_told(nurseries: int, losses: int, seed: int, *, blind: bool = False) -> npt.NDArray[np.float64]:
    """The same rows for cultivars, each the sum over its plants, where the label is gone and looks must tell; `blind` does not look."""
    rng, rows = np.random.default_rng(seed), []
    for _ in range(nurseries):
        home = nursery(rng)
        for _ in range(losses):
            evidence, plant = loss(rng, home, by_looks=True)
            chances = posterior_of(replace(evidence, traits={}) if blind else evidence, home.index)
            kinds = np.bincount(home.cultivar, weights=chances.relative * chances.scale, minlength=len(home.names))
            true = -1 if plant is None else int(home.cultivar[plant])
            rows += [(told, kind == true, told == kinds.max(), 0.0) for kind, told in enumerate(kinds.tolist())]
            rows.append((chances.none, plant is None, False, 1.0))
    return np.array(rows, dtype=np.float64)


def main(arguments: list[str]) -> int:
    """Simulate and print; exit code 1 when a bin with 100 lines or more is off by more than 7 points."""
    parser = argparse.ArgumentParser(description="Whether the chances of nameless plants are what they say.")
    parser.add_argument("--nurseries", type=int, default=200)
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args(arguments)
    losses = asked.nurseries * LOSSES
    rows, kinds = told_and_true(asked.nurseries, LOSSES, SEED), cultivars_told(asked.nurseries, LOSSES, SEED + 1)
    text = f"{table(rows, losses)}\n\n{BY_LOOKS}\n\n{table(kinds, losses)}"
    print(text)
    if asked.write:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
    told = [*bins(rows), *bins(rows[rows[:, 2] == 1.0]), *bins(kinds), *bins(kinds[kinds[:, 2] == 1.0])]
    return 1 if max(abs(said - true) for _, _, number, said, true in told if number >= 100) > 0.07 else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
