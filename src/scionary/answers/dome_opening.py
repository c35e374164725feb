"""Opening a dome by degrees as its own log and the weather say: the plan, what happened since, and what is left of it.

Nothing here opens a dome: a person has looked and found unions sound, or has opened it already. Without a log the method's steps stand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np

from scionary.answers.after_care import CareStep
from scionary.answers.dome_model import DomeModel, model_of
from scionary.answers.dome_outlook import share_said
from scionary.answers.dome_weather import midnight_of, with_last_year
from scionary.answers.domes import DomeAnswer
from scionary.answers.held import held
from scionary.answers.salt_tests import load_tested
from scionary.answers.weather import station_in_use
from scionary.answers.words import percent, weekday_date
from scionary.book import queries
from scionary.book.models import Nursery, Plant, Sensor
from scionary.book.projection import records_of
from scionary.book.settle import settle
from scionary.dome import Basis, Met, OutsideAir, VentStep, hardening_steps, replan, simulate_dome, vapour_pressure_deficit, wilted
from scionary.language import mark, say

DAY_S = 86_400.0
_DAYLIGHT_W_M2 = 20.0  # as the engine's: a plant's demand is that of brighter hours
_LEAST_RISE_KPA = 0.05  # between closed and open; less is nothing to harden to; project default, unsourced
_LEAST_HOURS = 4.0  # of daylight in the log since the last step, before it corrects the plan
_AS_FAR = 0.02  # shares that differ by less are the same setting
_RESTS_ON = mark(
    "this dome's own log, the forecast and then last year's weather, even steps of what the air asks; after a look at the unions"
)
_CLOSES = mark("Close the vents: leaves hung at this step")
_CLOSES_WHY = mark("Three days of rest, then on from the step before, each step half as long again (project defaults, unsourced).")


@dataclass(frozen=True)
class Happening:
    """The vents were set to a share of all open, or, where that is None, leaves hung."""

    at_s: float
    share: float | None


@dataclass(frozen=True, eq=False)
class DomeOpening:
    """The steps of an opening; the first `done` of them have been taken."""

    steps: Sequence[VentStep]
    done: int
    nursery: Nursery
    today: date

    @property
    def left(self) -> Sequence[VentStep]:
        return self.steps[self.done :]

    def care(self) -> list[CareStep]:
        """What is left, as dated steps of after-care."""
        acts = self._acts()
        said = [share_said(self.steps[at].share) for at in acts]
        return [self._care(self.steps[at], self._share(place, at, said)) for place, at in enumerate(acts) if at >= self.done]

    def _acts(self) -> list[int]:
        """The steps without those to come that set the vents as the one before does: there is nothing to do for them."""
        acts: list[int] = []
        for at, step in enumerate(self.steps):
            before = self.steps[acts[-1]] if at > self.done else None
            if before is None or Basis.WILTED in (step.basis, before.basis) or abs(step.share - before.share) >= _AS_FAR:
                acts.append(at)
        return acts

    def to_dict(self) -> list[dict[str, Any]]:
        """Each step that is left, for a terminal."""
        return [
            {"when": care.when.isoformat(), "say": care.say, "why": care.why, "open_pct": care.open_pct, "rests_on": care.rests_on}
            for care in self.care()
        ]

    def _share(self, place: int, at: int, said: Sequence[str]) -> str:
        """How wide, in the words of a hand; as a number where a step beside it has the same words."""
        beside = [said[each] for each in (place - 1, place + 1) if 0 <= each < len(said)]
        return percent(self.steps[at].share) if said[place] in beside else said[place]

    def _care(self, step: VentStep, share: str) -> CareStep:
        when, open_pct = self._day(step.at_s), round(100.0 * step.share, 1)
        if step.basis is Basis.WILTED:
            return CareStep("vent", when, say(_CLOSES), say(_CLOSES_WHY), say("a wilting plant seen"), 0.0)
        told = {"share": share, "day": weekday_date(when)}
        if when < self.today:
            words = say("Open {share} of the vents, this evening or on the first dull day; it was due on {day}", **told)
            return CareStep("vent", when, words, _why(step), say(_RESTS_ON), open_pct)
        words = say("Open {share} of the vents, on {day} in the evening or on the first dull day", **told)
        if step.dull_at_s is not None:
            told["dull"] = weekday_date(self._day(step.dull_at_s))
            words = say("Open {share} of the vents, on {day} in the evening or on {dull}, a dull day", **told)
        return CareStep("vent", when, words, _why(step), say(_RESTS_ON), open_pct)

    def _day(self, moment_s: float) -> date:
        return datetime.fromtimestamp(moment_s, self.nursery.zone).date()


def with_opening(answer: DomeAnswer, nursery: Nursery, today: date) -> DomeAnswer:
    """The dome with the model's vent steps in place of the method's, where its log and the weather have something to say."""
    opening = opening_of(answer, nursery, today=today)
    if opening is None:
        return answer
    mine = opening.care()
    vents = [step for step in answer.steps if step.step == "vent"]
    last = max((step.when for step in mine), default=today)
    off = [replace(step, when=max(step.when, last)) for step in vents[-1:] if len(vents) > 1 and not step.done]
    others = [step for step in answer.steps if step.step != "vent"]
    return replace(answer, steps=sorted([*others, *mine, *off], key=lambda step: step.when))


def opening_of(answer: DomeAnswer, nursery: Nursery, *, today: date) -> DomeOpening | None:
    """The opening of what stands in a dome; None where nobody has looked yet, or no log of its own or weather speaks."""
    if answer.grafted is None or answer.method is None or not answer.standing:
        return None
    model, station = model_of(answer.dome), station_in_use()
    if model.fit is None or station is None:
        return None
    content = (queries.stamp(), station.read_at, model.to_s, today)
    return held(f"dome_opening {answer.dome.pk}", content, lambda: _opening(answer, model, nursery, today))


def follow(plan: Sequence[VentStep], happenings: Sequence[Happening]) -> tuple[list[VentStep], int]:
    """What is left of a plan after what happened: a step taken late moves the others, leaves that hung close it and stretch the rest."""
    steps, done = list(plan), 0
    for each in happenings:
        if each.share is None:
            if done and steps[done - 1].basis is not Basis.WILTED:
                steps, done = wilted(steps, done - 1, now_s=each.at_s), done - 1
        elif done < len(steps):
            steps, done = _taken(steps, done, each.at_s, each.share), done + 1
    return steps, done


def _taken(steps: list[VentStep], at: int, moment_s: float, share: float) -> list[VentStep]:
    """The vents were set: that step stands as it was taken, wider ones that it skipped fall away, the others move by whole days."""
    step = steps[at]
    rest = steps[at + 1 :]
    while rest and step.basis is not Basis.WILTED and rest[0].share <= share + _AS_FAR and len(rest) > 1:
        step, rest = rest[0], rest[1:]
    shift = round((moment_s - step.at_s) / DAY_S) * DAY_S
    area = step.vent_cm2 / step.share * share if step.share > 0.0 else 0.0
    taken = replace(step, at_s=moment_s, dull_at_s=None, until_s=step.until_s + shift, share=share, vent_cm2=area)
    moved = [
        replace(each, at_s=each.at_s + shift, until_s=each.until_s + shift, dull_at_s=None if shift else each.dull_at_s) for each in rest
    ]
    return [*steps[:at], taken, *moved]


def _opening(answer: DomeAnswer, model: DomeModel, nursery: Nursery, today: date) -> DomeOpening | None:
    happened = _happenings(answer, nursery)
    planned = [step.when for step in answer.steps if step.step == "vent"]
    looked = any(step.step == "firm" and step.done for step in answer.steps) and _some_alive(answer)
    if not (happened or (looked and planned)) or answer.method is None:
        return None
    now_s = midnight_of(today, nursery).timestamp() + DAY_S / 2
    begin = midnight_of(datetime.fromtimestamp(happened[0].at_s, nursery.zone).date() if happened else max(planned[0], today), nursery)
    days = float(max(answer.method.hardening_days, 3))
    end = max(begin, midnight_of(today, nursery)) + timedelta(days=2 * days + 1)
    weather = with_last_year(nursery, begin - timedelta(days=1), end)
    if weather is None:
        return None
    outside = model.outside(weather)
    closed, wide = (
        _asked_by_day(model, outside.between(begin.timestamp() - DAY_S, begin.timestamp() + days * DAY_S), v) for v in (0.0, 1.0)
    )
    if not wide > closed + _LEAST_RISE_KPA or wide > 4.0:
        return None
    wanted: dict[str, Any] = {"start_vpd_kpa": closed, "end_vpd_kpa": wide, "days": days, "largest_vent_cm2": model.largest_vent_cm2}
    steps, done = follow(hardening_steps(model.best, outside, start_s=begin.timestamp(), **wanted), happened)
    return DomeOpening(_by_the_log(model, outside, steps, done, now_s), done, nursery, today)


def _by_the_log(model: DomeModel, outside: OutsideAir, steps: list[VentStep], done: int, now_s: float) -> Sequence[VentStep]:
    """What is left, worked out anew from what the log saw since the last step; as it was where that says too little or a step is late."""
    if not 0 < done < len(steps) or steps[done].at_s <= now_s or steps[done].basis is Basis.WILTED:
        return steps
    seen = _seen_by_day(model, outside, steps[done - 1].at_s, now_s)
    last = replace(steps[-1], wanted_kpa=max(step.wanted_kpa for step in steps))
    at = steps[done].at_s - 3600.0
    if seen is None or last.until_s > outside.time_s[-1]:
        return steps
    return replan(model.best, outside, [*steps[:-1], last], now_s=at, observed_vpd_kpa=seen, largest_vent_cm2=model.largest_vent_cm2)


def _asked_by_day(model: DomeModel, outside: OutsideAir, share: float) -> float:
    """What the air asks by day under these vents, in kPa."""
    air = simulate_dome(model.middle, outside, share * model.largest_vent_cm2)
    return float(np.nanmean(air.vapour_pressure_deficit_kpa[_bright(outside, air.time_s)]))


def _seen_by_day(model: DomeModel, outside: OutsideAir, begin_s: float, end_s: float) -> float | None:
    """What the air asked by day since a moment, by the log; None where it wrote too little."""
    sensor, nursery = Sensor.objects.filter(dome=model.dome, retired=False).order_by("name").first(), queries.nursery()
    begin, end = (datetime.fromtimestamp(at, tz=nursery.zone) for at in (begin_s, end_s))
    rows = load_tested(sensor, nursery, begin, end) if sensor else np.empty((0, 3))
    rows = rows[_bright(outside, rows[:, 0]) & ~np.isnan(rows[:, 1:]).any(axis=1)]
    if len(rows) < 2 or np.unique(rows[:, 0] // 3600.0).size < _LEAST_HOURS:
        return None
    return float(np.mean(vapour_pressure_deficit(rows[:, 1], np.clip(rows[:, 2], 0.0, 100.0))))


def _bright(outside: OutsideAir, time_s: Any) -> Any:
    sun = np.nan_to_num(outside.solar_w_m2)
    found = np.interp(time_s, outside.time_s, sun) > _DAYLIGHT_W_M2
    return found if found.any() else np.ones(found.shape, dtype=bool)


def _some_alive(answer: DomeAnswer) -> bool:
    return any(pot.plant is not None and pot.plant.state == Plant.State.ALIVE for pot in answer.pots)


def _happenings(answer: DomeAnswer, nursery: Nursery) -> list[Happening]:
    """From the first opening on: each setting of the vents, and each day on which something here was seen to hang."""
    keys = [answer.dome.key, *(pot.plant.key for pot in answer.pots if pot.plant)]
    records = sorted({each.id: each for found in records_of(keys).values() for each in settle(found)}.values(), key=lambda each: each.order)
    told: list[Happening] = []
    hung: set[date] = set()
    for each in records:
        day = each.happened_at.astimezone(nursery.zone).date()
        if answer.grafted is None or day < answer.grafted:
            continue
        if each.kind == "vented" and (told or each.payload["open_pct"] > 0.0):
            told.append(Happening(each.happened_at.timestamp(), each.payload["open_pct"] / 100.0))
        elif each.kind == "observed" and each.payload.get("seen") == "wilting" and told and day not in hung:
            hung.add(day)
            told.append(Happening(each.happened_at.timestamp(), None))
    return told


def _why(step: VentStep) -> str:
    if step.met is Met.DRIER_EVEN_CLOSED:
        return say("The air will ask more than was wanted even closed: shade it.")
    if step.met is Met.UNKNOWN or not np.isfinite(step.expected.value):
        return say("What it brings is worked out when its weather is known.")
    told = {"value": step.expected.value, "low": step.expected.low, "high": step.expected.high}
    words = say("By day the air then asks {value:.2f} kPa of a leaf ({low:.2f} to {high:.2f}).", **told)
    if step.met is Met.LARGEST_NOT_ENOUGH:
        return say("{words} Moister than wanted even wide open: patience.", words=words)
    return words
