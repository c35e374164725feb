"""What the book says of takes, a fact a graft or a count: did it reach the stage, and what may have made the difference."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

import numpy as np
from django.db.models import Count, Max, Q, Sum

from scionary.answers.growing_year import year_at
from scionary.answers.held import held
from scionary.answers.outcomes import graft_day, outcome, stage_seen
from scionary.answers.remembered import remembered
from scionary.answers.salt_tests import load_tested
from scionary.answers.words import day_words
from scionary.book import queries
from scionary.book.models import (
    Cultivar,
    Dome,
    Graft,
    Method,
    MotherTree,
    Noun,
    Nursery,
    RootstockLot,
    ScionBag,
    Sensor,
    SensorDay,
    Tally,
)
from scionary.language import Words, in_english, mark, say

RESULT_VERSION = 5
FACTORS = Words(
    {
        "cultivar": mark("cultivar"),
        "tree": mark("mother tree"),
        "method": mark("method"),
        "lot": mark("stock lot"),
        "season": mark("season"),
        "day": mark("bench day"),
        "dome": mark("filling of a dome"),
        "grafter": mark("grafter"),
    }
)
PLURALS = Words(
    {
        "cultivar": mark("cultivars"),
        "tree": mark("mother trees"),
        "method": mark("methods"),
        "lot": mark("stock lots"),
        "season": mark("seasons"),
        "day": mark("bench days"),
        "dome": mark("fillings of domes"),
        "grafter": mark("grafters"),
    }
)
COVARIATES = Words(
    {
        "ratio": mark("how thick the scion is against its stock"),
        "cut_mm": mark("how long the cut is"),
        "lean_mm": mark("how far the scion is leaned across the stock"),
        "stored_days": mark("how long the scion wood was stored"),
        "vpd_kpa": mark("how dry the air was in the first 14 days"),
        "temperature_c": mark("how warm the air was in the first 14 days"),
    }
)
FILLING_GAP_DAYS = 28  # a dome grafted into again after so long is a new filling; project default, unsourced
AIR_DAYS = 14
NOT_RECORDED = ("", mark("not recorded"))
_NOUNS: dict[str, type[Noun]] = {
    "cultivar": Cultivar, "method": Method, "lot": RootstockLot, "dome": Dome, "tree": MotherTree, "bag": ScionBag
}  # fmt: skip


@dataclass(frozen=True)
class TakeFact:
    """Some grafts with one outcome: all that the book knows of why they took or did not.

    `takes` is None while the outcome is not known; `vague` where the record does not say which stage was counted.
    """

    grafts: int
    takes: int | None
    levels: Mapping[str, tuple[str, str]]
    measured: Mapping[str, float] = field(default_factory=dict)
    vague: bool = False
    own_filling: str = ""

    def key(self, factor: str) -> str:
        """The key of its level in a factor; a count of which no dome is known had fillings of its own, whose luck it shares with none."""
        return self.own_filling if factor == "dome" and self.own_filling else self.levels[factor][0]


def take_facts(stage: str) -> list[TakeFact]:
    """All grafts and tallies of the book, with what is known of them at a stage."""
    days = SensorDay.objects.aggregate(days=Count("id"), last=Max("id"), readings=Sum("count"))
    facts = {"stage": stage, "book": queries.stamp(), "readings": days}
    with in_english():  # names of days and fillings are said anew where they are shown: `level_said`
        return remembered("take_facts", RESULT_VERSION, facts, lambda: _facts(stage))


def level_said(factor: str, key: str, name: str) -> str:
    """A level's name in the reader's language: days, and what was not recorded, are said; all else is called as in the book."""
    if not key:
        return say(NOT_RECORDED[1])
    begin = key.rsplit(":", 1)[-1]
    if factor == "day":
        return day_words(date.fromisoformat(begin))
    if factor == "dome" and " from " in name and key.count(":") == 1:
        return say("{dome}, from {day}", dome=name.rsplit(", from ", 1)[0], day=day_words(date.fromisoformat(begin)))
    return name


def level_of(graft: Graft, nursery: Nursery, fillings: Mapping[UUID, tuple[str, str]]) -> dict[str, tuple[str, str]]:
    """The level of one graft in each factor: (key, name), both of `NOT_RECORDED` where it was not written down."""
    day = graft_day(graft, nursery)
    levels = {name: _noun(getattr(graft, name)) for name in ("cultivar", "tree", "method", "lot")}
    year = str(year_at(day, nursery))
    levels["season"] = (year, year)
    levels["day"] = (day.isoformat(), day_words(day)) if graft.precision == "day" else NOT_RECORDED
    levels["dome"] = fillings.get(graft.pk, NOT_RECORDED)
    levels["grafter"] = (graft.grafter, graft.grafter) if graft.grafter else NOT_RECORDED
    return levels


def fillings_of(grafts: Iterable[Graft], nursery: Nursery) -> dict[UUID, tuple[str, str]]:
    """The filling of a dome in which each graft healed: grafts of one dome with no gap of four weeks between their days."""
    healed = [(graft, graft.dome_id, graft_day(graft, nursery)) for graft in grafts if graft.dome_id and graft.precision == "day"]
    begins = filling_begins((dome, day) for _, dome, day in healed)
    return {graft.pk: _filling(graft, begins[dome, day]) for graft, dome, day in healed}


def _filling(graft: Graft, begin: date) -> tuple[str, str]:
    return f"{graft.dome_id}:{begin}", say("{dome}, from {day}", dome=graft.dome, day=day_words(begin))


def filling_begins(days: Iterable[tuple[UUID, date]]) -> dict[tuple[UUID, date], date]:
    """The day on which the filling of each dome began, for each day on which grafts went into it."""
    by_dome: dict[UUID, set[date]] = defaultdict(set)
    for dome, day in days:
        by_dome[dome].add(day)
    found: dict[tuple[UUID, date], date] = {}
    for dome, all_days in by_dome.items():
        begin = last = min(all_days)
        for day in sorted(all_days):
            begin = day if (day - last).days > FILLING_GAP_DAYS else begin
            last = day
            found[dome, day] = begin
    return found


def all_grafts() -> list[Graft]:
    """All grafts with what a level or an outcome needs, read once for as long as nothing is written: not to be changed."""
    return held("all_grafts", queries.stamp(), _read_grafts)


def _read_grafts() -> list[Graft]:
    return with_nouns(list(Graft.objects.all()))


def with_nouns(grafts: list[Graft]) -> list[Graft]:
    """Grafts with their nouns at hand: each noun is read once, whatever the number of its grafts; one that is no more is none."""
    nouns = held("nouns_of_grafts", queries.stamp(), lambda: {name: model._default_manager.in_bulk() for name, model in _NOUNS.items()})
    for graft in grafts:
        for name, rows in nouns.items():
            graft._state.fields_cache[name] = rows.get(getattr(graft, f"{name}_id"))
    return grafts


def _facts(stage: str) -> list[TakeFact]:
    nursery = queries.nursery()
    grafts = all_grafts()
    fillings = fillings_of(grafts, nursery)
    seen = stage_seen(grafts, stage, nursery)
    air = _air(grafts, fillings, nursery)
    found = []
    for graft in grafts:
        took = outcome(graft, stage, nursery, stage_seen=seen(graft))
        levels = level_of(graft, nursery, fillings)
        measured = _measured(graft, nursery) | air.get(levels["dome"][0], {})
        found.append(TakeFact(1, None if took is None else int(took), levels, measured))
    return found + [_tally_fact(tally, nursery) for tally in _tallies(stage)]


def _tally_fact(tally: Tally, nursery: Nursery) -> TakeFact:
    levels = dict.fromkeys(FACTORS, NOT_RECORDED) | {name: _noun(getattr(tally, name)) for name in ("cultivar", "method", "lot")}
    year = tally.season or (year_at(tally.grafted_on, nursery) if tally.grafted_on else None)
    if year:
        levels["season"] = (str(year), str(year))
    if tally.grafted_on:
        levels["day"] = (tally.grafted_on.isoformat(), day_words(tally.grafted_on))
    return TakeFact(tally.grafts, tally.takes, levels, vague=tally.stage is None, own_filling=f"tally {tally.pk}")


def _tallies(stage: str) -> list[Tally]:
    """Tallies of this stage, and those that name none, unless the same row of the same file also says what was counted at it."""
    found = Tally.objects.filter(retired=False).filter(Q(stage=stage) | Q(stage=None)).select_related("cultivar", "method", "lot")
    listed = list(found)
    said = {(t.source, t.cultivar_id, t.season) for t in listed if t.stage == stage and t.source}
    return [t for t in listed if t.stage == stage or (t.source, t.cultivar_id, t.season) not in said]


def _noun(row: Any) -> tuple[str, str]:
    return (str(row.pk), str(row)) if row is not None else NOT_RECORDED


def _measured(graft: Graft, nursery: Nursery) -> dict[str, float]:
    found = {}
    if graft.scion_mm and graft.stock_mm:
        found["ratio"] = graft.scion_mm / graft.stock_mm
    found |= {name: value for name in ("cut_mm", "lean_mm") if (value := getattr(graft, name)) is not None}
    if graft.bag is not None and graft.bag.cut_on is not None and graft.precision == "day":
        days = (graft_day(graft, nursery) - graft.bag.cut_on).days
        if days >= 0:
            found["stored_days"] = float(days)
    return found


def _air(grafts: Iterable[Graft], fillings: Mapping[UUID, tuple[str, str]], nursery: Nursery) -> dict[str, dict[str, float]]:
    """Mean dryness and warmth in the first 14 days of each filling whose dome has a sensor with readings of half that time."""
    sensors: dict[UUID, Sensor] = {}
    for sensor in Sensor.objects.exclude(dome=None).order_by("id"):
        if sensor.dome_id:
            sensors.setdefault(sensor.dome_id, sensor)
    begins: dict[str, tuple[UUID, date]] = {}
    for graft in grafts:
        if graft.pk in fillings and graft.dome_id in sensors:
            key = fillings[graft.pk][0]
            begins[key] = (graft.dome_id, date.fromisoformat(key.rsplit(":", 1)[1]))
    return {key: mean for key, (dome, begin) in begins.items() if (mean := _mean_air(sensors[dome], begin, nursery))}


def _mean_air(sensor: Sensor, begin: date, nursery: Nursery) -> dict[str, float]:
    from scionary.dome import vapour_pressure_deficit

    start = datetime.combine(begin, time(), tzinfo=nursery.zone)
    rows = load_tested(sensor, nursery, start, start + timedelta(days=AIR_DAYS))
    usable = rows[np.isfinite(rows).all(axis=1) & (rows[:, 1] > -30) & (rows[:, 1] < 70) & (rows[:, 2] >= 0) & (rows[:, 2] <= 100)]
    hours = np.unique(usable[:, 0] // 3600)
    if len(hours) < AIR_DAYS * 12:
        return {}
    # one value an hour first, so that a logger that wrote oftener for a while does not weigh more
    place = np.searchsorted(hours, usable[:, 0] // 3600)
    counts = np.bincount(place)
    deficit = np.asarray(vapour_pressure_deficit(usable[:, 1], usable[:, 2]))
    means = [np.mean(np.bincount(place, weights=column) / counts) for column in (deficit, usable[:, 1])]
    return {"vpd_kpa": float(means[0]), "temperature_c": float(means[1])}
