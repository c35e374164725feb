"""How quickly a mother tree with 100,000 descendants is followed, beside a recursive query of the database.

python benchmarks/spread_speed.py            prints the table; exit code 1 when the target is missed
python benchmarks/spread_speed.py --write    also puts it, dated, into docs/speed.md and benchmarks/results/spread_speed.json

The book is on SQLite: one tree, a fifth of whose grafts grew into mother trees' plants, generation after generation. The alternative, a
recursive query, finds the same plants without their ways; that both find the same is checked before anything is timed.
"""

from __future__ import annotations

import json
import os
import platform
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

ROOT = Path(__file__).resolve().parent.parent
PAGE, STORED = ROOT / "docs" / "speed.md", ROOT / "benchmarks" / "results" / "spread_speed.json"
START, END = "<!-- spread: begin -->", "<!-- spread: end -->"
PLANTS, YOUNG_TREES, TIMES, MOST_S = 100_000, 200, 5, 1.0
BEGIN = datetime(2016, 2, 1, 9, tzinfo=UTC)
RECURSIVE = """
WITH RECURSIVE wood(tree) AS (
  SELECT %s UNION
  SELECT young.id FROM wood
  JOIN book_graft graft ON graft.tree_id = wood.tree
  JOIN book_mothertree young ON young.raised_from_id = graft.plant_id
)
SELECT DISTINCT graft.plant_id FROM wood JOIN book_graft graft ON graft.tree_id = wood.tree
"""


@dataclass(frozen=True)
class Timed:
    """One way of asking: the seconds of each run."""

    name: str
    seconds: tuple[float, ...]

    @property
    def median_s(self) -> float:
        return statistics.median(self.seconds)


def make_book() -> UUID:
    """Fill the empty book that the environment names; gives the first tree. Columns only: the question reads no events."""
    from scionary.book.commands import save_noun, start_book
    from scionary.book.models import Cultivar, Graft, MotherTree, Plant

    start_book(now=BEGIN)
    cultivar = save_noun(Cultivar, {"spoken": "Red Tarn"}, now=BEGIN)
    trees = [save_noun(MotherTree, {"name": "the first tree", "cultivar": cultivar}, now=BEGIN)]
    each = PLANTS // (YOUNG_TREES + 1)
    made = 0
    for number in range(YOUNG_TREES + 1):
        count = each if number < YOUNG_TREES else PLANTS - made
        plants = [Plant(id=UUID(int=(1 << 100) + made + i), cultivar=cultivar, state="alive") for i in range(count)]
        Plant.objects.bulk_create(plants, batch_size=2_000)
        moments = [BEGIN + timedelta(minutes=made + i) for i in range(count)]
        grafts = [
            Graft(id=p.id, plant=p, grafted_at=at, tree=trees[number], cultivar=cultivar) for p, at in zip(plants, moments, strict=True)
        ]
        Graft.objects.bulk_create(grafts, batch_size=2_000)
        made += count
        if number < YOUNG_TREES:
            parent = trees[-1] if number % 3 else trees[0]
            from_it = Graft.objects.filter(tree=parent).order_by("grafted_at")[number % each].plant
            trees.append(
                save_noun(MotherTree, {"name": f"young tree {number + 1}", "cultivar": cultivar, "raised_from": from_it}, now=BEGIN)
            )
    return trees[0].pk


def ways(tree: UUID) -> dict[str, Callable[[], set[str]]]:
    """Each way of asking for the same plants."""
    from django.db import connection

    from scionary.answers import held
    from scionary.answers.contact_map import Way
    from scionary.answers.spread import SpreadAnswer, SpreadQuestion, spread
    from scionary.book import queries

    nursery = queries.nursery()

    def followed(*asked: Way) -> SpreadAnswer:
        return spread(SpreadQuestion(f"tree:{tree.hex}", ways=asked), nursery)

    def first() -> set[str]:
        held._held.clear()
        return set(followed(Way.WOOD).plants)

    def all_first() -> set[str]:
        held._held.clear()
        return set(followed(Way.WOOD, Way.STOCK, Way.BLADE, Way.COVER, Way.TREATED).plants)

    def by_query() -> set[str]:
        with connection.cursor() as cursor:
            cursor.execute(RECURSIVE, [tree.hex])
            return {row[0] for row in cursor.fetchall()}

    return {
        "by wood, with the way to each plant": first,
        "the same again, nothing written since": lambda: set(followed(Way.WOOD).plants),
        "by wood, stock, blade, cover and treatment": all_first,
        "a recursive query, by wood, without the ways": by_query,
    }


def timed(asked: dict[str, Callable[[], set[str]]]) -> list[Timed]:
    """Each way some times, in turn, so that a busy moment falls on all."""
    found = {name: ask() for name, ask in asked.items()}
    if len({frozenset(plants) for plants in found.values()}) != 1 or len(next(iter(found.values()))) != PLANTS:
        raise RuntimeError(f"the ways differ: { ({name: len(plants) for name, plants in found.items()}) }")
    seconds: dict[str, list[float]] = {name: [] for name in asked}
    for _ in range(TIMES):
        for name, ask in asked.items():
            begin = time.perf_counter()
            ask()
            seconds[name].append(time.perf_counter() - begin)
    return [Timed(name, tuple(seconds[name])) for name in asked]


def table(rows: list[Timed]) -> str:
    """All ways, each as a multiple of the recursive query."""
    other = rows[-1]
    lines = [
        f"| {PLANTS:,} plants below one mother tree, SQLite | median | fastest to slowest | beside the query | target |",
        "|---|--:|--:|--:|--:|",
    ]
    for at, row in enumerate(rows):
        target = f"< {MOST_S:g} s{'' if row.median_s < MOST_S else ', **missed**'}" if at == 0 else ""
        span = f"{min(row.seconds):.2f} to {max(row.seconds):.2f} s"
        lines.append(f"| {row.name} | {row.median_s:.2f} s | {span} | {row.median_s / other.median_s:.1f} × | {target} |")
    return "\n".join(lines)


def main(arguments: list[str]) -> int:
    """Make the book, measure and print, write where asked, and say whether the target is kept."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"SCIONARY_BOOK": f"{folder}/book.sqlite3", "DJANGO_SETTINGS_MODULE": "scionary.settings", "SCIONARY_LOGS": "off"}
        os.environ.pop("DATABASE_URL", None)
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        tree = make_book()
        load = os.getloadavg()[0]
        rows = timed(ways(tree))
    machine = f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}"
    words = (
        f"Measured on {datetime.now(UTC).date()} ({machine}; {load:.1f} processes were waiting or running beforehand) by "
        f"`benchmarks/spread_speed.py`, the middle of {TIMES} runs:"
    )
    text = f"{words}\n\n{table(rows)}"
    print(text)
    if "--write" in arguments:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
        stored = {"date": str(datetime.now(UTC).date()), "machine": machine, "load_before": load, "plants": PLANTS}
        stored |= {"ways": [{"name": row.name, "seconds": row.seconds} for row in rows]}
        STORED.write_text(json.dumps(stored, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return 0 if rows[0].median_s < MOST_S else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
