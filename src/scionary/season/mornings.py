"""The mornings of a week: what a tree's water and the forecast say of each, and which are best."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scionary.errors import BadValue
from scionary.season.cut_limits import CutLimits
from scionary.season.growth import Stage
from scionary.season.heat_course import checked_days
from scionary.season.morning import CutVerdict, morning_to_cut
from scionary.season.morning_facts import Morning
from scionary.season.reasons import Rating
from scionary.season.water import WaterBalance, stress_coefficient
from scionary.units import Float, as_floats


@dataclass(frozen=True)
class RankedMorning:
    """One morning with its verdict.

    Attributes
    ----------
    date : str
        The day.
    morning : Morning
        What is known or forecast.
    verdict : CutVerdict
        What it says.
    """

    date: str
    morning: Morning
    verdict: CutVerdict


def mornings_of(
    dates: Any,
    *,
    leafy: bool,
    rain_mm: Any,
    balance: WaterBalance | None = None,
    depletion_fraction: float = 0.5,
    irrigation_mm: Any = 0.0,
    night_low_c: Any = None,
    now_c: Any = None,
    demand_kpa: Any = None,
    wet_mm: Any = None,
    stage_chances: Sequence[Mapping[Stage, float] | None] | None = None,
    stages_wanted: tuple[Stage, ...] | None = None,
    limits: CutLimits | None = None,
) -> list[Morning]:
    """Put together what days of weather say of each morning.

    Stress at dawn is that of the evening before: the day's own rain and sun are still to come. The soaking is that of the whole days
    before the morning.

    Parameters
    ----------
    dates : array_like of datetime64[D]
        Days that follow one another, recorded and forecast, as in `balance`.
    leafy : bool
        Scions are to be cut in leaf.
    rain_mm, irrigation_mm : array_like
        Rain and watering of each day [mm]; NaN where they are not known.
    balance : WaterBalance, optional
        The tree's water over the same days (`tree_balance`).
    depletion_fraction : float
        The tree's, as in its balance.
    night_low_c, now_c, demand_kpa, wet_mm : array_like, optional
        Of each morning, as in `Morning`.
    stage_chances : sequence of mapping, optional
        Of each morning.
    stages_wanted : tuple of Stage, optional
        As in `Morning`.
    limits : CutLimits, optional
        For the days of soaking.

    Returns
    -------
    list of Morning
        One a day.

    Raises
    ------
    BadValue
        When days do not follow one another, or lengths differ.
    """
    days, limits = checked_days(dates), limits or CutLimits()
    if (np.diff(days) != np.timedelta64(1, "D")).any():
        raise BadValue("dates", f"{days.size} days", "days that follow one another without a gap")
    named = {"night_low_c": night_low_c, "now_c": now_c, "demand_kpa": demand_kpa, "wet_mm": wet_mm}
    columns = {name: _column(name, given, days.size) for name, given in named.items()}
    water = _column("rain_mm", rain_mm, days.size) + _column("irrigation_mm", irrigation_mm, days.size)
    columns["soaked_mm"] = _before(water, round(limits.soak_days))
    if balance is not None:
        columns |= _at_dawn(balance, depletion_fraction, days.size)
    chances = stage_chances or [None] * days.size
    if len(chances) != days.size:
        raise BadValue("stage_chances", f"{len(chances)} mornings", f"as many as dates, {days.size}")
    rows = [{name: float(column[at]) for name, column in columns.items()} for at in range(days.size)]
    return [_morning(leafy, stages_wanted, chance, row) for chance, row in zip(chances, rows, strict=True)]


def _morning(leafy: bool, wanted: tuple[Stage, ...] | None, chances: Mapping[Stage, float] | None, known: dict[str, float]) -> Morning:
    return Morning(
        leafy=leafy,
        stages_wanted=wanted,
        stage_chances=chances,
        stress_low=known.get("stress_low"),
        stress_high=known.get("stress_high"),
        soaked_mm=known["soaked_mm"],
        demand_kpa=known["demand_kpa"],
        night_low_c=known["night_low_c"],
        now_c=known["now_c"],
        wet_mm=known["wet_mm"],
    )


def best_mornings(
    dates: Any, mornings: Sequence[Morning], *, most: int = 3, limits: CutLimits | None = None, answers: Mapping[str, Any] | None = None
) -> list[RankedMorning]:
    """Rank the mornings to come, those that speak for cutting first; bad ones are left out.

    Equal verdicts are ordered by the number of doubts, then by the air's demand, then by date.

    Parameters
    ----------
    dates : array_like of datetime64[D]
        Days of the mornings.
    mornings : sequence of Morning
        One a day.
    most : int
        At most so many.
    limits : CutLimits, optional
        What they are held against.
    answers : mapping, optional
        What a person said of the first of them, such as ``stage`` or ``firm_at_dawn``: it counts for that morning only, the stage for all.

    Returns
    -------
    list of RankedMorning
        The best first; empty when every morning is bad.

    Raises
    ------
    BadValue
        When lengths differ or the first morning has no such field.
    """
    days = checked_days(dates)
    if len(mornings) != days.size:
        raise BadValue("mornings", f"{len(mornings)} mornings", f"as many as dates, {days.size}")
    judged = [
        RankedMorning(str(day), given, morning_to_cut(given, limits))
        for day, given in zip(days, _answered(mornings, dict(answers or {})), strict=True)
    ]
    kept = [each for each in judged if each.verdict.rating is not Rating.BAD]
    return sorted(kept, key=_order)[:most]


def _order(each: RankedMorning) -> tuple[int, int, float, str]:
    doubts = sum(reason.rating is Rating.DOUBT for reason in each.verdict.reasons)
    demand = each.morning.demand_kpa
    return int(each.verdict.rating), doubts + len(each.verdict.unknown), np.inf if demand is None else demand, each.date


def _answered(mornings: Sequence[Morning], answers: dict[str, Any]) -> list[Morning]:
    unknown = set(answers) - {"stage", "soaked", "firm_at_dawn", "leaves_dry"}
    if unknown:
        raise BadValue("answers", sorted(unknown), "stage, soaked, firm_at_dawn, leaves_dry")
    stage = {"stage": answers["stage"]} if answers.get("stage") is not None else {}
    return [replace(given, **(answers if at == 0 else stage)) for at, given in enumerate(mornings)]


def _column(name: str, given: Any, size: int) -> Float:
    if given is None:
        return np.full(size, np.nan)
    column = as_floats(name, given)
    if column.ndim > 1 or column.size not in (1, size):
        raise BadValue(name, f"{column.size} numbers", f"as many as dates, {size}")
    return np.broadcast_to(column, (size,)).astype(float)


def _before(water: Float, days: int) -> Float:
    """Sum of the whole days before each; NaN where any of them is not known or lies before the record."""
    padded = np.concatenate([np.full(days, np.nan), water])
    return np.asarray(np.sum([padded[at : at + water.size] for at in range(days)], axis=0))


def _at_dawn(balance: WaterBalance, depletion_fraction: float, size: int) -> dict[str, Float]:
    """Stress at dawn from the deficit of the evening before; the first dawn takes the day's own."""
    if balance.deficit_mm.size != size:
        raise BadValue("balance", f"{balance.deficit_mm.size} days", f"as many as dates, {size}")
    zone = {"available_mm": balance.available_mm, "depletion_fraction": depletion_fraction}
    driest, wettest = (stress_coefficient(each, **zone) for each in (balance.deficit_high_mm, balance.deficit_low_mm))
    low = np.concatenate([balance.stress_low[:1], driest[:-1]])
    high = np.concatenate([balance.stress_high[:1], wettest[:-1]])
    return {"stress_low": low, "stress_high": high}
