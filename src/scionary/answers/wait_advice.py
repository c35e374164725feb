"""Wait, graft the stock again, or give the place to another plant: what each is worth for one plant, and for all in the domes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from datetime import date, timedelta
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any
from uuid import UUID

from scionary.answers.after_care import stage_date
from scionary.answers.chances import Evidence, evidence
from scionary.answers.early_signs import one_reading, waiting_chances
from scionary.answers.growing_year import in_leaf_season
from scionary.answers.outcomes import graft_day
from scionary.answers.rates import coming_draws
from scionary.answers.words import day_words, percent, percent_range
from scionary.book import queries
from scionary.book.models import Graft, Nursery, Plant, Wish
from scionary.language import Words, mark, say

if TYPE_CHECKING:
    from scionary.take import WaitAdvice

STAGE = "firm"
WORTH = 40.0  # of a plant, where neither wish nor cultivar says so; project default, unsourced
PLACE_SHARE = 0.02  # of that worth: price of a place a week; project default, unsourced
GRAFT_SHARE = 0.1  # of that worth: scion and work of a new graft; project default, unsourced
_LOOK_AGAIN_DAYS = 7  # where it could be told already and is not; project default, unsourced
_ANY_CHANCE = 0.5  # of a new graft of no known cultivar; project default, unsourced
_HEALING_DAYS = 31.0  # where no method is set; common practice, no source
_FIRST = Words({"wait": mark("Wait"), "regraft": mark("Graft the stock again"), "give up": mark("Give its place to another plant")})
_CHOICES = Words({"wait": mark("wait"), "regraft": mark("graft the stock again"), "give up": mark("give its place to another plant")})


@dataclass(frozen=True)
class Figures:
    """What a person sets instead of the assumptions; None leaves an assumption as it is."""

    worth: float | None = None
    place: float | None = None
    graft: float | None = None
    until: date | None = None


@dataclass(frozen=True)
class Stakes:
    """All but the chance: what the advice for plants of one cultivar, method and graft day rests on."""

    worth: float
    worth_from: str
    place: float
    graft: float
    until: date | None
    days_left: int
    days_to_know: int
    healing_days: float
    regraft_chance: float

    def advice(self, chance: float, low: float, high: float) -> WaitAdvice:
        from scionary.take import wait_or_regraft

        return wait_or_regraft(
            chance,
            slot_price=self.place,
            regraft_chance=self.regraft_chance,
            worth=self.worth,
            days_left=self.days_left,
            days_to_know=self.days_to_know,
            healing_days=self.healing_days,
            regraft_cost=self.graft,
            low=min(low, chance),
            high=max(high, chance),
        )

    @cached_property
    def again_below(self) -> float:
        """The chance below which grafting again is the best choice; 0 where it never is."""
        hopeless = self.advice(0.0, 0.0, 0.0)
        return min(hopeless.turning_chance, 1.0) if hopeless.step.value == "regraft" else 0.0


@dataclass(frozen=True)
class PlantAdvice:
    """What to do with a plant that waits: `step` is "wait", "regraft" or "give up"; `turning` is None where nothing turns it."""

    step: str
    chance: float
    low: float
    high: float
    turning: float | None
    close: bool
    values: dict[str, float]
    stakes: Stakes
    assumptions: list[str] = field(default_factory=list)

    @property
    def sentence(self) -> str:
        """Wait: 62 %, turns at 30 %."""
        first = _FIRST[self.step]
        if self.turning is not None:
            text = (
                mark("{first}: {chance}, turns at {turning}; a close call.")
                if self.close
                else mark("{first}: {chance}, turns at {turning}.")
            )
            return say(text, first=first, chance=percent(self.chance), turning=percent(self.turning))
        return say("{first}: {chance}, and so at any chance.", first=first, chance=percent(self.chance))

    @property
    def why(self) -> str:
        """The chance's range, and how much time is left."""
        stakes = self.stakes
        time = say("this is no time to graft it again")
        if stakes.until is not None and stakes.days_left > 0:
            time = say("it can be grafted again until {day}", day=day_words(stakes.until))
        again = say(" A new graft has {regraft_chance}.", regraft_chance=percent(stakes.regraft_chance)) if stakes.days_left else ""
        told = say("whether it is firm shows in {days_to_know} days", days_to_know=stakes.days_to_know)
        return say(
            "Its chance to be firm lies in {percent_range}; {told}; {time}.{again}",
            percent_range=percent_range(self.low, self.high),
            told=told,
            time=time,
            again=again,
        )

    @property
    def choices(self) -> list[tuple[str, str]]:
        """Each choice with what it is worth, the best first."""
        ordered = sorted(self.values.items(), key=lambda pair: -pair[1])
        return [(_CHOICES[step], f"{value:.1f}") for step, value in ordered]

    def to_dict(self) -> dict[str, Any]:
        return {**asdict(self), "sentence": self.sentence, "why": self.why}


def wait_advice(plant: Plant, *, today: date, figures: Figures | None = None) -> PlantAdvice | None:
    """The advice for a plant; None for one whose take is known, is in doubt, or of whose graft no day is known."""
    nursery = queries.nursery()
    graft = _last(plant)
    if graft is None or graft.precision != "day" or evidence(plant, nursery) is not Evidence.WAITING:
        return None
    with one_reading():
        chance = waiting_chances([plant]).get(plant.pk)
        if chance is None:
            return None
        again = _again_chances({graft.cultivar_id} if graft.cultivar_id else set())
        stakes = _stakes(graft, nursery, today, figures or Figures(), again)
    found = stakes.advice(chance.mid, chance.low, chance.high)
    turning = found.turning_chance if 0 < found.turning_chance < math.inf else None
    values = {step.value: float(value) for step, value in found.values.items()}
    return PlantAdvice(
        found.step.value, chance.mid, chance.low, chance.high, turning, found.close, values, stakes, _assumptions(stakes, found)
    )


def graft_again(plants: Iterable[Plant], *, today: date) -> tuple[list[Plant], date | None]:
    """Those of these plants that are likely lost and better grafted again, and the first day on which time for that ends."""
    nursery = queries.nursery()
    listed = [plant for plant in plants if _may_be_again(plant, nursery, today)]
    if not listed:
        return [], None
    chances = waiting_chances(listed)
    again = _again_chances({plant.cultivar_id for plant in listed if plant.cultivar_id})
    worths: dict[UUID | None, tuple[float, str]] = {}
    known: dict[tuple[UUID | None, UUID | None, date], Stakes] = {}
    found: list[Plant] = []
    ends: list[date] = []
    for plant in listed:
        graft = _last(plant)
        if graft is None or plant.pk not in chances:
            continue
        key = (graft.cultivar_id, graft.method_id, graft_day(graft, nursery))
        if key not in known:
            if graft.cultivar_id not in worths:
                worths[graft.cultivar_id] = _worth(graft)
            known[key] = _stakes(graft, nursery, today, Figures(), again, worths[graft.cultivar_id])
        stakes = known[key]
        if stakes.until is not None and chances[plant.pk].mid < stakes.again_below:
            found.append(plant)
            ends.append(stakes.until)
    return found, min(ends, default=None)


def _may_be_again(plant: Plant, nursery: Nursery, today: date) -> bool:
    """Waits, and its method's time is not over."""
    graft = _last(plant)
    if graft is None or graft.precision != "day" or plant.state not in queries.STANDING:
        return False
    return _window_end(graft, nursery, today) is not None and evidence(plant, nursery) is Evidence.WAITING


def _last(plant: Plant) -> Graft | None:
    return next(iter(reversed(list(plant.grafts.all()))), None)


def _again_chances(cultivars: set[UUID]) -> dict[UUID, float]:
    """The chance of a new graft of each cultivar in a coming season."""
    wanted = sorted(cultivars, key=str)
    if not wanted:
        return {}
    draws, _ = coming_draws(STAGE, wanted)
    return {ident: float(mean) for ident, mean in zip(wanted, draws.mean(axis=0), strict=True)}


def _stakes(
    graft: Graft,
    nursery: Nursery,
    today: date,
    figures: Figures,
    again: Mapping[UUID, float],
    known_worth: tuple[float, str] | None = None,
) -> Stakes:
    worth, worth_from = (figures.worth, say("as you set it")) if figures.worth is not None else known_worth or _worth(graft)
    until = figures.until or _window_end(graft, nursery, today)
    days_left = max((until - today).days, 0) if until else 0
    told = (stage_date(STAGE, graft.method, graft_day(graft, nursery), nursery.latitude_deg) - today).days
    return Stakes(
        worth=worth,
        worth_from=worth_from,
        place=figures.place if figures.place is not None else PLACE_SHARE * worth,
        graft=figures.graft if figures.graft is not None else GRAFT_SHARE * worth,
        until=until,
        days_left=days_left,
        days_to_know=told if told > 0 else _LOOK_AGAIN_DAYS,
        healing_days=float(graft.method.closed_days) if graft.method else _HEALING_DAYS,
        regraft_chance=again.get(graft.cultivar_id, _ANY_CHANCE) if graft.cultivar_id else _ANY_CHANCE,
    )


def _worth(graft: Graft) -> tuple[float, str]:
    """What a plant of this cultivar is worth, and who says so."""
    wish = Wish.objects.filter(cultivar=graft.cultivar_id, worth__isnull=False, retired=False).order_by("-season").first()
    if wish is not None and wish.worth is not None:
        return float(wish.worth), say("from your wish for {season}", season=wish.season)
    price = graft.cultivar.price if graft.cultivar else None
    return (float(price), say("the cultivar's price")) if price is not None else (WORTH, say("project default, unsourced"))


def _window_end(graft: Graft, nursery: Nursery, today: date) -> date | None:
    """The last day of this method's time for grafting, if today lies in it: leafy scions while trees stand in leaf, others while bare."""
    leafy = graft.method.leafy if graft.method else in_leaf_season(graft_day(graft, nursery), nursery.latitude_deg)
    if in_leaf_season(today, nursery.latitude_deg) != leafy:
        return None
    return _turn_of_leaf(today, nursery.latitude_deg)


@cache
def _turn_of_leaf(today: date, latitude_deg: float | None) -> date:
    """The last day before trees lose their leaves, or come into leaf, whichever is next."""
    now, day = in_leaf_season(today, latitude_deg), today
    while in_leaf_season(day + timedelta(days=1), latitude_deg) == now:
        day += timedelta(days=1)
    return day


def _assumptions(stakes: Stakes, found: WaitAdvice) -> list[str]:
    return [
        say("A plant that took is worth {worth:g} ({worth_from}), whenever it took.", worth=stakes.worth, worth_from=stakes.worth_from),
        say(
            "Its place is worth {place:g} a week to another plant, and a new graft costs {graft:g} in scion and "
            "work ({place_share:.0%} and {graft_share:.0%} of a plant's worth unless you set them; project "
            "default, unsourced).",
            place=stakes.place,
            graft=stakes.graft,
            place_share=PLACE_SHARE,
            graft_share=GRAFT_SHARE,
        ),
        say(
            "Leafy scions are grafted while trees stand in leaf, others while they are bare: from or until a "
            "month after the equinox (project default, unsourced)."
        ),
        found.assumptions[0],
        *found.assumptions[2:],  # the worth is told above, with where it comes from
    ]
