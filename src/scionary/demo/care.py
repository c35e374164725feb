"""What was done to the domes while grafts healed in them: rounds, water, vents, now and then a treatment."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from scionary.demo.chance import stream
from scionary.demo.diary import Diary
from scionary.demo.ground import Ground
from scionary.demo.seasons import Filling
from scionary.demo.truth import AirFault

_ROUNDS = (7, 14, 21, 27)
_VENTS = ((31, 33.0), (36, 67.0), (41, 100.0), (45, 100.0))
_MOULD_SHARE = 0.15


def tend(filling: Filling, diary: Diary, ground: Ground, faults: list[AirFault], seed: int, *, ready_on: date) -> None:
    """Write down how one filling of a dome was tended; what stands now went into a dome that was made ready on a day before."""
    rng = stream(seed, f"care {filling.key}")
    dome = f"dome:{ground.dome[filling.dome]}"
    minute = _minute(rng)

    def write(kind: str, day: date, payload: dict[str, Any], step: int = 0) -> None:
        diary.write(kind, diary.at(day, 18, minute + step), dome, payload, who=filling.grower)

    if filling.now:
        write("vented", ready_on, {"open_pct": 0.0, "note": "Washed, watered and closed again, ready."})
    for moment, open_pct in vents_set(filling, diary.zone, seed):
        diary.write("vented", moment, dome, {"open_pct": open_pct, **_vent_note(filling, moment)}, who=filling.grower)
    if filling.leafy:
        write("watered", filling.day, {"water_mm": 10.0}, step=3)
    for after in _ROUNDS:
        day = filling.day + timedelta(days=after)
        write("observed", day, {})
        if filling.leafy and not _away(filling, faults, day):
            write("watered", day, {"water_mm": float(rng.integers(6, 14))}, step=3)
    if rng.random() < _MOULD_SHARE:
        treatment = {"product": "fungicide for ornamentals", "reason": "grey mould on dropped leaf stalks"}
        write("treated", filling.day + timedelta(days=15), treatment, step=9)
    _tell_faults(filling, diary, dome, faults)


def vents_set(filling: Filling, zone: ZoneInfo, seed: int) -> list[tuple[datetime, float]]:
    """When the vents of a filling were set, and to how many per cent of all open."""
    minute = _minute(stream(seed, f"care {filling.key}"))
    evening = datetime.combine(filling.day, time(18, minute), tzinfo=zone)
    return [(evening, 0.0), *(((evening + timedelta(days=after, minutes=6)), percent) for after, percent in _VENTS)]


def _minute(rng: np.random.Generator) -> int:
    return int(rng.integers(0, 50))


def _vent_note(filling: Filling, moment: datetime) -> dict[str, str]:
    after = (moment.date() - filling.day).days
    notes = {0: "Closed over new grafts.", _VENTS[-1][0]: "Cover taken off."}
    return {"note": notes[after]} if after in notes else {}


def _away(filling: Filling, faults: list[AirFault], day: date) -> bool:
    """Before the dry weekend nobody topped up."""
    return any(f.kind == "dry" and f.harms(filling) and f.begin - timedelta(days=7) <= day <= f.begin for f in faults)


def _tell_faults(filling: Filling, diary: Diary, dome: str, faults: list[AirFault]) -> None:
    """The hot afternoon was noticed; of the dry weekend only the logger knows."""
    for fault in faults:
        if fault.kind == "overheated" and fault.harms(filling):
            note = {"note": "Shade cloth had slipped; the glass was hot to the hand."}
            diary.write("observed", diary.at(fault.begin, 17, 40), dome, note, who=filling.grower)
