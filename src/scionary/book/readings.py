"""Logger readings: one compressed array a sensor and UTC day; raw files kept by their hash."""

from __future__ import annotations

import hashlib
import zlib
from datetime import UTC, date, datetime, timedelta

import numpy as np
import numpy.typing as npt
from django.db import transaction

from scionary.book.locks import lock
from scionary.book.models import RawFile, Sensor, SensorDay
from scionary.book.patience import patiently
from scionary.units import check_range

_COLUMNS = 3  # time in s, temperature in °C, relative humidity in %
_DAY_S = 86_400
_TIMES_S = (-2_208_988_800.0, 32_503_680_000.0)  # the years 1900 to 2999
Readings = npt.NDArray[np.float64]


def keep_file(data: bytes, name: str, kind: str, *, now: datetime) -> tuple[RawFile, bool]:
    """Keep a file as it was given; the second value says whether it was new."""
    digest = hashlib.sha256(data).hexdigest()
    return RawFile.objects.get_or_create(sha256=digest, defaults={"name": name[:200], "kind": kind, "received_at": now, "data": data})


@patiently
def store_readings(sensor: Sensor, readings: Readings) -> int:
    """Add readings, rows of (time s, °C, %); at a time already stored the new ones win. Returns how many times are new."""
    rows = np.asarray(readings, dtype=np.float64).reshape(-1, _COLUMNS)
    rows = rows[np.isfinite(rows[:, 0])]
    check_range("time_s", rows[:, 0], *_TIMES_S)
    added = 0
    with transaction.atomic():
        lock([sensor.key])
        for number in np.unique(rows[:, 0] // _DAY_S):
            day = date(1970, 1, 1) + timedelta(days=int(number))
            stored = SensorDay.objects.filter(sensor=sensor, day=day).first()
            old = _unpack(stored.data) if stored else np.empty((0, _COLUMNS))
            merged = _merged(old, rows[rows[:, 0] // _DAY_S == number])
            added += len(merged) - len(old)
            SensorDay.objects.update_or_create(sensor=sensor, day=day, defaults={"count": len(merged), "data": _pack(merged)})
    return added


def load_readings(sensor: Sensor, begin: datetime | None = None, end: datetime | None = None) -> Readings:
    """Readings of a sensor in order of time, from `begin` up to but without `end`; shape (n, 3)."""
    days = SensorDay.objects.filter(sensor=sensor)
    if begin:
        days = days.filter(day__gte=begin.astimezone(UTC).date())
    if end:
        days = days.filter(day__lte=end.astimezone(UTC).date())
    arrays = [_unpack(data) for data in days.order_by("day").values_list("data", flat=True)]
    rows = np.concatenate(arrays) if arrays else np.empty((0, _COLUMNS))
    low = begin.timestamp() if begin else -np.inf
    high = end.timestamp() if end else np.inf
    return rows[(rows[:, 0] >= low) & (rows[:, 0] < high)]


def _merged(old: Readings, new: Readings) -> Readings:
    both = np.concatenate([old, new])
    order = np.argsort(both[:, 0], kind="stable")
    both = both[order]
    last = np.append(np.diff(both[:, 0]) > 0, True)
    return both[last]


def _pack(rows: Readings) -> bytes:
    return zlib.compress(np.ascontiguousarray(rows, dtype="<f8").tobytes(), 6)


def _unpack(data: bytes | memoryview) -> Readings:
    return np.frombuffer(zlib.decompress(bytes(data)), dtype="<f8").reshape(-1, _COLUMNS).astype(np.float64)
