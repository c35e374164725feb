"""What the time of a row of hourly weather stands for: as the person says, else as its sun tells, else the common case; and rows so laid.

The book keeps air and wind as of their moment, rain and sun as of the time that ends with it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from scionary.answers.weather import longitude_of
from scionary.book.models import Nursery
from scionary.book.weather import COLUMNS, SUMS, Rows, merged_rows
from scionary.errors import BadValue
from scionary.files.weather import WeatherFile
from scionary.language import Words, mark, say
from scionary.season import clear_sky_radiation, sun_clock, sun_height

Floats = npt.NDArray[np.float64]
HOUR_S = 3600.0
NO_MATTER_S = 900.0  # rows nearer together than this are taken as they stand
_NEAR = 0.4  # of half a step, how near the sun's rows must stand to a meaning; project default, unsourced
_AN_HOUR = 0.15  # how near to an hour a jump of the sun is one of the clock; project default, unsourced
STANDS_FOR_TEXTS = {
    "mixed": mark("air as it stood then, sun and rain of the time before it"),
    "end": mark("all of the time that ends then"),
    "begin": mark("all of the time that begins then"),
    "moment": mark("air and sun as they stood then, rain of the time before it"),
}
STANDS_FOR = Words(STANDS_FOR_TEXTS)
_AIR_S = {"mixed": 0.0, "end": -0.5, "begin": 0.5, "moment": 0.0}  # of a step, by how much air is moved
_RAIN_S = {"mixed": 0.0, "end": 0.0, "begin": 1.0, "moment": 0.0}
_SUN_S = {"mixed": 0.0, "end": 0.0, "begin": 1.0, "moment": 0.5}
_RAIN, _SUN = SUMS
_AIR = [at for at in range(1, len(COLUMNS)) if at not in SUMS]


def settled(read: WeatherFile, nursery: Nursery, told: str) -> WeatherFile:
    """The file with what its rows stand for, and said where nobody told it; days need none."""
    if told and told not in STANDS_FOR:
        raise BadValue("stands_for", told, ", ".join(STANDS_FOR))
    if read.step == "day" or float(np.median(read.step_s)) <= NO_MATTER_S:
        return read
    found, words = (told, "") if told else _found(read, nursery)
    said = [*read.understood.assumptions, *filter(None, [words, _steps_words(read)])]
    return replace(read, understood=replace(read.understood, stands_for=found, assumptions=tuple(said)))


def _found(read: WeatherFile, nursery: Nursery) -> tuple[str, str]:
    """What the sun of the file tells, else the common case; with the words of that."""
    common = say("What the times of its rows stand for is not known; taken: {meaning}.", meaning=STANDS_FOR["mixed"])
    if nursery.latitude_deg is None or nursery.longitude_deg is None or np.isnan(read.solar).all():
        return "mixed", common
    half_h = float(np.median(read.step_s)) / HOUR_S / 2.0
    late_h, days, apart_h = sun_clock(nursery.latitude_deg, nursery.longitude_deg, read.time_s, read.solar, 2.0 * half_h * HOUR_S)
    if np.isnan(late_h) and abs(apart_h - 1.0) <= _AN_HOUR:
        words = say("Its sun jumps by an hour within the file: a station whose clock never changes needs a fixed zone, such as UTC+12.")
        return "mixed", f"{common} {words}"
    if np.isnan(late_h):
        return "mixed", common
    nearest = min((("mixed", half_h), ("begin", -half_h), ("moment", 0.0)), key=lambda each: abs(each[1] - late_h))
    if abs(nearest[1] - late_h) > _NEAR * half_h:
        words = say("its sun stands {minutes:+.0f} minutes from where it should: look at its time zone and the place.", minutes=60 * late_h)
        return "mixed", f"{common} {words[:1].upper()}{words[1:]}"
    said = say("By the sun of {days} clear or evenly dull days its rows stand for: {meaning}.", days=days, meaning=STANDS_FOR[nearest[0]])
    return nearest[0], said


def _steps_words(read: WeatherFile) -> str:
    if read.step_s.max() <= 1.5 * HOUR_S:
        return ""
    return say(
        "Rows two or three hours apart are spread to hours: air by straight lines, rain evenly, sun along its height; "
        "a day's highest and lowest are those of its rows."
    )


def laid_rows(read: WeatherFile, nursery: Nursery) -> Rows:
    """The hours of a file as the book keeps them."""
    rows = np.column_stack([getattr(read, name) for name in COLUMNS])
    meant = read.understood.stands_for or "mixed"
    parts = [
        _hours_of_air(rows, read.step_s, _AIR_S[meant]),
        _hours_of_sums(rows, read.step_s, _RAIN, _RAIN_S[meant], None),
        _hours_of_sums(rows, read.step_s, _SUN, _SUN_S[meant], nursery),
    ]
    kept = np.concatenate([part[np.isfinite(part[:, 1:]).any(axis=1)] for part in parts])
    return merged_rows(np.empty((0, len(COLUMNS))), kept)


def _hours_of_air(rows: Rows, step_s: Floats, moved: float) -> Rows:
    """Air and wind at their moments, and between rows some hours apart at the hours between, where both rows are known."""
    out = np.full_like(rows, np.nan)
    out[:, 0] = rows[:, 0] + moved * step_s
    out[:, _AIR] = rows[:, _AIR]
    between = [out]
    for at in (np.flatnonzero((step_s[1:] > 1.5 * HOUR_S) & (np.diff(rows[:, 0]) <= step_s[1:])) + 1).tolist():
        count = round(step_s[at] / HOUR_S)
        share = (np.arange(1, count) / count)[:, None]
        between.append(out[at - 1] + share * (out[at] - out[at - 1]))
    return np.concatenate(between)


def _hours_of_sums(rows: Rows, step_s: Floats, column: int, moved: float, nursery: Nursery | None) -> Rows:
    """A sum or mean at the end of its time; of several hours each hour's: rain evenly, sun (with a place) along its height."""
    ends = rows[:, 0] + moved * step_s
    count = np.where(step_s > 1.5 * HOUR_S, np.round(step_s / HOUR_S), 1.0).astype(np.int64)
    row = np.repeat(np.arange(rows.shape[0]), count)
    back = np.concatenate([np.arange(each) for each in count.tolist()]) if row.size > rows.shape[0] else np.zeros(row.size)
    out = np.full((row.size, len(COLUMNS)), np.nan)
    out[:, 0] = ends[row] - back * HOUR_S
    out[:, column] = rows[row, column] / (count[row] if nursery is None else 1.0)
    if nursery is not None and nursery.latitude_deg is not None and row.size > rows.shape[0]:
        clear = np.asarray(clear_sky_radiation(sun_height(nursery.latitude_deg, longitude_of(nursery), out[:, 0] - HOUR_S / 2.0)))
        mean = np.bincount(row, clear) / count
        out[:, column] *= np.where(mean[row] > 1.0, clear / np.maximum(mean[row], 1.0), 1.0)
    return out
