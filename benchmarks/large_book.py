"""A large book of a busy nursery, made up for timings: ten seasons of 10,000 grafts and 50,000 events each, on SQLite.

python benchmarks/large_book.py FILE [PLANTS]     makes the book; nothing is timed
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import UUID

import numpy as np

if TYPE_CHECKING:
    from scionary.book.record import NewEvent

PLANTS, SEASONS = 100_000, 10
CULTIVARS, TREES_EACH, LOTS, DOMES, DOME_HOLDS = 60, 3, 12, 110, 60
SEASON_DAYS, IN_DOMES_DAYS = 70, 45
AT_ONCE = 5_000


@dataclass(frozen=True)
class Nouns:
    """Ids of what grafts are made of."""

    cultivars: list[str]
    trees: list[list[str]]
    lots: list[str]
    methods: list[str]
    domes: list[str]


def make_book(plants: int = PLANTS, *, today: datetime | None = None, tell: Callable[[str], object] = lambda word: None) -> None:
    """Fill the empty book that the environment names."""
    from scionary.book.record import record_events

    now = today or datetime.now(UTC)
    nouns = _nouns(now)
    rng = np.random.default_rng(11)
    written = 0
    coming = _events(plants, nouns, now, rng)
    while events := list(islice(coming, AT_ONCE)):
        record_events(events, now=now)
        written += len(events)
        tell(f"{written} events")


def _nouns(now: datetime) -> Nouns:
    from scionary.book.commands import save_noun
    from scionary.book.models import Cultivar, Dome, Method, MotherTree, PotKind, RootstockLot

    pot = PotKind.objects.order_by("across_mm").first()
    cultivars = [save_noun(Cultivar, {"spoken": f"Kind {i + 1}"}, now=now) for i in range(CULTIVARS)]
    trees = [
        [
            str(save_noun(MotherTree, {"name": f"Tree {cultivar.spoken[5:]}-{j + 1}", "cultivar": cultivar}, now=now).pk)
            for j in range(TREES_EACH)
        ]
        for cultivar in cultivars
    ]
    lots = [save_noun(RootstockLot, {"name": f"Lot {i + 1}", "count": 10_000}, now=now) for i in range(LOTS)]
    domes = [
        save_noun(Dome, {"name": f"Dome {i + 1}", "length_mm": 1200.0, "width_mm": 800.0, "pot_kind": pot}, now=now) for i in range(DOMES)
    ]
    methods = [str(pk) for pk in Method.objects.values_list("pk", flat=True)]
    return Nouns([str(c.pk) for c in cultivars], trees, [str(lot.pk) for lot in lots], methods, [str(dome.pk) for dome in domes])


def _events(plants: int, nouns: Nouns, now: datetime, rng: np.random.Generator) -> Iterator[NewEvent]:
    """Five or so events a plant: grafted, scored twice, moved out, lost or sold; the last ones still stand in their domes."""
    running = dict.fromkeys(range(CULTIVARS), 0)
    a_season = plants // SEASONS
    for i in range(plants):
        season, within = divmod(i, a_season)
        age = (SEASONS - 1 - season) * 365 + SEASON_DAYS * (1 - within / a_season)
        grafted = now - timedelta(days=age, minutes=i % 480)
        cultivar = int(rng.integers(CULTIVARS))
        running[cultivar] += 1
        yield from _plant(i, cultivar, running[cultivar], grafted, age, nouns, rng)


def _plant(
    i: int, cultivar: int, running: int, grafted: datetime, age: float, nouns: Nouns, rng: np.random.Generator
) -> Iterator[NewEvent]:
    from scionary.book.record import NewEvent

    ident = UUID(int=(0x0190_0000_0000_7000_8000 << 48) | (i + 1))
    key = (f"plant:{ident}",)
    payload: dict[str, Any] = {
        "cultivar": nouns.cultivars[cultivar],
        "tree": nouns.trees[cultivar][int(rng.integers(TREES_EACH))],
        "lot": nouns.lots[int(rng.integers(LOTS))],
        "method": nouns.methods[int(rng.integers(len(nouns.methods)))],
        "grafter": ("Mara", "Tobin")[i % 2],
        "code_number": i,
        "running_number": running,
    }
    dome = {"dome": nouns.domes[(i // DOME_HOLDS) % DOMES], "place": i % DOME_HOLDS + 1}
    yield NewEvent("grafted", grafted, key, payload | dome)
    took = rng.random() < 0.75
    if age > 14:
        yield NewEvent("scored", grafted + timedelta(days=14), key, {"sign": "bud_moving", "answer": "yes" if took else "no"})
    if age > IN_DOMES_DAYS:
        yield NewEvent("scored", grafted + timedelta(days=IN_DOMES_DAYS), key, {"sign": "firm", "answer": "yes" if took else "no"})
        kind, what = ("moved", {"stands": f"bed {i % 7 + 1}"}) if took else ("lost", {"sign": "dry"})
        yield NewEvent(kind, grafted + timedelta(days=IN_DOMES_DAYS + 1), key, what)
        if not took:  # the dome is emptied and filled again: what is lost goes out with the rest
            yield NewEvent("moved", grafted + timedelta(days=IN_DOMES_DAYS + 1, minutes=5), key, {"stands": "compost"})
    if took and age > 365:
        yield NewEvent("scored", grafted + timedelta(days=280), key, {"sign": "in_leaf", "answer": "yes"})
        yield NewEvent("left", grafted + timedelta(days=330), key, {"how": "sale", "price": 30.0})


if __name__ == "__main__":
    os.environ |= {"SCIONARY_BOOK": str(Path(sys.argv[1]).resolve()), "SCIONARY_LOGS": "off"}
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "scionary.settings")
    from scionary.book.opening import open_book

    open_book(now=datetime.now(UTC))
    make_book(int(sys.argv[2]) if len(sys.argv) > 2 else PLANTS, tell=lambda word: print(word, flush=True))
