"""When each way of grafting has its window at a site: from stage, day length and warmth, over the years on record, never from months."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from scionary.season.growth import StageHeat, stage_chances
from scionary.season.heat_course import BASE_C, DAY, YEAR_DAYS, Dates, by_year, checked_days, growing_years, heat_course
from scionary.season.sun import day_length
from scionary.season.window_rules import DORMANT_WINTER, LEAFY_SUMMER, WindowRule
from scionary.units import Float, check_range

OPEN = 0.5
UNSURE = 0.1


@dataclass(frozen=True, eq=False)
class MethodWindow:
    """When a way of grafting is open, day by day from the shortest day on.

    Attributes
    ----------
    method : str
        The rule's name.
    start : ndarray of datetime64[D]
        First day of the first column, for each growing year on record.
    chance : ndarray of shape (365,)
        Share of the years, and of what is not known of the stages, in which the day was open; NaN where no year is known.
    years : int
        Years of which at least one day is known.
    opens, closes : int or None
        Columns of the first and last day of the longest run that is open in at least half of the years; a last day past
        364 lies in the next row.
    opens_range, closes_range : tuple of int or None
        Columns between which opening and closing fell in eight of ten years.
    shut_by : dict of str to ndarray
        Share of the years in which each condition alone did not hold, by day: stage, days, day_length, warmth.
    assumptions : list of dict
        What the window rests on.
    """

    method: str
    start: Dates
    chance: Float
    years: int
    opens: int | None
    closes: int | None
    opens_range: tuple[int, int] | None
    closes_range: tuple[int, int] | None
    shut_by: dict[str, Float]
    assumptions: list[dict[str, Any]]

    def date(self, column: int | None, year_start: Any) -> str | None:
        """Turn a column into a day of the growing year that began on a day.

        Parameters
        ----------
        column : int or None
            A column, such as `opens`.
        year_start : datetime64[D] or str
            The winter solstice with which the year begins.

        Returns
        -------
        str or None
            The day.
        """
        return None if column is None else str(np.datetime64(year_start, "D") + column * DAY)

    def to_dict(self) -> dict[str, Any]:
        """Give plain values; what is not known is None.

        Returns
        -------
        dict
            One entry a field; arrays are lists.
        """
        plain = {name: getattr(self, name) for name in ("method", "years", "opens", "closes", "opens_range", "closes_range", "assumptions")}
        columns = {"chance": self.chance, **self.shut_by}
        listed = {name: [None if np.isnan(x) else float(x) for x in column] for name, column in columns.items()}
        return plain | {"chance": listed.pop("chance"), "shut_by": listed, "start": [str(each) for each in self.start]}


def method_windows(
    dates: Any,
    temperature_max_c: Any,
    temperature_min_c: Any,
    *,
    latitude_deg: float,
    rules: Sequence[WindowRule] = (LEAFY_SUMMER, DORMANT_WINTER),
    stages: StageHeat | None = None,
    base_c: float = BASE_C,
) -> list[MethodWindow]:
    """Find each method's window from the weather of the years on record.

    Parameters
    ----------
    dates : array_like of datetime64[D]
        Days, rising; better thirty years than three.
    temperature_max_c, temperature_min_c : array_like
        Extremes of each day [°C]; NaN where they are missing.
    latitude_deg : float
        Latitude [°], south negative; its sign turns the year.
    rules : sequence of WindowRule
        What each method asks.
    stages : StageHeat, optional
        Heat sums of the stages, defaults or fitted draws.
    base_c : float
        Base of the heat sums [°C].

    Returns
    -------
    list of MethodWindow
        One a rule. A method whose days never come, as winter grafting in the tropics, has no opening.

    Raises
    ------
    BadValue
        When weather or latitude is out of range.
    """
    days, stages = checked_days(dates), stages or StageHeat()
    southern = float(check_range("latitude_deg", latitude_deg, -90.0, 90.0, "°")) < 0.0
    course = heat_course(days, temperature_max_c, temperature_min_c, southern=southern, base_c=base_c)
    mean = (np.asarray(temperature_max_c, dtype=float) + np.asarray(temperature_min_c, dtype=float)) / 2.0
    length = lengths_from_solstice(latitude_deg)
    _, start = growing_years(days, southern=southern)
    fortnight = by_year(days, _moving(days, mean, back=13, ahead=0), start)
    chances, sooner = (stage_chances(heat, length, fortnight, stages) for heat in (course.low, course.high))
    chances = np.where(np.abs(chances - sooner).max(axis=-1, keepdims=True) > UNSURE, np.nan, chances)  # gaps leave the stage open
    return [_window(rule, days, mean, length, start, chances, stages) for rule in rules]


def lengths_from_solstice(latitude_deg: float) -> Float:
    """Day length of the 365 days from the shortest day on.

    Parameters
    ----------
    latitude_deg : float
        Latitude [°], south negative.

    Returns
    -------
    ndarray of shape (365,)
        Day length [h].
    """
    first = 172 if latitude_deg < 0 else 355
    return np.asarray(day_length(latitude_deg, (first - 1 + np.arange(YEAR_DAYS)) % YEAR_DAYS + 1))


def _window(rule: WindowRule, days: Dates, mean: Float, length: Float, start: Dates, chances: Float, stages: StageHeat) -> MethodWindow:
    parts = {"stage": chances[..., [int(stage) for stage in rule.stages]].sum(axis=-1)}
    if rule.days_falling is not None:
        after = np.arange(YEAR_DAYS) > YEAR_DAYS // 2
        parts["days"] = np.broadcast_to((after == rule.days_falling).astype(float), parts["stage"].shape)
    if rule.day_low_h is not None or rule.day_high_h is not None:
        inside = (length >= (rule.day_low_h or 0.0)) & (length <= (rule.day_high_h or 24.0))
        parts["day_length"] = np.broadcast_to(inside.astype(float), parts["stage"].shape)
    if rule.warmth_low_c is not None or rule.warmth_high_c is not None:
        parts["warmth"] = by_year(days, _warm_enough(rule, days, mean), start)
    open_ = np.prod(list(parts.values()), axis=0)
    known = ~np.isnan(open_)
    some = known.any(axis=0)
    chance = _mean(open_, some)
    shut = {name: 1.0 - _mean(part, ~np.isnan(part).all(axis=0)) for name, part in parts.items()}
    opens, closes = _longest_run(chance)
    ranges = _ranges(open_, opens, closes)
    return MethodWindow(
        rule.method, start, chance, int(known.any(axis=1).sum()), opens, closes, *ranges, shut, rule.assumptions() + stages.assumptions()
    )


def _warm_enough(rule: WindowRule, days: Dates, mean: Float) -> Float:
    """1 where the mean of the healing days lies in the rule's band, 0 where not, NaN where it is not known."""
    held = mean if rule.setpoint_c is None else np.maximum(mean, rule.setpoint_c)
    healing = _moving(days, held, back=0, ahead=rule.healing_days - 1)
    low = -np.inf if rule.warmth_low_c is None else rule.warmth_low_c
    high = np.inf if rule.warmth_high_c is None else rule.warmth_high_c
    return np.where(np.isnan(healing), np.nan, ((healing >= low) & (healing <= high)).astype(float))


def _moving(days: Dates, values: Float, *, back: int, ahead: int) -> Float:
    """Mean over a stretch of calendar days around each day; NaN where any of them is missing."""
    at = ((days - days[0]) / DAY).astype(np.int64)
    whole = np.full(int(at[-1]) + 1, np.nan)
    whole[at] = values
    total = np.concatenate([[0.0], np.cumsum(np.nan_to_num(whole))])
    holes = np.concatenate([[0], np.cumsum(np.isnan(whole))])
    first, last = at - back, at + ahead + 1
    inside = (first >= 0) & (last <= whole.size)
    first, last = np.clip(first, 0, whole.size), np.clip(last, 0, whole.size)
    good = inside & (holes[last] == holes[first])
    return np.where(good, (total[last] - total[first]) / (back + ahead + 1), np.nan)


def _mean(rows: Float, some: Any) -> Float:
    found = np.full(rows.shape[1], np.nan)
    if np.any(some):
        found[some] = np.nanmean(rows[:, some], axis=0)
    return found


def _longest_run(chance: Float) -> tuple[int | None, int | None]:
    """First and last column of the longest run that is open in half of the years; past the row's end it goes on into the next year."""
    good = np.nan_to_num(chance) >= OPEN
    if not good.any():
        return None, None
    if good.all():
        return 0, YEAR_DAYS - 1
    shift = int(np.argmin(good))  # a shut day: no run goes round it
    first, end = max(_runs(np.roll(good, -shift)), key=lambda run: run[1] - run[0])
    opens = (first + shift) % YEAR_DAYS
    return opens, opens + end - first - 1


def _runs(good: Any) -> list[tuple[int, int]]:
    """First column of each run and the one after its last."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], np.asarray(good, dtype=int), [0]])))
    return [(int(first), int(end)) for first, end in edges.reshape(-1, 2)]


def _ranges(open_: Float, opens: int | None, closes: int | None) -> tuple[tuple[int, int] | None, tuple[int, int] | None]:
    """Between which columns opening and closing fell in eight of ten years."""
    if opens is None or closes is None:
        return None, None
    middle = (opens + closes) // 2
    shift = middle - YEAR_DAYS // 2  # so that the window stands in the middle of a row
    flat = np.concatenate([np.full(YEAR_DAYS, np.nan), open_.ravel(), np.full(YEAR_DAYS, np.nan)])
    rows = flat[YEAR_DAYS + shift :][: open_.size].reshape(open_.shape)
    nearest = [
        min(_runs(good), key=lambda run: abs((run[0] + run[1] - 1) / 2 - YEAR_DAYS // 2))
        for row in rows
        if not np.isnan(row[YEAR_DAYS // 2]) and (good := np.nan_to_num(row) >= OPEN).any()
    ]
    if not nearest:
        return None, None
    low, high = np.quantile(np.array(nearest) + shift, [0.1, 0.9], axis=0).round().astype(int).tolist()
    return (low[0], high[0]), (low[1] - 1, high[1] - 1)
