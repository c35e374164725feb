"""The benches that a phone takes along: those set for today with what was made at them, and the last one to begin from."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from scionary.answers.bench import last_setup, planned_grafts
from scionary.answers.growing_year import year_at
from scionary.book import queries
from scionary.book.models import BenchDay, Graft, Nursery, Plant
from scionary.names import code_of

_LONGEST_YEAR = timedelta(days=400)  # a growing year and some weeks


def benches(nursery: Nursery, *, today: date) -> list[dict[str, Any]]:
    """Each as a phone sets one itself."""
    found = list(BenchDay.objects.filter(day=today).exclude(cultivar=None).order_by("pk"))
    last = last_setup(today)
    if last is not None and last.cultivar_id and last not in found:
        found.insert(0, last)
    made, planned = _made([bench.pk for bench in found]), planned_grafts(year_at(today, nursery))
    return [_bench(bench, made.get(bench.pk, []), planned.get(str(bench.cultivar_id)), nursery) for bench in found]


def _bench(bench: BenchDay, made: Sequence[Graft], planned: int | None, nursery: Nursery) -> dict[str, Any]:
    own = ("cultivar", "method", "lot", "tree", "bag", "dome")
    rows = {name: str(ident) for name in own if (ident := getattr(bench, f"{name}_id"))}
    pot = {"pot": str(bench.pot_kind_id)} if bench.pot_kind_id else {}
    return {
        "id": str(bench.pk),
        "day": bench.day.isoformat(),
        **rows,
        **pot,
        "grafter": bench.grafter,
        "made": [_line(graft) for graft in made],
        "planned": _planned_here(bench, planned, len(made), nursery),
    }


def _planned_here(bench: BenchDay, planned: int | None, here: int, nursery: Nursery) -> int | None:
    """Of the season's plan what falls to this bench: all that is not made elsewhere; None without a plan, or when that is reached."""
    if not planned or bench.cultivar_id is None:
        return None
    year = year_at(bench.day, nursery)
    begins = datetime.combine(bench.day, datetime.min.time(), nursery.zone) - _LONGEST_YEAR
    moments = Graft.objects.filter(cultivar_id=bench.cultivar_id, grafted_at__gte=begins).values_list("grafted_at", flat=True)
    so_far = sum(year_at(moment.astimezone(nursery.zone).date(), nursery) == year for moment in moments)
    return max(planned - (so_far - here), 0) or None


def _made(idents: Sequence[UUID]) -> dict[UUID, list[Graft]]:
    """The grafts of each of these bench days, first made first, each with its plant."""
    grafts = Graft.objects.filter(bench__in=idents).order_by("grafted_at", "id")
    plants = {plant.pk: plant for plant in queries.plants().filter(grafts__bench__in=idents).distinct()} if idents else {}
    found: dict[UUID, list[Graft]] = {}
    for graft in grafts:
        if graft.bench_id and graft.plant_id in plants:
            graft.plant = plants[graft.plant_id]
            found.setdefault(graft.bench_id, []).append(graft)
    return found


def _line(graft: Graft) -> dict[str, Any]:
    plant: Plant = graft.plant
    code = None if plant.code_number is None else code_of(plant.code_number)
    return {"plant": str(plant.pk), "said": plant.spoken, "code": code, "at": graft.grafted_at.isoformat()}
