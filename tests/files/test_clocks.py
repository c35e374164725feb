"""Clock times and the days on which clocks change."""

from __future__ import annotations

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.files.clocks import instants, read_zone


def local(*moments: str) -> np.ndarray:
    """Clock times as seconds."""
    return np.array(moments, "datetime64[s]").astype(np.int64).astype(float)


def utc(times: np.ndarray) -> list[str]:
    """Instants as ISO text to the minute."""
    return ["NaT" if np.isnan(time) else str(np.datetime64(int(time), "s"))[:16] for time in times]


@pytest.mark.parametrize(("name", "moment"), [("UTC", "12:00"), ("UTC+1", "11:00"), ("-05:30", "17:30"), ("Europe/Vienna", "11:00")])
def test_zone_is_taken_off(name: str, moment: str) -> None:
    assert utc(instants(local("2025-01-15T12:00"), read_zone(name)).time_s) == [f"2025-01-15T{moment}"]


def test_summer_and_winter_have_their_own_offsets() -> None:
    read = instants(local("2025-01-15T12:00", "2025-07-15T12:00"), read_zone("Europe/Vienna"))
    assert utc(read.time_s) == ["2025-01-15T11:00", "2025-07-15T10:00"]


def test_southern_autumn_and_changes_at_midnight_are_handled() -> None:
    repeated = instants(local("2025-04-06T02:30", "2025-04-06T02:15", "2025-04-06T03:30"), read_zone("Australia/Sydney"))
    assert utc(repeated.time_s) == ["2025-04-05T15:30", "2025-04-05T16:15", "2025-04-05T17:30"]
    jumped = instants(local("2025-09-06T23:30", "2025-09-07T00:30", "2025-09-07T01:30"), read_zone("America/Santiago"))
    assert jumped.missing.tolist() == [False, True, False]


def test_missing_clock_time_stays_missing() -> None:
    read = instants(np.array([np.nan, 0.0]), read_zone("Europe/Vienna"))
    assert np.isnan(read.time_s[0])
    assert not read.missing.any()


def test_hourly_readings_of_the_repeated_hour_are_told_apart() -> None:
    read = instants(local("2025-10-26T01:00", "2025-10-26T02:00", "2025-10-26T02:00", "2025-10-26T03:00"), read_zone("Europe/Vienna"))
    assert np.diff(read.time_s).tolist() == [3600.0] * 3
    assert not read.unsure.any()


def test_unknown_zone_is_refused() -> None:
    with pytest.raises(BadValue, match="time_zone is 'nowhere'"):
        read_zone("nowhere")
