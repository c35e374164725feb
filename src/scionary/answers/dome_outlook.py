"""What a dome will do tomorrow, and the one thing to do about it: shade first, vents second, water before it runs dry."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np

from scionary.answers.dome_model import DomeModel, model_of, vents_of, water_written
from scionary.answers.dome_weather import as_far_as_known, assumed_of, coming, midnight_of
from scionary.answers.held import held, holds
from scionary.answers.weather import station_in_use
from scionary.answers.words import percent, weekday_soon
from scionary.book.models import Dome, DomeState, Nursery
from scionary.dome import Act, Advice, AirLimits, Outlook, Ranged, simulate_dome, what_to_do, what_will_happen
from scionary.language import Words, mark, say
from scionary.units import temperature_words

_LIKELY = 0.5
_SLIPPED = 0.5  # share of a cloth that still covers when it has slipped; project default, unsourced
_WARMS_UP = timedelta(days=1)  # the march begins at the outside temperature and forgets that within hours
_WATER_DAYS = 10  # ahead, and at most so long since the water's depth was written down
_SOON_DRY = timedelta(days=3)
_SHARES = Words(
    {
        0.25: mark("a quarter"),
        0.33: mark("a third"),
        0.4: mark("two fifths"),
        0.5: mark("half"),
        0.6: mark("three fifths"),
        0.67: mark("two thirds"),
        0.75: mark("three quarters"),
        0.9: mark("nine tenths"),
        1.0: mark("all"),
    }
)


@dataclass(frozen=True, eq=False)
class DomeOutlook:
    """Tomorrow in one dome: the engine's advice, what it would be with its shade half off, when its water runs dry."""

    dome: Dome
    day: date
    model: DomeModel
    advice: Advice
    slipped: Outlook | None
    dry: datetime | None
    foretold: bool
    years: int
    assumed: tuple[str, ...]
    unit: str
    zone: Any

    @property
    def too_hot(self) -> bool:
        """Whether heat is foretold as the dome stands."""
        return self.advice.now.chance_of_heat > self.advice.accepted_chance

    @property
    def unknown(self) -> bool:
        """Whether hours of its daylight are unknown in all the weather there is, so that nothing can be said of heat."""
        return not np.isfinite(self.advice.now.chance_of_heat)

    @property
    def hangs_on_shade(self) -> bool:
        """Whether it stays below the limit, and would likely not if half of its shade slipped."""
        return not self.too_hot and self.slipped is not None and self.slipped.chance_of_heat >= _LIKELY

    @property
    def kind(self) -> str:
        """What is pressing: hot, dry, unknown, shade, or nothing."""
        if self.too_hot:
            return "hot"
        if self.dry is not None and self.dry.date() <= self.day + _SOON_DRY:
            return "dry"
        return "unknown" if self.unknown else "shade" if self.hangs_on_shade else ""

    @property
    def act(self) -> str:
        """The one thing to do, in a few words: shade it by half; empty where nothing presses."""
        if self.kind == "hot":
            return self._against_heat()
        if self.kind == "dry":
            return say("top the water up")
        if self.kind == "unknown":
            return say("take it for a bright day")
        return say("see that its shade sits firm") if self.kind == "shade" else ""

    @property
    def sentence(self) -> str:
        """What to do, with the dome's name and the day."""
        name, day = self.dome.name, weekday_soon(self.day)
        if self.kind == "hot":
            if self.advice.now.chance_of_heat >= _LIKELY:
                return say("On {day} it will be too hot in {name}: {act}.", day=day, name=name, act=self.act)
            return say("On {day} it may get too hot in {name}: {act}.", day=day, name=name, act=self.act)
        if self.kind == "dry" and self.dry is not None:
            return say("The tray of {name} runs dry about {day}: top it up before.", name=name, day=weekday_soon(self.dry.date()))
        if self.kind == "shade":
            return say("{day} will be bright: see that the shade of {name} sits firm.", name=name, day=day)
        if self.kind == "unknown":
            return say("What {day} brings to {name} is not known: take it for a bright day.", day=day, name=name)
        return say("Nothing to do for {day}: {hottest} at most.", day=day, hottest=self._ranged(self.advice.now))

    @property
    def why(self) -> str:
        """The numbers behind it, with their range."""
        if not self.kind:
            return ""
        now = self.advice.now
        if self.unknown:
            return say("Its weather lacks {hours:.0f} hours, some of them by day; the hottest may lie in those.", hours=now.unknown_hours)
        words = say("As it stands: up to {hottest}.", hottest=self._ranged(now))
        if self.too_hot:
            told = {"hottest": self._ranged(now), "at": self._clock(now.hottest_at_s), "chance": percent(now.chance_of_heat)}
            words = say("As it stands: up to {hottest}, about {at}; above {limit} with a chance of {chance}.", **told, limit=self._limit)
            words = f"{words} {say('With that: {hottest}.', hottest=self._ranged(self.advice.then))}" if self.advice.actions else words
        elif self.hangs_on_shade and self.slipped is not None:
            words = f"{words} {say('With its shade half off: up to {hottest}.', hottest=self._ranged(self.slipped))}"
        return words

    @property
    def water_words(self) -> str:
        """How long the water lasts; of a closed dome nobody can tell."""
        if self.advice.now.water_unknown:
            return say("How long its water lasts is not told: nobody knows what a closed dome leaks. Look weekly.")
        if self.dry is not None:
            return say("Its water lasts until about {day}, before plants drink.", day=weekday_soon(self.dry.date()))
        return ""

    @property
    def rests_on(self) -> str:
        """Weather, dome and limits."""
        weather = say("the forecast") if self.foretold else say("the weather of these days in {years} years", years=self.years)
        dome = say("this dome's own log") if self.model.fit else say("domes in general, as it is measured")
        return say("{weather}; {dome}; the limit of {limit} is an assumption", weather=weather, dome=dome, limit=self._limit)

    def to_dict(self) -> dict[str, Any]:
        now = self.advice.now
        return {
            "dome": self.dome.name,
            "day": self.day.isoformat(),
            "sentence": self.sentence,
            "why": self.why,
            "water": self.water_words,
            "rests_on": self.rests_on,
            "hottest_c": _known_only(now.hottest_c),
            "driest_pct": _known_only(now.driest_pct),
            "chance_of_heat": None if self.unknown else now.chance_of_heat,
            "unknown_hours": now.unknown_hours,
            "from_log": self.model.fit is not None,
            "foretold": self.foretold,
            "assumed": list(self.assumed),
        }

    def _against_heat(self) -> str:
        told = []
        for action in self.advice.actions:
            if action.act is Act.SHADE:
                told.append(say("shade off {share} of the sun", share=share_said(action.to)))
            elif action.act is Act.VENT:
                told.append(say("open {share} of the vents", share=share_said(action.to / self.model.largest_vent_cm2)))
        if not self.advice.enough:
            told.append(say("move it out of the sun: even that is not enough"))
        return say("; then ").join(told) or say("move it out of the sun")

    def _ranged(self, outlook: Outlook) -> str:
        hottest = outlook.hottest_c
        low, middle, high = (temperature_words(each, self.unit) for each in (hottest.low, hottest.value, hottest.high))
        return middle if low == high else say("{middle} ({low} to {high})", middle=middle, low=low, high=high)

    @property
    def _limit(self) -> str:
        return temperature_words(self.advice.now.heat_limit_c, self.unit)

    def _clock(self, moment_s: float) -> str:
        return f"{datetime.fromtimestamp(moment_s, self.zone):%H:%M}" if np.isfinite(moment_s) else "?"


def outlook_of(dome: Dome, state: DomeState | None, nursery: Nursery, *, today: date) -> DomeOutlook | None:
    """Tomorrow in this dome; None where the book holds no weather that tells. Held until dome, log or weather change."""
    station = station_in_use()
    if station is None:
        return None
    model = model_of(dome)
    moved = (state.vent_pct, state.vented_at, state.watered_at) if state else None
    content = (
        station.pk,
        station.read_at,
        today,
        repr(model.spec),
        dome.room_c,
        model.largest_vent_cm2,
        model.to_s,
        dome.name,
        moved,
        nursery.temperature_unit,
    )
    return held(f"dome_outlook {dome.pk}", content, lambda: _outlook(model, state, nursery, today))


def is_held(dome: Dome) -> bool:
    """Whether this dome was worked out in this process before, so that it likely need not be again."""
    return holds(f"dome_outlook {dome.pk}")


def share_said(share: float) -> str:
    """A share in the words of a hand: a third, half."""
    nearest = min(_SHARES, key=lambda each: abs(each - share))
    return _SHARES[nearest] if abs(nearest - share) < 0.05 else percent(share)


def _outlook(model: DomeModel, state: DomeState | None, nursery: Nursery, today: date) -> DomeOutlook | None:
    day = today + timedelta(days=1)
    from_, to = midnight_of(day, nursery), midnight_of(day + timedelta(days=1), nursery)
    stretches, foretold = coming(nursery, from_ - _WARMS_UP, to)
    if not stretches:
        return None
    weather = [model.outside(each) for each in stretches]
    vents = model.vents_cm2(state.vent_pct if state else None)
    asked: dict[str, Any] = {"heat_limit_c": AirLimits().heat_limit_c, "from_s": from_.timestamp()}
    advice = what_to_do(model.best, weather, vents, largest_vent_cm2=model.largest_vent_cm2, **asked)
    slipped = (
        what_will_happen(model.best, weather, vents, shade_share=_SLIPPED * model.spec.shade_share, **asked)
        if model.spec.shade_share > 0.0
        else None
    )
    dry = _runs_dry(model, nursery, today)
    assumed = assumed_of(stretches, in_room=model.dome.room_c is not None)
    return DomeOutlook(
        model.dome, day, model, advice, slipped, dry, foretold, len(stretches), assumed, nursery.temperature_unit, nursery.zone
    )


def _known_only(told: Ranged) -> list[float | None]:
    """Low, middle and high of a range, as JSON can hold them."""
    return [float(each) if np.isfinite(each) else None for each in (told.low, told.value, told.high)]


def _runs_dry(model: DomeModel, nursery: Nursery, today: date) -> datetime | None:
    """When the water runs out that was last written down with its depth; None where vents were shut or nothing tells."""
    written = water_written(model.dome)
    now = midnight_of(today, nursery)
    if written is None or not timedelta() <= now + timedelta(days=1) - written[0] <= timedelta(days=_WATER_DAYS):
        return None
    weather = as_far_as_known(nursery, written[0], now + timedelta(days=_WATER_DAYS))
    if weather is None:
        return None
    air = simulate_dome(replace(model.middle, water_mm=written[1]), model.outside(weather), vents_of(model.dome, model.largest_vent_cm2))
    return datetime.fromtimestamp(air.dry_at_s, nursery.zone) if air.dry_at_s is not None else None
