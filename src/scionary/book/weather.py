"""Weather of a station: one compressed array a step and month; a forecast stands beside the record and is replaced by the next."""

from __future__ import annotations

import zlib
from datetime import date
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from django.db import transaction

from scionary.book.locks import AT_ONCE, lock
from scionary.book.models import WeatherMonth, WeatherStation
from scionary.book.patience import patiently
from scionary.units import check_range

COLUMNS = (
    "time_s",  # seconds since 1970 UTC; of a day its midnight as if in UTC
    "temperature_max_c",
    "temperature_min_c",
    "temperature_c",
    "humidity_max_pct",
    "humidity_min_pct",
    "relative_humidity_pct",
    "rain_mm",
    "wind_m_s",
    "solar",  # MJ/m² of a day, W/m² of an hour
)  # by the hour air and wind are those of the moment, rain and sun of the time that ends with it
SUMS = (COLUMNS.index("rain_mm"), COLUMNS.index("solar"))
HALF_HOUR_S = 1800.0
SERIES = [(step, forecast) for step in ("day", "hour") for forecast in (False, True)]
_TIMES_S = (-2_208_988_800.0, 32_503_680_000.0)  # the years 1900 to 2999
Rows = npt.NDArray[np.float64]


@patiently
def store_weather(station: WeatherStation, rows: Rows, step: str, *, forecast: bool = False) -> int:
    """Add rows of `COLUMNS`; a value that is known wins over the one that stood there. Returns how many times are new.

    A forecast replaces the one before it. Hours that stood half an hour beside the new ones, as the same file gave them when it was read
    with another meaning of its times, go.
    """
    rows = np.asarray(rows, dtype=np.float64).reshape(-1, len(COLUMNS))
    rows = rows[np.isfinite(rows[:, 0]) & np.isfinite(rows[:, 1:]).any(axis=1)]
    check_range("time_s", rows[:, 0], *_TIMES_S)
    with transaction.atomic():
        lock([station.key])
        mine = WeatherMonth.objects.filter(station=station, step=step, forecast=forecast)
        if forecast:
            WeatherMonth.objects.filter(station=station, forecast=True).delete()
        months = _by_month(rows)
        old = {row.month: _unpack(row.data) for row in mine.filter(month__in=list(months)).iterator(AT_ONCE)}
        left = {month: _without_halves(old[month], rows) if step == "hour" else old[month] for month in old}
        merged = {month: merged_rows(left[month], new) if month in old else merged_rows(_none(), new) for month, new in months.items()}
        mine.filter(month__in=list(old)).delete()
        kept = [
            WeatherMonth(station=station, step=step, forecast=forecast, month=m, count=len(r), data=_pack(r)) for m, r in merged.items()
        ]
        WeatherMonth.objects.bulk_create(kept, batch_size=AT_ONCE)
    before, after = (count_times(np.concatenate([_none(), *months.values()])) for months in (old, merged))
    return after - before


def count_times(rows: Rows) -> int:
    """How many times rows tell of: air, rain and sun of the same hour may stand in rows of their own."""
    sums = np.isfinite(rows[:, SUMS]).sum(axis=0)
    air = np.isfinite(np.delete(rows[:, 1:], np.array(SUMS) - 1, axis=1)).any(axis=1)
    return int(max(*sums, air.sum()))


def load_weather(station: WeatherStation, step: str, *, forecast: bool = False, since: date | None = None) -> Rows:
    """Rows of a station in order of time, of the whole months from that of `since` on; shape (n, 10)."""
    months = WeatherMonth.objects.filter(station=station, step=step, forecast=forecast)
    if since is not None:
        months = months.filter(month__gte=since.replace(day=1))
    arrays = [_unpack(data) for data in months.order_by("month").values_list("data", flat=True)]
    return np.concatenate(arrays) if arrays else _none()


def _by_month(rows: Rows) -> dict[date, Rows]:
    rows = rows[np.argsort(rows[:, 0], kind="stable")]
    months = rows[:, 0].astype("datetime64[s]").astype("datetime64[M]")
    edges = [0, *(np.flatnonzero(np.diff(months.astype(np.int64))) + 1).tolist(), len(rows)]
    return {months[begin].astype("datetime64[D]").astype(date): rows[begin:end] for begin, end in pairwise(edges) if end > begin}


def merged_rows(old: Rows, new: Rows) -> Rows:
    """Both in order of time; at the same time each known value of the later row."""
    both = np.concatenate([old, new])
    both = both[np.argsort(both[:, 0], kind="stable")]
    again = np.flatnonzero(np.diff(both[:, 0]) == 0.0) + 1
    for at in again.tolist():
        both[at] = np.where(np.isnan(both[at]), both[at - 1], both[at])
    return both[np.append(np.diff(both[:, 0]) > 0, True)] if len(both) else both


def _without_halves(old: Rows, new: Rows) -> Rows:
    """Old rows without the values of whole hours that lie in the middle between two new ones of the same kind."""
    out = old.copy()
    for column in range(1, len(COLUMNS)):
        there, coming = old[np.isfinite(old[:, column]), 0], new[np.isfinite(new[:, column]), 0]
        between = np.isin(there - HALF_HOUR_S, coming) & np.isin(there + HALF_HOUR_S, coming) & ~np.isin(there, coming)
        hourly = ~np.isin(there - HALF_HOUR_S, there) & ~np.isin(there + HALF_HOUR_S, there)
        out[np.isin(old[:, 0], there[between & hourly]), column] = np.nan
    return out[np.isfinite(out[:, 1:]).any(axis=1)]


def _none() -> Rows:
    return np.empty((0, len(COLUMNS)))


def _pack(rows: Rows) -> bytes:
    """Column by column, which packs a column without a reading to nothing."""
    return zlib.compress(np.ascontiguousarray(rows.T, dtype="<f8").tobytes(), 6)


def _unpack(data: bytes | memoryview) -> Rows:
    columns = np.frombuffer(zlib.decompress(bytes(data)), dtype="<f8").reshape(len(COLUMNS), -1)
    return np.ascontiguousarray(columns.T, dtype=np.float64)
