"""The air in the demo's domes: the program's own physics under the station's weather, as loggers that err a little read it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from scionary.answers.dome_model import spec_of
from scionary.book.models import Dome
from scionary.demo.chance import stream
from scionary.demo.station import Days, hours_of_days, sun_of_days
from scionary.demo.tarn_bridge import Case
from scionary.dome import DomeSpec, OutsideAir, SaltTest, Vents, simulate_dome

Floats = npt.NDArray[np.float64]

_DAY_S, _STEP_S = 86_400.0, 3600.0
_SIZES_SD = {"absorbed_fraction": 0.12, "vent_factor": 0.2, "heat_capacity_j_k": 0.12, "evaporation_m_s": 0.12}
_LEAK_L_MIN = (0.1, 0.3)
_BRIGHTEST_BARE_W_M2 = 400.0  # what still falls on a dome whose cloth has slipped
_AJAR_SHARE = 0.3  # of all vents: a corner of the lid stands up, over a dry tray
_DRIES_IN_S, _MOISTENS_IN_S = 12 * 3600.0, 3 * 3600.0
_MOMENT_K, _MOMENT_PCT = 0.1, 0.4  # what a sensor errs at any moment
_OFFSET_K, _OFFSET_PCT = 0.15, 0.6  # what it errs always
_DRIFTS_PCT = 1.0  # at most, up or down, in forty days
_WIND_SHARE, _ROOM_WIND_M_S = 0.3, 0.1  # of the station's at a dome in the open; in a room


@dataclass(frozen=True)
class Spell:
    """A time in which the air went wrong."""

    kind: str  # "overheated" or "dry"
    begin: datetime
    end: datetime


@dataclass(frozen=True)
class Air:
    """Readings at even steps: seconds since 1970, °C, % relative humidity."""

    time_s: Floats
    temperature_c: Floats
    relative_humidity_pct: Floats


def dome_air(
    case: Case,
    days: Days,
    begin: datetime,
    end: datetime,
    step_min: int,
    *,
    vents: Sequence[tuple[datetime, float]],
    spells: Sequence[Spell],
    seed: int,
) -> Air:
    """What the logger of a dome read from `begin` up to but without `end`; `vents` are (moment, percent open)."""
    made_s, *made = _simulated(true_dome(case, seed), _largest_vent_cm2(case), _around(case, days, begin, end, spells), vents, spells)
    time_s = np.arange(begin.timestamp(), end.timestamp(), step_min * 60.0)
    warm, moist = (np.interp(time_s, made_s, row) for row in made)
    return _as_read(time_s, warm, moist, case=case, word=f"{case.name} {begin.date()}", seed=seed)


def true_dome(case: Case, seed: int) -> DomeSpec:
    """What the dome really is: near what the program assumes of its kind, and never the same."""
    rng = stream(seed, f"dome {case.name}")
    as_written, _ = spec_of(Dome(**case.made_of))
    sizes = {name: getattr(as_written, name) * float(np.exp(rng.normal(0.0, sd))) for name, sd in _SIZES_SD.items()}
    sizes["absorbed_fraction"] = min(sizes["absorbed_fraction"] * case.sunnier, 0.95)
    return replace(as_written, **sizes, leak_l_min=float(rng.uniform(*_LEAK_L_MIN)))


def _largest_vent_cm2(case: Case) -> float:
    return spec_of(Dome(**case.made_of))[1]


def salt_tested(case: Case, seed: int) -> SaltTest:
    """What a night in a jar with wet table salt said of the sensor: what it errs always, to a tenth."""
    too_moist = float(stream(seed, f"sensor {case.sensor}").normal(0.0, _OFFSET_PCT))
    offset = round(-too_moist, 1)
    return SaltTest(offset, 0.4, 75.5, 75.5 - offset, 20.0, 24)


def _around(case: Case, days: Days, begin: datetime, end: datetime, spells: Sequence[Spell]) -> OutsideAir:
    """The weather at the dome's place under its cloth, on the physics' steps, from the day before."""
    first = (begin - timedelta(days=1)).timestamp()
    time_s = np.arange(np.floor(first / _DAY_S) * _DAY_S, end.timestamp() + 3600.0, _STEP_S)
    hours = hours_of_days(days, time_s[0], time_s[-1])
    outdoors, humidity = (np.interp(time_s, hours.time_s, row) for row in (hours.temperature_c, hours.humidity_pct))
    warm = np.maximum(outdoors, case.room_c) if case.room_c is not None else outdoors
    moist = np.clip(humidity * _saturated(outdoors) / _saturated(warm), 0.0, 100.0)
    wind = np.interp(time_s, hours.time_s, _WIND_SHARE * hours.wind_m_s) if case.room_c is None else _ROOM_WIND_M_S
    sun = sun_of_days(days, time_s)
    return OutsideAir(time_s, warm, moist, sun * _passing(case, time_s, sun, spells), wind)


def _passing(case: Case, time_s: Floats, sun: Floats, spells: Sequence[Spell]) -> Floats:
    """The share of the sun that passes the cloth: little, but for the afternoon in which it had slipped."""
    passing = np.full(time_s.size, 1.0 - case.shade_pct / 100.0)
    for spell in (s for s in spells if s.kind == "overheated"):
        slipped = (time_s >= spell.begin.timestamp()) & (time_s < spell.end.timestamp())
        brightest = float(sun[slipped].max(initial=1.0))
        passing[slipped] = np.maximum(passing[slipped], min(1.0, _BRIGHTEST_BARE_W_M2 / brightest))
    return passing


def _simulated(
    dome: DomeSpec, largest_cm2: float, outside: OutsideAir, vents: Sequence[tuple[datetime, float]], spells: Sequence[Spell]
) -> tuple[Floats, Floats, Floats]:
    """The dome's air; in a dry spell it goes over, by and by, to that of a dry tray under a lid ajar."""
    bare = replace(dome, shade_share=0.0)
    times, areas = [at.timestamp() for at, _ in vents], [largest_cm2 * percent / 100.0 for _, percent in vents]
    air = simulate_dome(bare, outside, Vents([0.0, *times], [0.0, *areas]), step_s=_STEP_S)
    temperature, humidity = air.temperature_c, air.relative_humidity_pct
    if any(spell.kind == "dry" for spell in spells):
        dry = replace(bare, film_area_m2=0.0)
        ajar = simulate_dome(dry, outside, _AJAR_SHARE * largest_cm2, step_s=_STEP_S)
        share = _ramp(air.time_s, spells)
        temperature = temperature + share * (np.interp(air.time_s, ajar.time_s, ajar.temperature_c) - temperature)
        humidity = humidity + share * (np.interp(air.time_s, ajar.time_s, ajar.relative_humidity_pct) - humidity)
    return air.time_s, temperature, humidity


def _ramp(time_s: Floats, spells: Sequence[Spell]) -> Floats:
    """0 to 1 as the tray of a dry spell dries; then somebody tops up and the air is moist again within three hours."""
    found = np.zeros_like(time_s)
    for spell in (s for s in spells if s.kind == "dry"):
        begin, end = spell.begin.timestamp(), spell.end.timestamp()
        found += np.interp(time_s, [begin, begin + _DRIES_IN_S, end, end + _MOISTENS_IN_S], [0.0, 1.0, 1.0, 0.0], left=0.0, right=0.0)
    return found


def _as_read(time_s: Floats, temperature_c: Floats, humidity_pct: Floats, *, case: Case, word: str, seed: int) -> Air:
    """What a sensor makes of the air: an offset and a drift of its own, an error of the moment, one digit."""
    own, rng = stream(seed, f"sensor {case.sensor}"), stream(seed, f"air {word}")
    offset_pct, offset_k = own.normal(0.0, _OFFSET_PCT), own.normal(0.0, _OFFSET_K)
    drift = own.uniform(-_DRIFTS_PCT, _DRIFTS_PCT) * (time_s - time_s[0]) / (40.0 * _DAY_S)
    warm = temperature_c + offset_k + rng.normal(0.0, _MOMENT_K, time_s.size)
    moist = np.clip(humidity_pct + offset_pct + drift + rng.normal(0.0, _MOMENT_PCT, time_s.size), 5.0, 100.0)
    return Air(time_s, np.asarray(np.round(warm, 1)), np.asarray(np.round(moist, 1)))


def _saturated(temperature_c: Floats) -> Floats:
    return np.asarray(0.6108 * np.exp(17.27 * temperature_c / (temperature_c + 237.3)))
