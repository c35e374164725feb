"""What became of each place of a trial: the graft that was made there, and whether it took."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from enum import StrEnum
from uuid import UUID

from scionary.answers.after_care import stage_date
from scionary.answers.outcomes import graft_day, outcome, stage_seen
from scionary.answers.take_facts import FILLING_GAP_DAYS, fillings_of
from scionary.book import queries
from scionary.book.models import Graft, Nursery, Plant, Trial
from scionary.book.projection import records_of
from scionary.book.settle import Record, settle
from scionary.language import mark


class Fate(StrEnum):
    """What is known of a place of a trial."""

    TOOK = mark("took")
    FAILED = mark("did not take")
    WAITING = mark("not known yet")
    TO_COME = mark("not grafted yet")
    NOT_MADE = mark("not grafted")
    OTHER = mark("another cultivar")
    LEFT_OUT = mark("left out")
    LEFT_OUT_KNOWN = mark("left out after its outcome was known")
    UNSEEN = mark("never scored")


OPEN = (Fate.WAITING, Fate.TO_COME)
MISSING = (Fate.NOT_MADE, Fate.OTHER, Fate.LEFT_OUT, Fate.LEFT_OUT_KNOWN, Fate.UNSEEN)
WAITED_DAYS = 60  # after the day on which a stage can be seen, before its outcome counts as missing; project default, unsourced


@dataclass(frozen=True)
class TrialPlace:
    """A place of a filling of a dome (`block`, a position in the trial's layout), its arm, and what became of it."""

    block: int
    place: int
    arm: int
    fate: Fate
    plant: Plant | None = None
    why: str = ""

    @property
    def took(self) -> float:
        """1, 0, or NaN where it is not known."""
        return {Fate.TOOK: 1.0, Fate.FAILED: 0.0}.get(self.fate, float("nan"))


def trial_places(trial: Trial, *, today: date) -> list[TrialPlace]:
    """Every place of a trial in the order of its layout.

    The first filling of a dome that begins on the trial's day or later is the trial's first, and so on; in a filling the first graft of a
    place counts. A place without a graft is not made once the filling is too long ago for one more graft to belong to it.
    """
    nursery = queries.nursery()
    grafts, fillings = _grafts(trial, nursery)
    healed_at = healing_places(grafts, nursery)
    made: dict[tuple[str, int, int], Graft] = {}
    last: dict[tuple[str, int], date] = {}
    for graft in grafts:
        filling = fillings[graft.pk]
        last[filling] = graft_day(graft, nursery)
        if graft.pk in healed_at:
            made.setdefault((*filling, healed_at[graft.pk]), graft)
    seen = stage_seen(grafts, trial.stage, nursery)
    out = {(each["dome"], each["filling"], each["place"]): each for each in trial.left_out}
    found = []
    for at, block in enumerate(trial.layout):
        filling = (block["dome"], block["filling"])
        over = filling in last and (today - last[filling]).days > FILLING_GAP_DAYS
        for place, arm in zip(block["places"], block["arms"], strict=True):
            there = made.get((*filling, place))
            plant = there.plant if there else None
            if (*filling, place) in out:
                note = out[(*filling, place)]
                found.append(TrialPlace(at, place, arm, Fate.LEFT_OUT_KNOWN if note.get("known") else Fate.LEFT_OUT, plant, note["why"]))
            elif there is None:
                found.append(TrialPlace(at, place, arm, Fate.NOT_MADE if over else Fate.TO_COME))
            elif trial.cultivars and str(there.cultivar_id) not in trial.cultivars:
                found.append(TrialPlace(at, place, arm, Fate.OTHER, plant))
            else:
                took = outcome(there, trial.stage, nursery, stage_seen=seen(there))
                fate = Fate.TOOK if took else Fate.FAILED if took is not None else _open(there, trial.stage, nursery, today)
                found.append(TrialPlace(at, place, arm, fate, plant))
    return found


def _open(graft: Graft, stage: str, nursery: Nursery, today: date) -> Fate:
    """Waited for, or waited for too long."""
    due = stage_date(stage, graft.method, graft_day(graft, nursery), nursery.latitude_deg)
    return Fate.UNSEEN if (today - due).days > WAITED_DAYS else Fate.WAITING


def healing_places(grafts: Iterable[Graft], nursery: Nursery) -> dict[UUID, int]:
    """The place in its dome at which each graft began to heal; a move within the dome on the same day sets it right, later ones do not."""
    listed = list(grafts)
    records = records_of(sorted({graft.plant.key for graft in listed}))
    settled = {key: settle(about) for key, about in records.items()}
    found = {graft.pk: _healing_place(graft, settled[graft.plant.key], nursery) for graft in listed}
    return {pk: place for pk, place in found.items() if place is not None}


def _healing_place(graft: Graft, records: Iterable[Record], nursery: Nursery) -> int | None:
    place: int | None = None
    for record in records:
        if record.kind not in ("grafted", "regrafted", "moved"):
            continue
        dome = record.payload.get("dome")
        stays = record.kind == "regrafted" and not dome and not record.payload.get("stands")
        if record.order < (graft.grafted_at, graft.pk) or record.id == graft.pk:
            place = record.payload.get("place", place if stays else None)
        elif record.kind == "moved" and dome == str(graft.dome_id) and graft_day(graft, nursery) == _day(record, nursery):
            place = record.payload.get("place", place)
    return place


def _day(record: Record, nursery: Nursery) -> date:
    return record.happened_at.astimezone(nursery.zone).date()


def without_place(trial: Trial) -> int:
    """Grafts in the trial's fillings of which no place is written down."""
    nursery = queries.nursery()
    grafts, _ = _grafts(trial, nursery)
    return len({graft.pk for graft in grafts} - set(healing_places(grafts, nursery)))


def _grafts(trial: Trial, nursery: Nursery) -> tuple[list[Graft], dict[UUID, tuple[str, int]]]:
    """Grafts of the trial's fillings in the order in which they were made, and the dome and number of the filling of each."""
    begins = datetime.combine(trial.begins_on, time(), tzinfo=nursery.zone)
    wanted = {(block["dome"], block["filling"]) for block in trial.layout}
    since = Graft.objects.filter(dome__in={dome for dome, _ in wanted}, grafted_at__gte=begins, precision="day")
    grafts = list(since.select_related("plant__cultivar", "cultivar", "method", "dome").order_by("grafted_at", "id"))
    named = {pk: key for pk, (key, _) in fillings_of(grafts, nursery).items()}
    numbers = _numbered(named.values())
    fillings = {pk: (key[:36], numbers[key]) for pk, key in named.items() if (key[:36], numbers[key]) in wanted}
    return [graft for graft in grafts if graft.pk in fillings], fillings


def _numbered(keys: Iterable[str]) -> dict[str, int]:
    """Each filling's number in its dome, by the day it began; a filling's key is its dome and that day."""
    numbers: dict[str, int] = {}
    for key in sorted(set(keys), key=lambda key: (key[:36], date.fromisoformat(key[37:]))):
        numbers[key] = 1 + sum(other[:36] == key[:36] for other in numbers)
    return numbers
