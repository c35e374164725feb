"""The fold: a plant's and a dome's present state from its events alone.

Pure functions on values. The same functions serve every write and `rebuild`. Events are taken in the order
(happened, id); the time of recording is never used.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from scionary.book.kinds import STAGES
from scionary.book.left_flags import NAME_FLAGS, left_flags
from scionary.book.settle import EVERYTHING, Record, settle
from scionary.book.states import DomeFold, GraftState, PlantState
from scionary.language import mark

FOLD_VERSION = 5  # raise it with every change of a rule below: books are then rebuilt when they are opened
LONGEST_REASON = 200
SAME_WALK = timedelta(hours=12)  # what is said again on the same walk replaces what was said before
# What a yes at a later stage says of the earlier ones: in leaf implies growing implies firm.
_IMPLIED: dict[str, tuple[str, ...]] = {"firm": ("firm",), "growing": ("firm", "growing"), "in_leaf": ("firm", "growing", "in_leaf")}
_FOR_THE_LIVING = frozenset({"headed_back", "untied", "suckers_rubbed", "staked", "potted_on", "wintered_in"})
_AGAIN = {
    "left": mark("grafted again after it was recorded as left"),
    "dead": mark("grafted again after it was recorded as dead"),
}
_AT_HAND = _FOR_THE_LIVING | {"moved", "observed", "scored", "wintered_out", "relabelled", "name_inferred"}


class PlantFold:
    """Takes settled events one after another; `plant` is None until the first graft."""

    def __init__(self, plant_id: UUID) -> None:
        self.plant_id = plant_id
        self.plant: PlantState | None = None
        self.grafts: list[GraftState] = []

    @property
    def graft(self) -> GraftState:
        return self.grafts[-1]

    def take(self, record: Record) -> None:
        if record.kind == "grafted":
            self._grafted(record)
            return
        step = _STEPS.get(record.kind)
        if step is not None and self.plant is not None:
            self._flag_if_gone(record)
            before = (self.plant.state, self.plant.state_since)
            touched = step(self, record)
            self._settle_disputes(record, touched)
            if before[0] != self.plant.state:
                self.plant.state_since = record.happened_at

    def _flag_if_gone(self, record: Record) -> None:
        """What is said of a plant that had left, or done for a lost one, is kept and flagged."""
        assert self.plant is not None
        flag = ""
        if self.plant.state == "left" and record.kind in _AT_HAND:
            flag = mark("something is recorded here after it had left")
        elif self.plant.state == "dead" and record.kind in _FOR_THE_LIVING:
            flag = mark("it was cared for after it was recorded as lost")
        if flag and flag not in self.plant.flags:
            self.plant.flags.append(flag)

    def _settle_disputes(self, record: Record, touched: set[str]) -> None:
        """A field is disputed as long as no later event writes it again."""
        assert self.plant is not None
        disputed = set(self.plant.disputed) - touched
        if record.disputed == {"note"}:
            disputed.add("note")
        elif record.disputed:
            disputed |= touched or {record.kind}
        self.plant.disputed = sorted(disputed)
        self.graft.disputed = sorted(disputed)

    def _grafted(self, record: Record) -> None:
        if self.plant is not None:
            self.plant.flags.append(mark("two first grafts are recorded for this plant"))
            self._new_graft(record)
            return
        payload = record.payload
        self.plant = PlantState(
            id=self.plant_id,
            code_number=payload.get("code_number"),
            cultivar_id=_id(payload.get("cultivar")),
            running_number=payload.get("running_number"),
            state_since=record.happened_at,
            label_medium=payload.get("label_medium", ""),
            label_written_at=record.happened_at,
            label_light=payload.get("label_light", ""),
        )
        self._new_graft(record)

    def _new_graft(self, record: Record) -> None:
        assert self.plant is not None
        payload, plant = record.payload, self.plant
        dome, place = _id(payload.get("dome")), payload.get("place")
        if dome or payload.get("stands"):
            plant.dome_id, plant.place, plant.stands = dome, place, payload.get("stands", "")
        if payload.get("pot"):
            plant.pot_kind_id = _id(payload["pot"])
        self.grafts.append(
            GraftState(
                id=record.id,
                plant_id=self.plant_id,
                grafted_at=record.happened_at,
                precision=payload.get("precision", "day"),
                cultivar_id=_id(payload.get("cultivar")) or plant.cultivar_id,
                method_id=_id(payload.get("method")),
                lot_id=_id(payload.get("lot")),
                tree_id=_id(payload.get("tree")),
                bag_id=_id(payload.get("bag")),
                bench_id=_id(payload.get("bench")),
                dome_id=dome or plant.dome_id,
                scion_mm=payload.get("scion_mm"),
                stock_mm=payload.get("stock_mm"),
                cut_mm=payload.get("cut_mm"),
                lean_mm=payload.get("lean_mm"),
                grafter=payload.get("grafter", ""),
            )
        )
        if payload.get("scion_mm") and payload.get("stock_mm") and payload["scion_mm"] > payload["stock_mm"]:
            plant.flags.append(mark("the scion is thicker than the stock"))
        if record.disputed:
            fields = set(record.disputed) if EVERYTHING not in record.disputed else {"grafted"}
            plant.disputed = sorted(set(plant.disputed) | fields)
            self.graft.disputed = sorted(set(self.graft.disputed) | fields)


def _id(value: Any) -> UUID | None:
    return UUID(str(value)) if value else None


def _regrafted(fold: PlantFold, record: Record) -> set[str]:
    plant = fold.plant
    assert plant is not None
    if plant.state in ("left", "dead") and fold.graft.lost_at is None:
        plant.flags.append(_AGAIN[plant.state])
    fold.graft.replaced = True
    fold._new_graft(record)
    plant.cultivar_id, plant.name_status, plant.name_chance = fold.graft.cultivar_id, "given", None
    plant.name_doubted_at, plant.name_doubt = None, ""  # it was the old scion's
    plant.running_number = record.payload.get("running_number", plant.running_number)
    plant.state, plant.last_sign, plant.left_how = "waiting", "", ""
    plant.headed_back_at = plant.untied_at = None
    return {"state", "cultivar", "name", "dome", "headed_back_at", "untied_at", *STAGES}


def _moved(fold: PlantFold, record: Record) -> set[str]:
    plant = fold.plant
    assert plant is not None
    plant.dome_id, plant.place = _id(record.payload.get("dome")), record.payload.get("place")
    plant.stands = record.payload.get("stands", "")
    return {"dome", "place", "stands"}


def _seen_alive(fold: PlantFold, record: Record) -> None:
    plant = fold.plant
    assert plant is not None
    if plant.state == "dead":
        lost_at = fold.graft.lost_at
        if lost_at is None or record.happened_at - lost_at > SAME_WALK:
            plant.flags.append(mark("seen alive after it was recorded as lost"))
        fold.graft.lost_at, fold.graft.lost_sign, fold.graft.lost_cause = None, "", ""
    if plant.state != "left":
        plant.state = "alive"


def _observed(fold: PlantFold, record: Record) -> set[str]:
    plant, seen = fold.plant, record.payload.get("seen")
    assert plant is not None
    plant.seen_at = record.happened_at
    if seen:
        plant.last_sign = seen
    if seen == "missing" and plant.state not in ("left", "dead"):
        plant.state = "missing"
        return {"state"}
    if seen == "name_in_doubt":
        return _doubted(plant, record.happened_at, record.payload.get("note") or mark("noted on a look"))
    return _found(fold) if seen and seen != "missing" else set()


def _found(fold: PlantFold) -> set[str]:
    """A missing plant that is seen again is what its last scores say."""
    plant = fold.plant
    assert plant is not None
    if plant.state != "missing":
        return set()
    plant.state = "alive" if any(getattr(fold.graft, stage) == "yes" for stage in STAGES) else "waiting"
    return {"state"}


def _scored(fold: PlantFold, record: Record) -> set[str]:
    plant, graft = fold.plant, fold.graft
    assert plant is not None
    sign, answer = record.payload["sign"], record.payload["answer"]
    plant.seen_at, plant.last_sign = record.happened_at, f"{sign}_{answer}"
    found = _found(fold)
    if answer == "unsure":
        return _not_sure(fold, sign, record.happened_at) | found
    if sign in STAGES:
        setattr(graft, sign, answer)
        setattr(graft, f"{sign}_at", record.happened_at)
    elif hasattr(graft, sign):
        setattr(graft, sign, answer)
    if sign in STAGES and answer == "yes":
        for earlier in _IMPLIED[sign][:-1]:
            if getattr(graft, earlier) is None:
                setattr(graft, earlier, "yes")
                setattr(graft, f"{earlier}_at", record.happened_at)
        _seen_alive(fold, record)
        return {sign, "state"}
    if sign in STAGES and plant.state == "alive":
        plant.state = "waiting"
        return {sign, "state"}
    return {sign} | found


def _take_back(graft: GraftState, at: datetime, answers: tuple[str, ...] = ("yes", "no")) -> bool:
    """Take back these answers on its stages of the walk of this moment; says whether there was one."""
    said = [stage for stage in STAGES if (moment := getattr(graft, f"{stage}_at")) is not None and timedelta() <= at - moment <= SAME_WALK]
    said = [stage for stage in said if getattr(graft, stage) in answers]
    for stage in said:
        setattr(graft, stage, None)
        setattr(graft, f"{stage}_at", None)
    return bool(said)


def _not_sure(fold: PlantFold, sign: str, at: datetime) -> set[str]:
    """Not sure takes back what was said on the same walk, and a loss; what an earlier walk saw stays."""
    plant, graft = fold.plant, fold.graft
    assert plant is not None
    same_walk = _take_back(graft, at)
    if plant.state == "dead":
        graft.lost_at, graft.lost_sign, graft.lost_cause = None, "", ""
    if plant.state == "dead" or (same_walk and plant.state == "alive"):
        plant.state = "waiting"
        return {"state", sign}
    return set()


def _lost(fold: PlantFold, record: Record) -> set[str]:
    plant, graft = fold.plant, fold.graft
    assert plant is not None
    if plant.state == "left":
        plant.flags.append(mark("recorded as lost after it had left"))
        return set()
    plant.state, plant.seen_at, plant.last_sign = "dead", record.happened_at, "lost"
    _take_back(graft, record.happened_at, ("yes",))
    graft.lost_at = record.happened_at
    graft.lost_sign, graft.lost_cause = record.payload.get("sign", ""), record.payload.get("cause", "")
    return {"state"}


def _left(fold: PlantFold, record: Record) -> set[str]:
    plant = fold.plant
    assert plant is not None
    if plant.state == "dead":
        plant.flags.append(mark("recorded as leaving after it was lost"))
    plant.flags += [flag for flag in left_flags(plant, record.payload["how"]) if flag not in plant.flags]
    plant.state, plant.left_how = "left", record.payload["how"]
    plant.price_got = record.payload.get("price")
    plant.dome_id, plant.place, plant.stands = None, None, ""
    return {"state", "dome"}


def _relabelled(fold: PlantFold, record: Record) -> set[str]:
    plant = fold.plant
    assert plant is not None
    plant.label_written_at = record.happened_at
    plant.label_medium = record.payload.get("medium", plant.label_medium)
    plant.label_light = record.payload.get("light", plant.label_light)
    if record.payload.get("running_number"):
        plant.running_number = record.payload["running_number"]
        return {"label", "running_number"}
    return {"label"}


def _name_confirmed(fold: PlantFold, record: Record) -> set[str]:
    plant = fold.plant
    assert plant is not None
    plant.name_status, plant.name_chance = "confirmed", None
    plant.name_doubted_at, plant.name_doubt = None, ""
    if record.payload.get("cultivar", str(plant.cultivar_id)) == str(plant.cultivar_id):
        plant.flags = [flag for flag in plant.flags if flag not in NAME_FLAGS]  # the name it left with was right
    if record.payload.get("cultivar"):
        plant.cultivar_id = _id(record.payload["cultivar"])
        fold.graft.cultivar_id = plant.cultivar_id
    plant.running_number = record.payload.get("running_number", plant.running_number)
    return {"cultivar", "name"}


def _name_inferred(fold: PlantFold, record: Record) -> set[str]:
    """A plant without its label was taken for this one: it is seen, and its name holds with a chance until it is confirmed."""
    plant = fold.plant
    assert plant is not None
    plant.name_status, plant.name_chance = "inferred", record.payload.get("chance")
    plant.seen_at = record.happened_at
    return {"name", *_found(fold)}


def _name_doubted(fold: PlantFold, record: Record) -> set[str]:
    assert fold.plant is not None
    return _doubted(fold.plant, record.happened_at, record.payload["reason"])


def _doubted(plant: PlantState, at: datetime, reason: str) -> set[str]:
    plant.name_doubted_at, plant.name_doubt = at, reason[:LONGEST_REASON]
    return {"name_doubt"}


def _name_doubt_ended(fold: PlantFold, record: Record) -> set[str]:
    plant = fold.plant
    assert plant is not None
    plant.name_doubted_at, plant.name_doubt = None, ""
    return {"name_doubt"}


def _quarantined(fold: PlantFold, record: Record) -> set[str]:
    plant = fold.plant
    assert plant is not None
    plant.quarantined_at, plant.quarantine_reason = record.happened_at, record.payload["reason"]
    return {"quarantine"}


def _released(fold: PlantFold, record: Record) -> set[str]:
    plant = fold.plant
    assert plant is not None
    plant.quarantined_at, plant.quarantine_reason = None, ""
    return {"quarantine"}


def _potted_on(fold: PlantFold, record: Record) -> set[str]:
    plant = fold.plant
    assert plant is not None
    plant.potted_on_at = record.happened_at
    if record.payload.get("pot"):
        plant.pot_kind_id = _id(record.payload["pot"])
    return {"pot"}


def _wintered(under_cover: bool) -> Callable[[PlantFold, Record], set[str]]:
    def step(fold: PlantFold, record: Record) -> set[str]:
        assert fold.plant is not None
        fold.plant.under_cover = under_cover
        if record.payload.get("stands"):
            fold.plant.dome_id, fold.plant.place, fold.plant.stands = None, None, record.payload["stands"]
        return {"under_cover"}

    return step


def _dated(column: str) -> Callable[[PlantFold, Record], set[str]]:
    def step(fold: PlantFold, record: Record) -> set[str]:
        setattr(fold.plant, column, record.happened_at)
        return {column}

    return step


# How far before its graft something may be dated, given how well the graft's date is known.
_DATE_SLACK = {"day": timedelta(days=1), "month": timedelta(days=31), "year": timedelta(days=366)}

_STEPS: dict[str, Callable[[PlantFold, Record], set[str]]] = {
    "regrafted": _regrafted,
    "moved": _moved,
    "observed": _observed,
    "scored": _scored,
    "headed_back": _dated("headed_back_at"),
    "untied": _dated("untied_at"),
    "suckers_rubbed": _dated("suckers_rubbed_at"),
    "staked": _dated("staked_at"),
    "potted_on": _potted_on,
    "wintered_in": _wintered(True),
    "wintered_out": _wintered(False),
    "relabelled": _relabelled,
    "lost": _lost,
    "left": _left,
    "name_confirmed": _name_confirmed,
    "name_inferred": _name_inferred,
    "name_doubted": _name_doubted,
    "name_doubt_ended": _name_doubt_ended,
    "quarantined": _quarantined,
    "released": _released,
}
PLANT_KINDS = frozenset(_STEPS) | {"grafted"}
DOME_KINDS = frozenset({"watered", "vented", "treated", "observed"})


def fold_plant(plant_id: UUID, records: Iterable[Record]) -> tuple[PlantState | None, list[GraftState]]:
    """A plant's state and its grafts from all events about it, corrections included, in any order.

    Nothing can happen to a plant before its first graft: what is dated earlier is taken right after it, and flagged
    when the date of the graft is not merely imprecise.
    """
    fold = PlantFold(plant_id)
    settled = [record for record in settle(records) if record.kind in PLANT_KINDS]
    first = next((record for record in settled if record.kind == "grafted"), None)
    if first is None:
        return None, []
    fold.take(first)
    for record in settled:
        if record is not first:
            fold.take(record)
    slack = _DATE_SLACK[first.payload.get("precision", "day")]
    if fold.plant is not None and first.happened_at - settled[0].happened_at > slack:
        fold.plant.flags.append(mark("something is recorded before the day it was grafted"))
    return fold.plant, fold.grafts


def fold_dome(dome_id: UUID, records: Iterable[Record]) -> DomeFold:
    """A dome's state from all events about it, corrections included, in any order."""
    dome = DomeFold(dome_id)
    disputed: set[str] = set()
    for record in settle(records):
        if record.kind not in DOME_KINDS:
            continue
        disputed.discard(record.kind)
        if record.disputed:
            disputed.add(record.kind)
        if record.kind == "watered":
            dome.watered_at = record.happened_at
        elif record.kind == "vented":
            dome.vent_pct, dome.vented_at = record.payload["open_pct"], record.happened_at
        elif record.kind == "treated":
            dome.treated_at = record.happened_at
        else:
            dome.seen_at = record.happened_at
    dome.disputed = sorted(disputed)
    return dome
