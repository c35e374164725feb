"""Is this a morning to cut scions from a mother tree, and which of the coming week: weather, water, looks and answers in one verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import numpy as np

from scionary.answers.cut_site import CutSite, SiteToday, site_today
from scionary.answers.growing_year import in_leaf_season
from scionary.answers.held import held
from scionary.answers.tree_looks import TreeLook, answers_of, stage_seen
from scionary.answers.tree_water import balance_of, crown_mm, crown_words, disc_m2, roots_of, roots_words, watering_mm
from scionary.answers.weather import site_weather
from scionary.answers.words import short_day, weekday_soon
from scionary.book.models import MotherTree, Nursery
from scionary.language import Words, mark, say
from scionary.season import (
    CutLimits,
    CutVerdict,
    Morning,
    RankedMorning,
    Rating,
    Reason,
    Stage,
    WaterBalance,
    best_mornings,
    morning_to_cut,
    mornings_of,
)
from scionary.units import in_unit, temperature_words

__all__ = [
    "CutAnswer",
    "CutLimits",
    "RankedMorning",
    "Rating",
    "Reason",
    "Stage",
    "cut_all",
    "cut_today",
    "limits_of",
    "morning_day",
    "reason_words",
    "value_words",
    "yard_morning",
]
_DAYS_BEFORE = 15  # more than a soaking counts for
_OF_A_TREE = ("pk", "name", "cultivar_id", "grows_in", "soil", "root_depth_mm", "pot_litres", "mouth_mm", "crown_mm")
RATING_WORDS = Words({Rating.GOOD: mark("good"), Rating.DOUBT: mark("in doubt"), Rating.BAD: mark("not this morning")})
UNKNOWN = Words(
    {
        "stage": mark("how ripe the wood is"),
        "firm": mark("whether leaves were firm at dawn"),
        "soaked": mark("whether it was soaked"),
        "demand": mark("how dry the air is"),
        "frost": mark("whether there was frost"),
        "wet": mark("whether leaves and bark are dry"),
    }
)


@dataclass(frozen=True)
class Thirst:
    """Litres that fill the root zone, low and high, where even the wettest course leaves the tree short, and since when."""

    low: float
    high: float
    since: date

    @property
    def litres(self) -> str:
        """80 to 100 litres, or about 261 litres where both ends are one number."""
        if round(self.low) == round(self.high):
            return say("about {litres:.0f} litres", litres=self.high)
        return say("{low:.0f} to {high:.0f} litres", low=self.low, high=self.high)


@dataclass(frozen=True)
class CutAnswer:
    """The verdict on one tree this morning, and the best mornings to come where there is a forecast."""

    tree: MotherTree
    today: date
    leafy: bool
    verdict: CutVerdict
    week: Sequence[RankedMorning]
    foretold: bool
    rests_on: Sequence[str]
    thirst: Thirst | None
    by_weather: bool

    @property
    def rating(self) -> Rating:
        return self.verdict.rating

    @property
    def why(self) -> str:
        """The reasons that decide; of a good morning all of them."""
        return " ".join(reason.words for reason in self.verdict.reasons if reason.rating is self.rating)

    @property
    def unknown(self) -> list[str]:
        return [UNKNOWN[name] for name in self.verdict.unknown]

    @property
    def next_best(self) -> RankedMorning | None:
        """The best morning of the week, where it is not today's."""
        return next((each for each in self.week if each.date != self.today.isoformat()), None) if self.week else None

    def to_dict(self) -> dict[str, Any]:
        week = [{"date": each.date, **each.verdict.to_dict()} for each in self.week]
        plain = {"tree": self.tree.name, "cultivar": self.tree.cultivar.spoken, "day": self.today.isoformat(), "in_leaf": self.leafy}
        return {**plain, **self.verdict.to_dict(), "best_mornings": week, "forecast": self.foretold, "rests_on": list(self.rests_on)}


@dataclass(frozen=True, eq=False)
class _Known:
    """A tree's mornings of this week, the first of them today's, and its balance."""

    mornings: list[Morning]
    dates: Any
    balance: WaterBalance
    today: int


def limits_of(nursery: Nursery) -> CutLimits:
    """The limits of a morning, as they were moved."""
    known = CutLimits.__dataclass_fields__
    return CutLimits(**{name: float(value) for name, value in nursery.cut_limits.items() if name in known})


def cut_today(
    tree: MotherTree,
    nursery: Nursery,
    *,
    today: date,
    answers: Mapping[str, Any] | None = None,
    leafy: bool | None = None,
    here: SiteToday | None = None,
) -> CutAnswer:
    """Whether this is a morning to cut from a tree. `answers` of now go before those that were written down today."""
    here = here or site_today(nursery, today)
    looks, limits, site, chances = here.looks_of(tree), limits_of(nursery), here.site, here.chances_of(tree)
    said: dict[str, Any] = {**answers_of(looks, today), **{key: each for key, each in (answers or {}).items() if each is not None}}
    if said.get("stage") is None:
        said["stage"] = stage_seen(looks, today)
    if leafy is None:
        leafy = _in_leaf(said["stage"], chances[site.today] if chances and site else None, today, nursery)
    known = _known(tree, site, looks, chances, limits, nursery, leafy=leafy) if site else None
    given = {name: each for name, each in said.items() if each is not None}
    bare = known.mornings[0] if known else Morning(leafy=leafy)
    verdict = morning_to_cut(replace(bare, **given), limits)
    foretold = bool(known and len(known.mornings) > 1)
    week = best_mornings(known.dates, known.mornings, limits=limits, answers=given) if known and foretold else []
    thirst = _thirst(tree, known, limits, today) if known and leafy else None
    rests = [*_rests_on(tree, site, looks, today, nursery), *filter(None, [crown_words(tree, nursery.length_unit) if thirst else ""])]
    return CutAnswer(tree, today, leafy, verdict, week, foretold, rests, thirst, by_weather=known is not None)


def cut_all(trees: Sequence[MotherTree], nursery: Nursery, *, today: date) -> dict[UUID, CutAnswer]:
    """The verdict on each of some trees; held until weather, looks, place, limits or the tree itself change."""
    own = (nursery.length_unit, nursery.temperature_unit, repr(sorted(nursery.cut_limits.items())))
    here = site_today(nursery, today)
    memo: dict[Any, CutAnswer] = held("cut_today", (here.content, own), dict)
    keys = {tree.pk: tuple(getattr(tree, name) for name in _OF_A_TREE) for tree in trees}
    for tree in trees:
        if keys[tree.pk] not in memo:
            memo[keys[tree.pk]] = cut_today(tree, nursery, today=today, here=here)
    return {pk: memo[key] for pk, key in keys.items()}


@dataclass(frozen=True)
class YardMorning:
    """All trees' verdicts in short: how many of each, the reason where it is one and the same, a better morning."""

    counts: Sequence[tuple[Rating, int]]
    why: str
    better: RankedMorning | None


def yard_morning(cuts: Sequence[CutAnswer]) -> YardMorning:
    """What the verdicts of a yard come to."""
    counts = [(rating, sum(cut.rating is rating for cut in cuts)) for rating in Rating]
    reasons = {cut.why for cut in cuts}
    good = any(cut.rating is Rating.GOOD for cut in cuts)
    better = None if good else next((cut.next_best for cut in cuts if cut.next_best), None)
    return YardMorning([each for each in counts if each[1]], reasons.pop() if len(reasons) == 1 else "", better)


def _in_leaf(seen: Stage | None, now: Mapping[Stage, float] | None, today: date, nursery: Nursery) -> bool:
    """Whether scions are cut in leaf today: as the wood was seen, else by its warmth, else by the equinoxes."""
    if seen is not None:
        return seen is not Stage.DORMANT
    return now[Stage.DORMANT] < 0.5 if now else in_leaf_season(today, nursery.latitude_deg)


def _known(
    tree: MotherTree,
    site: CutSite,
    looks: Sequence[TreeLook],
    chances: list[dict[Stage, float] | None] | None,
    limits: CutLimits,
    nursery: Nursery,
    *,
    leafy: bool,
) -> _Known:
    roots, weather = roots_of(tree), site.weather
    given = watering_mm(tree, roots, looks, weather)
    balance = balance_of(roots, site.demand_mm, given, weather)
    near = slice(max(site.today - _DAYS_BEFORE, 0), None)
    kept = {name: column[near] for name, column in vars(balance).items() if name not in ("available_mm", "readily_available_mm")}
    mornings = mornings_of(
        weather.dates[near],
        leafy=leafy,
        rain_mm=weather.rain_mm[near] * roots.rain_share,
        irrigation_mm=given[near],
        balance=replace(balance, **kept),
        depletion_fraction=roots.depletion_fraction,
        night_low_c=weather.temperature_min_c[near],
        stage_chances=chances[near] if chances else None,
        limits=limits,
        **{name: column[near] for name, column in site.hourly.items()},
    )
    today = site.today - near.start
    return _Known(mornings[today:], weather.dates[site.today :], balance, site.today)


def _thirst(tree: MotherTree, known: _Known, limits: CutLimits, today: date) -> Thirst | None:
    now, before = known.mornings[0], known.today - 1
    if now.stress_high is None or now.stress_high >= limits.stress_good or before < 0:
        return None
    crown = disc_m2(crown_mm(tree))
    enough = np.flatnonzero(known.balance.stress_high[: known.today] >= limits.stress_good)
    since = today - timedelta(days=int(before - (enough[-1] if enough.size else -1)))
    return Thirst(float(known.balance.deficit_low_mm[before]) * crown, float(known.balance.deficit_high_mm[before]) * crown, since)


def _rests_on(tree: MotherTree, site: CutSite | None, looks: Sequence[TreeLook], today: date, nursery: Nursery) -> list[str]:
    told = []
    if site is None:
        told.append(_no_weather(nursery, today))
    else:
        name, until = site.weather.station.name, short_day(site.known_until)
        last = site.weather.last_recorded
        recorded = say("recorded until {day}", day=short_day(last)) if last else say("nothing recorded")
        foretold = say(", foretold until {day}", day=until) if last is None or site.known_until > last else ""
        told.append(say("Weather of {name}: {recorded}{foretold}.", name=name, recorded=recorded, foretold=foretold))
        if not site.hourly:
            told.append(say("The file knows days, not hours: neither the morning's air nor the rain before it is known."))
        told.append(roots_words(tree, nursery.length_unit))
    watered = [look for look in looks if look.kind == "watered" and look.day <= today]
    if watered:
        told.append(say("Watered last on {day}.", day=short_day(watered[-1].day)))
    seen = [look for look in looks if look.stage and look.day <= today]
    if seen:
        told.append(say("Wood last looked at on {day}.", day=short_day(seen[-1].day)))
    return told


def _no_weather(nursery: Nursery, today: date) -> str:
    weather = site_weather(nursery)
    if weather is None:
        return say("The book holds no weather: the answers are yours.")
    if nursery.latitude_deg is None:
        return say("The book does not know where the nursery lies, so that its weather says nothing of water and growth.")
    return say("The weather in the book ends on {day}: the answers are yours.", day=short_day(min(weather.last, today - timedelta(days=1))))


def reason_words(words: str, nursery: Nursery) -> str:
    """A reason in the person's units."""
    return in_unit(words, nursery.length_unit)


def value_words(value: Any, unit: str, nursery: Nursery) -> str:
    """A reason's value or limit as a person reads it."""
    if value is None:
        return say("not known")
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    if isinstance(value, str):
        return value
    if unit == "°C":
        return temperature_words(value, nursery.temperature_unit)
    if unit == "mm":
        return in_unit(f"{value:.1f} mm", nursery.length_unit)
    return f"{value:.2g} {unit}".strip()


def morning_day(each: RankedMorning) -> str:
    """Saturday 14 February."""
    return weekday_soon(date.fromisoformat(each.date))
