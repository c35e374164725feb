"""Planning a trial: what it takes to tell its arms apart, what chance the places at hand give, and the lot that is drawn and kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from math import ceil, comb
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.answers.domes import pot_size, tray_layout
from scionary.answers.luck import shared_luck
from scionary.answers.rates import usual_stage
from scionary.answers.take_model import SEED, STAGES, take_model
from scionary.answers.trial_hope import POWER, SIGNIFICANCE, Hope, hope_of, others_than, usual_rate
from scionary.answers.words import day_words, listed, percent, plural
from scionary.book import queries
from scionary.book.commands import save_noun
from scionary.book.kinds import plain
from scionary.book.models import Dome, Trial
from scionary.book.patience import patiently
from scionary.errors import BadValue, Refused, UnknownSubject
from scionary.language import either, in_english, say, several
from scionary.take import TrialLayout, layout_warnings, trial_layout

MOST_FILLINGS = 12
DIFFERENCE = 0.15  # that matters, where none is named; project default, unsourced
_FAIR_CHANCE = 0.5  # below this a trial is more likely to leave the question open; project default, unsourced


@dataclass(frozen=True)
class TrialAsk:
    """What a person wants to try. Without `domes` all that are in use take part; without `grafts_a_dome` all their places."""

    name: str
    arms: tuple[str, ...]
    begins_on: date
    question: str = ""
    stage: str = ""
    cultivars: tuple[UUID, ...] = ()
    whole_dome: bool = False
    domes: tuple[UUID, ...] = ()
    fillings: int = 1
    grafts_a_dome: int | None = None
    free_only: bool = False
    difference: float = DIFFERENCE


@dataclass(frozen=True)
class DomePlaces:
    """A dome of a trial: the places that it gives, and how many plants stand in it now."""

    dome: Dome
    places: tuple[int, ...]
    standing: int


@dataclass(frozen=True)
class TrialPlan:
    """What a trial takes and what it can hope for."""

    ask: TrialAsk
    stage: str
    domes: list[DomePlaces]
    layout: TrialLayout
    hope: Hope
    remarks: list[str] = field(default_factory=list)
    assumptions: list[str] = field(default_factory=list)

    @property
    def an_arm(self) -> int:
        """What each arm gets at least: grafts, or filled domes."""
        table = self.layout.counts
        return int(((table > 0).sum(axis=0) if self.ask.whole_dome else table.sum(axis=0)).min())

    @property
    def unit(self) -> str:
        return "filled dome" if self.ask.whole_dome else "graft"

    def _units(self, count: int) -> str:
        return plural(count, "filled dome", "filled domes") if self.ask.whole_dome else plural(count, "graft")

    @property
    def fillings_needed(self) -> int | None:
        """How often these domes would have to be filled; None where no sensible number does."""
        if self.hope.needed is None:
            return None
        once = (len(self.domes) if self.ask.whole_dome else sum(len(each.places) for each in self.domes)) / len(self.ask.arms)
        return ceil(self.hope.needed / once - 1e-9)

    @property
    def sentence(self) -> str:
        """What the places at hand can tell."""
        others = either(percent(other) for other in others_than(self.hope.rate, self.ask.difference))
        return say(
            "With {units} of each this trial would tell {rate} from {others} apart in about {number} of 100 such trials.",
            units=self._units(self.an_arm),
            rate=percent(self.hope.rate),
            others=others,
            number=round(100 * self.hope.chance),
        )

    @property
    def why(self) -> str:
        """What would be needed for a good chance."""
        if self.hope.needed is None:
            return say("No sensible number of domes would tell so small a difference apart when a dome is treated as a whole.")
        return several(
            self.fillings_needed or 1,
            "It takes {units} of each to tell them apart in {often} of 100: these domes filled once.",
            "It takes {units} of each to tell them apart in {often} of 100: these domes filled {count} times.",
            units=self._units(self.hope.needed),
            often=round(100 * POWER),
        )

    @property
    def advice(self) -> str:
        """What to do about a small chance; empty when the chance is fair."""
        if self.hope.chance >= _FAIR_CHANCE:
            return ""
        if self.ask.whole_dome:
            return say("As it stands it would most likely leave the question open. Where it can be, put them side by side in every dome.")
        return say("As it stands it would most likely leave the question open: fill the domes more often, or ask for a larger difference.")

    def to_dict(self) -> dict[str, Any]:
        return {
            "name": self.ask.name,
            "arms": list(self.ask.arms),
            "stage": self.stage,
            "whole_dome": self.ask.whole_dome,
            "domes": [{"dome": each.dome.name, "places": list(each.places), "standing": each.standing} for each in self.domes],
            "an_arm": self.an_arm,
            "unit": self.unit,
            "rate": self.hope.rate,
            "against": self.hope.against,
            "needed_an_arm": self.hope.needed,
            "fillings_needed": self.fillings_needed,
            "chance": self.hope.chance,
            "sentence": self.sentence,
            "why": self.why,
            "remarks": self.remarks,
            "assumptions": self.assumptions,
        }


def plan_trial(ask: TrialAsk, *, seed: int = SEED, today: date | None = None) -> TrialPlan:
    """What this trial takes, and its layout by the lot of a seed, drawn today. Raises `Refused` where it cannot be laid out."""
    checked = _checked(ask)
    stage = checked.stage or usual_stage()
    domes = _domes(checked)
    layout = _laid_out(checked, domes, seed)
    model = take_model(stage)
    block_sd, luck_words = shared_luck(model, "day", "dome")
    pairs = comb(len(checked.arms), 2)
    hope = hope_of(layout, usual_rate(stage, checked.cultivars), checked.difference, block_sd=min(block_sd, 5.0), comparisons=pairs)
    busy = [
        say("{dome} holds {plants} now", dome=each.dome.name, plants=plural(each.standing, "plant"))
        for each in domes
        if each.standing and not checked.free_only
    ]
    remarks = [*layout.warnings, *([say("{busy}: by the day the trial begins that must be cleared.", busy=listed(busy))] if busy else [])]
    if today is not None and checked.begins_on < today:
        remarks.append(before_the_lot(checked.begins_on, today))
    assumed = [
        say(
            "The usual rate, {rate} {stage}, is the middle of what your records say of {whose} in a coming season.",
            rate=percent(hope.rate),
            stage=STAGES[stage],
            whose=say("these cultivars") if checked.cultivars else say("all cultivars"),
        ),
        *luck_words,
        say(
            "A difference is claimed when one so large would come by luck in fewer than {significance:.0%} of "
            "trials without any (common practice, no source){shared}.",
            significance=SIGNIFICANCE,
            shared=say(", shared out over {pairs} comparisons", pairs=pairs) if pairs > 1 else "",
        ),
        say("All grafts are made as laid out and their outcome becomes known; what is missing comes on top."),
    ]
    return TrialPlan(checked, stage, domes, layout, hope, remarks, assumed)


@patiently
def keep_trial(ask: TrialAsk, *, now: datetime, ident: UUID, seed: int | None = None, who: str = "") -> Trial:
    """Draw the lot and keep the trial under this id; the same form sent twice keeps one. Without a seed the id gives it."""
    lot = ident.int % 2**48 if seed is None else seed
    with transaction.atomic():
        there = Trial.objects.filter(pk=ident).first()
        if there is not None:
            return there
        plan = plan_trial(ask, seed=lot)
        with in_english():
            remarks = layout_warnings(plan.layout)
        values = {
            "id": ident,
            "name": plan.ask.name,
            "question": plan.ask.question,
            "arms": list(plan.ask.arms),
            "stage": plan.stage,
            "cultivars": [str(pk) for pk in plan.ask.cultivars],
            "whole_dome": plan.ask.whole_dome,
            "difference": plan.ask.difference,
            "begins_on": plan.ask.begins_on,
            "made_at": now,
            "seed": lot,
            "layout": _blocks(plan),
            "remarks": list(remarks),
        }
        return save_noun(Trial, values, now=now, who=who)


def _checked(ask: TrialAsk) -> TrialAsk:
    arms = tuple(" ".join(plain(arm).split()) for arm in ask.arms if plain(arm).strip())
    if not 2 <= len(arms) <= 4:
        raise Refused(
            say("it compares {things}.", things=plural(len(arms), "thing")),
            where="arms",
            remedy=say("Name two to four: film, rubber strip."),
        )
    if len({arm.casefold() for arm in arms}) < len(arms):
        raise Refused(say("two things that are compared have the same name."), where="arms", remedy=say("Give each a name of its own."))
    if ask.stage and ask.stage not in STAGES:
        raise Refused(
            say("{stage!r} is no stage.", stage=ask.stage), where="stage", remedy=say("One of: {stages}.", stages=", ".join(STAGES))
        )
    if not 1 <= ask.fillings <= MOST_FILLINGS:
        raise Refused(
            say("{number} fillings.", number=ask.fillings),
            where="fillings",
            remedy=say("Give a number from 1 to {most_fillings}.", most_fillings=MOST_FILLINGS),
        )
    if ask.grafts_a_dome is not None and ask.grafts_a_dome < 1:
        raise Refused(
            say("{number} grafts.", number=ask.grafts_a_dome), where="grafts", remedy=say("Give a number from 1, or leave it empty.")
        )
    if not 0.01 <= ask.difference <= 0.45:
        raise Refused(
            say("a difference of {difference:g}.", difference=ask.difference),
            where="difference",
            remedy=say("Give 0.01 to 0.45: 0.15 is 15 more in 100."),
        )
    name = " ".join(plain(ask.name).split())
    if not name:
        raise Refused(say("the trial has no name."), where="name", remedy=say("Name it as you would speak of it: Film or rubber."))
    return TrialAsk(**{**vars(ask), "arms": arms, "name": name, "question": " ".join(plain(ask.question).split())})


def _domes(ask: TrialAsk) -> list[DomePlaces]:
    """The places that each dome gives, in the order of the domes' names."""
    chosen = Dome.objects.filter(pk__in=ask.domes) if ask.domes else Dome.objects.filter(retired=False)
    domes = list(chosen.select_related("pot_kind").order_by("name"))
    if len(domes) < len(set(ask.domes)):
        raise UnknownSubject(say("the book holds no such dome."), where="domes", remedy=say("Choose among those under Domes."))
    if not domes:
        raise Refused(
            say("the book holds no dome yet."), where="domes", remedy=say("Add one under Domes: its size says how many places it has.")
        )
    places = [_places(dome, ask) for dome in domes]
    full = [each.dome.name for each in places if not each.places]
    if full:
        raise Refused(say("{full} has no free place.", full=listed(full)), where="domes", remedy=say("Leave it out, or count all places."))
    return places


def _places(dome: Dome, ask: TrialAsk) -> DomePlaces:
    plants = list(queries.plants_in(dome))
    across, shape = pot_size(dome, plants)
    holds = len(tray_layout(dome.length_mm, dome.width_mm, shape, across).positions)
    taken = {plant.place for plant in plants} if ask.free_only else set()
    free = [place for place in range(1, holds + 1) if place not in taken]
    return DomePlaces(dome, tuple(free[: ask.grafts_a_dome]), len(plants))


def _laid_out(ask: TrialAsk, domes: Sequence[DomePlaces], seed: int) -> TrialLayout:
    trays = [(block_name(each.dome.name, filling), len(each.places)) for filling in range(1, ask.fillings + 1) for each in domes]
    try:
        return trial_layout(ask.arms, trays, whole_tray=ask.whole_dome, rng=seed)
    except BadValue as error:
        remedy = (
            say("Choose more domes, fill them more often, or put them side by side in each dome.")
            if ask.whole_dome
            else say("Give each dome more places, or compare fewer things.")
        )
        raise Refused(say("these places are too few to set them side by side."), where="domes", remedy=remedy) from error


def before_the_lot(begins_on: date, drawn: date) -> str:
    """What to say of a trial that counts grafts from before its lot was drawn."""
    first, later = day_words(begins_on), day_words(drawn)
    return say(
        "Grafts count from {first}, before the lot is drawn ({later}): what was grafted earlier was not "
        "placed by the lot, and may bend the result.",
        first=first,
        later=later,
    )


def domes_with_room() -> list[Dome]:
    """Domes in use that have free places for two grafts at least, side by side."""
    ask = TrialAsk("", (), date.min, free_only=True)
    domes = Dome.objects.filter(retired=False).select_related("pot_kind").order_by("name")
    return [dome for dome in domes if len(_places(dome, ask).places) >= 2]


def block_name(dome: str, filling: int) -> str:
    """Dome 1; Dome 1, filling 2."""
    return dome if filling == 1 else say("{dome}, filling {filling}", dome=dome, filling=filling)


def _blocks(plan: TrialPlan) -> list[dict[str, Any]]:
    """The layout as the book keeps it: an entry a filling of a dome."""
    blocks = []
    for tray in range(len(plan.layout.tray_names)):
        filling, at = divmod(tray, len(plan.domes))
        each = plan.domes[at]
        arms = [int(arm) for arm in plan.layout.arm[plan.layout.tray == tray]]
        place = {"dome": str(each.dome.pk), "name": each.dome.name, "filling": filling + 1}
        blocks.append({**place, "places": list(each.places), "arms": arms})
    return blocks
