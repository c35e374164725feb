"""Frost dates of each growing year, on either side of the equator."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.season.degree_days import AIR_RANGE_C
from scionary.units import Float, check_range

Dates = npt.NDArray[np.datetime64]
Integers = npt.NDArray[np.int64]
Bool = npt.NDArray[np.bool_]
DAY = np.timedelta64(1, "D")
_TURNS, _HALF_MONTH = (-60, 120), 15
NO_DATE = np.datetime64("NaT", "D")


@dataclass(frozen=True, eq=False)
class FrostDates:
    """Frosts of each growing year: its spring half ends and its autumn half begins at the summer solstice, or `turn_d` days after it.

    A growing year runs from the day of one winter solstice to the day before the next and has the number of the
    calendar year in which its spring half mostly lies. The solstices are taken as 21 June and 21 December.

    Attributes
    ----------
    year : ndarray of int
        Growing years, rising.
    last_spring_frost : ndarray of datetime64[D]
        Last day of frost in the spring half; NaT when no known day had frost.
    first_autumn_frost : ndarray of datetime64[D]
        First day of frost in the autumn half; NaT when no known day had frost.
    frost_free_days : ndarray of float
        Whole days between the two [d]; NaN when either is not known.
    spring_days_missing, autumn_days_missing : ndarray of int
        Days of each half without a temperature [d]: with any, a frost may have gone unseen.
    """

    year: Integers
    last_spring_frost: Dates
    first_autumn_frost: Dates
    frost_free_days: Float
    spring_days_missing: Integers
    autumn_days_missing: Integers

    def to_dict(self) -> dict[str, list[Any]]:
        """Give plain lists; a date is text, what is not known is None.

        Returns
        -------
        dict of list
            One list a column, ready for JSON.
        """
        return {
            "year": self.year.tolist(),
            "last_spring_frost": [_date_text(each) for each in self.last_spring_frost],
            "first_autumn_frost": [_date_text(each) for each in self.first_autumn_frost],
            "frost_free_days": [None if np.isnan(each) else int(each) for each in self.frost_free_days],
            "spring_days_missing": self.spring_days_missing.tolist(),
            "autumn_days_missing": self.autumn_days_missing.tolist(),
        }


def frost_dates(dates: Any, temperature_min_c: Any, *, threshold_c: float = 0.0, southern: bool = False, turn_d: int = 0) -> FrostDates:
    """Find the last frost of spring and the first of autumn in each growing year.

    Parameters
    ----------
    dates : array_like of datetime64[D]
        Days in any order, each at most once; days left out count as missing.
    temperature_min_c : array_like
        Lowest air temperature of each day [°C], -90 to 60. NaN counts as missing.
    threshold_c : float
        A day at or below this is a day of frost [°C].
    southern : bool
        True south of the equator: the spring half begins in June.
    turn_d : int
        Days from the summer solstice to the day on which the autumn half begins, -60 to 120 [d]; `warmest_day` finds it,
        so that a frost of June or July counts as one of spring.

    Returns
    -------
    FrostDates
        One row for each growing year with at least one day given.

    Raises
    ------
    BadValue
        When a date is no date or given twice, the lengths differ, or a temperature is out of range.
    """
    days = _days(dates)
    lowest = check_range("temperature_min_c", temperature_min_c, *AIR_RANGE_C, "°C")
    check_range("threshold_c", threshold_c, *AIR_RANGE_C, "°C")
    if lowest.shape != days.shape:
        raise BadValue("temperature_min_c", f"{lowest.size} numbers", f"as many as dates, {days.size}")
    turn = _turn(turn_d)
    year, spring = _growing_year(days, turn, southern=southern)
    rows = [_row(each, days, lowest, threshold_c, year == each, spring, turn, southern=southern) for each in np.unique(year)]
    return _table(rows)


def warmest_day(dates: Any, temperature_min_c: Any, *, southern: bool = False) -> int:
    """Find the day of the year whose nights are the warmest on the mean, counted from the summer solstice.

    Parameters
    ----------
    dates : array_like of datetime64[D]
        Days in any order, each at most once.
    temperature_min_c : array_like
        Lowest air temperature of each day [°C]; NaN counts as missing.
    southern : bool
        True south of the equator.

    Returns
    -------
    int
        Days after the summer solstice, -60 to 120: the middle of the warmest 31 days of the mean year, of equals the
        nearest to the solstice; 0 where fewer than
        all days of that stretch were ever known. The 31 days are a project default, unsourced.
    """
    days = _days(dates)
    lowest = check_range("temperature_min_c", temperature_min_c, *AIR_RANGE_C, "°C")
    known = ~np.isnan(lowest)
    begin, end = _TURNS[0] - _HALF_MONTH, _TURNS[1] + _HALF_MONTH
    after = _since_solstice(days, begin, southern=southern)
    inside = known & (after <= end)
    number = np.bincount(after[inside] - begin, minlength=end - begin + 1)
    if not number.all():
        return 0
    mean = np.bincount(after[inside] - begin, weights=lowest[inside], minlength=number.size) / number
    width = 2 * _HALF_MONTH + 1
    smooth = np.round(np.convolve(mean, np.full(width, 1.0 / width), mode="valid"), 6)
    warmest = np.flatnonzero(smooth == smooth.max()) + _TURNS[0]
    return int(warmest[np.argmin(np.abs(warmest))])


def _row(
    year: np.int64, days: Dates, lowest: Float, threshold_c: float, mine: Bool, spring: Bool, turn: np.timedelta64, *, southern: bool
) -> tuple[int, np.datetime64, np.datetime64, float, int, int]:
    begin, middle, end = _bounds(int(year), turn, southern=southern)
    known, frost = mine & ~np.isnan(lowest), mine & (lowest <= threshold_c)
    last = days[frost & spring].max() if (frost & spring).any() else NO_DATE
    first = days[frost & ~spring].min() if (frost & ~spring).any() else NO_DATE
    free = np.nan if np.isnat(last) or np.isnat(first) else float((first - last) / DAY) - 1.0
    spring_missing = int((middle - begin) / DAY) - int(np.count_nonzero(known & spring))
    autumn_missing = int((end - middle) / DAY) - int(np.count_nonzero(known & ~spring))
    return int(year), last, first, free, spring_missing, autumn_missing


def _table(rows: list[tuple[int, np.datetime64, np.datetime64, float, int, int]]) -> FrostDates:
    year, last, first, free, spring_missing, autumn_missing = zip(*rows, strict=True) if rows else ((),) * 6
    return FrostDates(
        np.array(year, dtype=np.int64),
        np.array(last, dtype="datetime64[D]"),
        np.array(first, dtype="datetime64[D]"),
        np.array(free, dtype=np.float64),
        np.array(spring_missing, dtype=np.int64),
        np.array(autumn_missing, dtype=np.int64),
    )


def _days(dates: Any) -> Dates:
    try:
        days = np.asarray(dates, dtype="datetime64[D]")
    except (TypeError, ValueError) as error:
        raise BadValue("dates", dates, "days such as 2026-03-19") from error
    if days.ndim != 1:
        raise BadValue("dates", f"an array of shape {days.shape}", "one row of days")
    _refuse_days(np.isnat(days), days, "days such as 2026-03-19, none left blank")
    order = np.argsort(days, kind="stable")
    twice = np.zeros(days.shape, dtype=bool)
    twice[order[1:]] = days[order[1:]] == days[order[:-1]]
    _refuse_days(twice, days, "each day at most once")
    return days


def _refuse_days(wrong: Bool, days: Dates, allowed: str) -> None:
    if wrong.any():
        index = int(np.argmax(wrong))
        raise BadValue("dates", str(days[index]), allowed, index=index)


def _turn(turn_d: int) -> np.timedelta64:
    if not _TURNS[0] <= turn_d <= _TURNS[1]:
        raise BadValue("turn_d", turn_d, f"{_TURNS[0]} to {_TURNS[1]} d")
    return int(turn_d) * DAY


def _since_solstice(days: Dates, begin: int, *, southern: bool) -> Integers:
    """Days since the summer solstice, from `begin` on: earlier ones count from the solstice before."""
    month = 12 if southern else 6
    years = days.astype("datetime64[Y]")
    after = ((days - _twenty_first(years, month=month)) / DAY).astype(np.int64)
    before = ((days - _twenty_first(years - 1, month=month)) / DAY).astype(np.int64)
    return np.where(after < begin, before, after)


def _growing_year(days: Dates, turn: np.timedelta64, *, southern: bool) -> tuple[Integers, Bool]:
    """Growing year of each day, and whether it lies in the spring half."""
    years = days.astype("datetime64[Y]")
    calendar = years.astype(np.int64) + 1970
    year = calendar - (days < _twenty_first(years, month=6)) if southern else calendar + (days >= _twenty_first(years, month=12))
    return year, days < _twenty_first((year - 1970).astype("datetime64[Y]"), month=12 if southern else 6) + turn


def _twenty_first(years: Dates, *, month: int) -> Dates:
    """The 21st of one month of each calendar year."""
    first: Dates = (years.astype("datetime64[M]") + (month - 1)).astype("datetime64[D]")
    return np.asarray(first + 20 * DAY)


def _bounds(year: int, turn: np.timedelta64, *, southern: bool) -> tuple[np.datetime64, np.datetime64, np.datetime64]:
    """First day of a growing year, of its autumn half, and of the next growing year."""
    texts = (f"{year}-06-21", f"{year}-12-21", f"{year + 1}-06-21") if southern else (f"{year - 1}-12-21", f"{year}-06-21", f"{year}-12-21")
    begin, middle, end = (np.datetime64(text, "D") for text in texts)
    return begin, middle + turn, end


def _date_text(day: np.datetime64) -> str | None:
    return None if np.isnat(day) else str(day)
