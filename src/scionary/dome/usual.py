"""How unlike its own usual a log is: a hint that the file is another dome's, or in another unit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from scionary.dome.series import Readings
from scionary.units import Float

_HOUR_S = 3600.0
_MARGIN_C, _MARGIN_PCT = 2.0, 5.0  # project default, unsourced: what a sensor and a new week may add
_FEWEST_HOURS = 72  # project default, unsourced: with fewer hours there is no usual
UNLIKE_FROM = 0.3  # project default, unsourced: share of readings outside the usual from which a person is asked


@dataclass(frozen=True)
class Unlikeness:
    """How many of a log's readings lie outside what the dome usually showed at that hour.

    Attributes
    ----------
    temperature_share, humidity_share : float
        Share of the known readings outside, 0 to 1; NaN when too little is known of either log.
    temperature_shift_c, humidity_shift_pct : float
        Median of the log less median of the usual [°C, %].
    """

    temperature_share: float
    humidity_share: float
    temperature_shift_c: float
    humidity_shift_pct: float

    @property
    def asks(self) -> bool:
        """Whether a person should look if it is this dome's file."""
        return bool(self.temperature_share >= UNLIKE_FROM or self.humidity_share >= UNLIKE_FROM)


def unlike_usual(log: Readings, usual: Readings) -> Unlikeness:
    """Hold a log against the same dome's earlier readings, hour of the day by hour of the day.

    Parameters
    ----------
    log : Readings
        The log in question.
    usual : Readings
        What stands in the book for the dome; times that both have are the caller's to leave out.

    Returns
    -------
    Unlikeness
        Shares outside the usual range (1 to 99 % of the readings of that hour, and a margin).
    """
    hours = [(each.time_s // _HOUR_S % 24).astype(np.intp) for each in (log, usual)]
    columns = ((log.temperature_c, usual.temperature_c, _MARGIN_C), (log.relative_humidity_pct, usual.relative_humidity_pct, _MARGIN_PCT))
    shares = [_outside(mine, before, hours, margin) for mine, before, margin in columns]
    shifts = [_median(mine) - _median(before) for mine, before, _ in columns]
    return Unlikeness(shares[0], shares[1], shifts[0], shifts[1])


def _outside(mine: Float, before: Float, hours: list[npt.NDArray[np.intp]], margin: float) -> float:
    outside = known = 0
    for hour in range(24):
        ours, theirs = mine[(hours[0] == hour) & ~np.isnan(mine)], before[(hours[1] == hour) & ~np.isnan(before)]
        if ours.size and theirs.size >= _FEWEST_HOURS // 24:
            low, high = np.percentile(theirs, [1, 99])
            outside += int(np.count_nonzero((ours < low - margin) | (ours > high + margin)))
            known += ours.size
    return outside / known if known else float("nan")


def _median(values: Float) -> float:
    known = values[~np.isnan(values)]
    return float(np.median(known)) if known.size else float("nan")
