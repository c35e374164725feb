"""The plan of a season: how many grafts, rootstocks, sticks, trays and hours the wishes need, and what is short.

It adds up and does not choose: where something is short, what to give up is the person's decision.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime
from math import ceil
from typing import Any
from uuid import UUID

import numpy as np
from django.db import transaction

from scionary.answers.bench import all_stocks_left
from scionary.answers.domes import tray_layout
from scionary.answers.growing_year import year_at, year_words
from scionary.answers.held import held
from scionary.answers.plan_assumptions import BENCH_WEEKS, FILLING_OF, STAGE_NOTE, plan_assumptions
from scionary.answers.rare import FEW
from scionary.answers.rates import STAGES, Count, coming_draws, usual_stage
from scionary.answers.usual_method import method_for
from scionary.answers.waiting import waiting
from scionary.answers.wish_lines import wish_said
from scionary.answers.words import how_sure, listed, percent, plural
from scionary.book import queries
from scionary.book.commands import cultivar_called, save_noun
from scionary.book.models import AcceptedPlan, Dome, Method, MotherTree, Nursery, PotKind, RootstockLot, Wish
from scionary.book.patience import patiently
from scionary.errors import Refused
from scionary.language import mark, say, several
from scionary.plan import SeasonNeeds, Shortage, Supplies, Way, WishNeeds, season_needs
from scionary.plan import Wish as WantedKind
from scionary.plan.needs import rootstocks_there
from scionary.take import chance_of_at_least, grafts_needed, likely_takes

NONE_YET = mark("none yet")
_SUPPLIES = {"sticks": mark("scion wood"), "trays": mark("domes"), "hours": mark("hours at the bench")}


@dataclass(frozen=True)
class PlanLine:
    """One wish and what it needs; `grafts` is None where no sensible number reaches it."""

    wish: UUID
    cultivar: UUID
    name: str
    wanted: int
    assurance: float
    grafts: int | None
    rootstocks: int | None
    sticks: int | None
    hours: float | None
    takes: tuple[int, int, int] | None
    chance: float | None
    counted: str
    by_rate: int | None
    by_rate_chance: float | None
    stage: str = "in_leaf"
    cultivar_name: str = ""

    @property
    def is_few(self) -> bool:
        """Whether so few are wished for that how they are staged decides whether the name survives."""
        return self.wanted <= FEW

    @property
    def spoken(self) -> str:
        """The cultivar's name, where the line's name also says which wish it is."""
        return self.cultivar_name or self.name

    @property
    def hours_words(self) -> str:
        """2.5 hours at the bench."""
        said = f"{self.hours or 0:.1f}".removesuffix(".0")
        return several(1 if said == "1" else 2, "{hours} hour at the bench.", "{hours} hours at the bench.", hours=said)

    @property
    def takes_words(self) -> str:
        if self.takes is None:
            return say("not reachable at any sensible number")
        low, mid, _ = self.takes
        return say("{mid}; one year in twenty {few}", mid=mid, few=say("{low} or fewer", low=low) if low else say("none"))

    @property
    def promise(self) -> str:
        """At least 20 nine years in ten, likely 37 in leaf the next spring; one year in twenty 15 or fewer."""
        if self.takes is None:
            return ""
        low, mid, _ = self.takes
        few = say("{low} or fewer", low=low) if low else say("none")
        return say(
            "At least {wanted} {sure}, likely {mid} {stage}; one year in twenty {few}.",
            wanted=self.wanted,
            sure=how_sure(self.assurance),
            mid=mid,
            stage=STAGES[self.stage],
            few=few,
        )

    @property
    def stage_note(self) -> str:
        """What is not in the number, where it ends before the next spring; empty where it does not."""
        return "" if self.stage == "in_leaf" else say(STAGE_NOTE, stage=STAGES[self.stage])

    @property
    def sentence(self) -> str:
        """20 Red Tarn, nine years in ten: graft 34."""
        answer = say("graft {grafts}", grafts=self.grafts) if self.grafts is not None else say("no sensible number of grafts is enough")
        return f"{self.wanted} {self.name}, {how_sure(self.assurance)}: {answer}."

    @property
    def why(self) -> str:
        """What dividing by the rate would say, and how often that would be enough."""
        if self.counted != NONE_YET and (self.by_rate is None or self.by_rate_chance is None):
            return say(
                "Counted so far: {counted}. Dividing by that gives no number; the chance used leans on the other cultivars.",
                counted=self.counted,
            )
        if self.by_rate is None or self.by_rate_chance is None:
            return say("Nothing is counted for this cultivar yet: the number rests on the others, or on what growers tell.")
        chance = percent(self.by_rate_chance)
        return say(
            "Counted so far: {counted}. Dividing by that would say {by_rate}, and be enough with a chance of {chance}.",
            counted=self.counted,
            by_rate=self.by_rate,
            chance=chance,
        )


@dataclass(frozen=True)
class Resource:
    """What is needed of one thing, and what is there (None: not known; `partly` when some of it is written down).

    `kind` is stocks, sticks, trays or hours; `of` the kind of stock, where it is known.
    """

    kind: str
    name: str
    needed: float
    have: float | None
    partly: bool = False
    of: str = ""


@dataclass(frozen=True)
class PlanAnswer:
    """The season's wishes, each with what it needs, the sums, what is short, and what was assumed."""

    season: int
    stage: str
    lines: list[PlanLine]
    needs: SeasonNeeds
    resources: list[Resource]
    shortages: list[Shortage]
    assumed: list[str]
    accepted: AcceptedPlan | None
    waiting: str = ""
    year_words: str = ""

    @property
    def stage_words(self) -> str:
        return STAGES[self.stage]

    @property
    def by_weeks(self) -> int | None:
        """Grafts of the plan by weeks that the bench counts against; None where it counts against these sums, or nothing."""
        plan = self.accepted
        return sum(int(line["grafts"]) for line in plan.lines) if plan is not None and plan.schedule else None

    @property
    def not_written_down(self) -> list[str]:
        """The supplies of which nobody said how many there are."""
        named = [(_supply(each), each) for each in self.resources if each.have is None]
        return [say("{name} of some cultivars", name=name) if each.partly else name for name, each in named]

    @property
    def _shortness(self) -> str:
        unknown = self.not_written_down
        told = say("Not written down: {unknown}; whether these are short cannot be told.", unknown=listed(unknown)) if unknown else ""
        if self.shortages:
            return f"{plural(len(self.shortages), 'thing')} short. {told}".strip()
        known = any(each.have is not None for each in self.resources)
        return told if unknown and not known else say("Nothing else is short. {told}", told=told) if unknown else say("Nothing is short.")

    @property
    def short(self) -> list[str]:
        return [shortage.words for shortage in self.shortages]

    @property
    def sentence(self) -> str:
        if not self.lines:
            return say("No wishes for {season} yet.", season=self.season)
        parts = [plural(self.needs.grafts, "graft", "grafts"), plural(self.needs.sticks, "stick", "sticks")]
        if self.needs.trays is not None:
            parts.append(plural(self.needs.trays, "tray", "trays"))
        parts.append(plural(ceil(self.needs.hours), "hour", "hours"))
        if self.by_weeks is not None:
            return say(
                "{season}: {grafts} in the weeks that were taken to the bench. All {wishes} as sure as you asked: {parts}. {shortness}",
                season=self.season,
                grafts=plural(self.by_weeks, "graft"),
                wishes=plural(len(self.lines), "wish", "wishes"),
                parts=", ".join(parts),
                shortness=self._shortness,
            )
        return say(
            "{season}: {parts} for {wishes}. {shortness}",
            season=self.season,
            parts=", ".join(parts),
            wishes=plural(len(self.lines), "wish", "wishes"),
            shortness=self._shortness,
        )

    def to_dict(self) -> dict[str, Any]:
        return {
            "season": self.season,
            "stage": self.stage,
            "sentence": self.sentence,
            "year": self.year_words,
            "lines": [
                {**asdict(line), "sentence": line.sentence, "why": line.why, "promise": line.promise, "stage_note": line.stage_note}
                for line in self.lines
            ],
            "totals": {name: getattr(self.needs, name) for name in ("grafts", "rootstocks", "sticks", "trays", "hours")},
            "short": self.short,
            "assumed": self.assumed,
            "accepted": bool(self.accepted),
            "waiting": self.waiting,
        }


def _supply(resource: Resource) -> str:
    if resource.kind == "stocks":
        return resource.name if resource.of else say("stocks")
    return say(_SUPPLIES[resource.kind])


def season_plan(*, today: date, season: int | None = None) -> PlanAnswer:
    """What the wishes of a growing year need; without a year, the next one that has wishes, else this one."""
    nursery = queries.nursery()
    year = season or coming_season(today, nursery)
    wishes = list(Wish.objects.filter(season=year, retired=False).select_related("cultivar", "method", "pot_kind"))
    stage = usual_stage()
    fillings = [ceil(wish.wanted / FILLING_OF) for wish in wishes]
    method = method_for(today, nursery)
    cultivars, methods = [wish.cultivar_id for wish in wishes], [wish.method_id or (method.pk if method else None) for wish in wishes]
    draws, counted = coming_draws(stage, cultivars, fillings=fillings, methods=methods)
    usual_pot = _usual_pot_name()
    names = zip(wishes, _names(wishes), strict=True)
    kinds = [_wanted_kind(wish, name, draws[:, i], method, usual_pot) for i, (wish, name) in enumerate(names)]
    supplies = _supplies(kinds, wishes, nursery)
    needs = held("season_needs", _content(kinds, supplies), lambda: _season_needs(kinds, supplies))
    lines = [
        _line(wish, need, counted[wish.cultivar_id], draws[:, i], stage)
        for i, (wish, need) in enumerate(zip(wishes, needs.wishes, strict=True))
    ]
    accepted = AcceptedPlan.objects.filter(season=year, retired=False).order_by("-accepted_at").first()
    assumed = [*plan_assumptions(stage, nursery, wishes, usual_pot=usual_pot), *_counted_words(), *needs.assumed] if wishes else []
    return PlanAnswer(
        season=year,
        stage=stage,
        lines=lines,
        needs=needs,
        resources=_resources(needs, supplies),
        shortages=list(needs.short),
        assumed=assumed,
        accepted=accepted,
        waiting=waiting(stage, today=today).words,
        year_words=year_words(year, nursery),
    )


def _season_needs(kinds: Sequence[WantedKind], supplies: Supplies) -> SeasonNeeds:
    return season_needs(kinds, supplies, grafts_needed=grafts_needed, chance_of_at_least=chance_of_at_least, likely_takes=likely_takes)


def _content(kinds: Sequence[WantedKind], supplies: Supplies) -> str:
    """A hash of everything that the needs rest on."""
    digest = hashlib.sha256(repr(supplies).encode())
    for kind in kinds:
        digest.update(np.ascontiguousarray(kind.take_draws).tobytes())
        digest.update(repr(replace(kind, take_draws=())).encode())
    return digest.hexdigest()


def name_in_wish(text: str) -> str:
    """The cultivar that a wish names, as it is said; empty when it is no wish."""
    found = wish_said(text)
    return found.name if found else ""


@patiently
def add_wishes(texts: Sequence[str], *, season: int | None, today: date, assurance: float, now: datetime, who: str = "") -> list[Wish]:
    """Add wishes as they are said, "20 Red Tarn" or "20 Red Tarn at 30", all or none."""
    year = season or year_at(today, queries.nursery())
    made = []
    with transaction.atomic():
        for text in texts:
            found = wish_said(text)
            if found is None:
                raise Refused(
                    say("{typed!r} is no wish.", typed=text[:60]), where="wish", remedy=say("Write a number and a name: 20 Red Tarn.")
                )
            values = {
                "cultivar": cultivar_called(found.name, now=now, who=who),
                "wanted": found.wanted,
                "season": year,
                "assurance": assurance,
                "worth": found.worth,
            }
            made.append(save_noun(Wish, values, now=now, who=who))
    return made


def accept_plan(answer: PlanAnswer, *, now: datetime, who: str = "") -> AcceptedPlan:
    """Take the plan to the bench: its numbers are what the bench counts against."""
    if not answer.lines:
        raise Refused(say("there is no wish to plan for."), where="plan", remedy=say("Add one: 20 Red Tarn."))
    totals: Counter[str] = Counter()
    for line in answer.lines:
        totals[str(line.cultivar)] += line.grafts or 0
    lines = [{"cultivar": key, "grafts": grafts} for key, grafts in totals.items()]
    return save_noun(AcceptedPlan, {"season": answer.season, "accepted_at": now, "lines": lines}, now=now, who=who)


def coming_season(today: date, nursery: Nursery) -> int:
    """The next growing year that has wishes, else this one."""
    year = year_at(today, nursery)
    coming = Wish.objects.filter(season__gte=year, retired=False).order_by("season").values_list("season", flat=True).first()
    return coming or year


def _names(wishes: Sequence[Wish]) -> list[str]:
    """One name a wish; a second wish of the same cultivar is told apart by its number."""
    seen: Counter[str] = Counter()
    names = []
    for wish in wishes:
        spoken = wish.cultivar.spoken
        seen[spoken] += 1
        names.append(spoken if seen[spoken] == 1 else say("{cultivar}, wish {number}", cultivar=spoken, number=seen[spoken]))
    return names


def _wanted_kind(wish: Wish, name: str, draws: Any, usual: Method | None, usual_pot: str) -> WantedKind:
    method = wish.method or usual
    way = (
        Way(method.grafts_a_stick, method.minutes_a_graft, round((method.closed_days + method.hardening_days) / 7, 1)) if method else Way()
    )
    pot = wish.pot_kind.name if wish.pot_kind else usual_pot
    return WantedKind(name, wish.wanted, draws, pot, _genus(wish.cultivar.botanical), wish.assurance, wish.cultivar.later_survival, way)


def _usual_pot_name() -> str:
    pot = PotKind.objects.filter(retired=False).order_by("across_mm").first()
    return pot.name if pot else ""


def _genus(botanical: str) -> str:
    """The first word of a botanical name: stocks of one genus serve its cultivars. Empty when it is not known."""
    words = botanical.replace("×", " ").split()
    return words[0].capitalize() if words else ""


def _supplies(kinds: Sequence[WantedKind], wishes: Sequence[Wish], nursery: Nursery) -> Supplies:
    domes = list(Dome.objects.filter(retired=False).select_related("pot_kind"))
    hours = nursery.bench_hours_a_week
    return Supplies(
        rootstocks=_rootstocks(),
        sticks=_sticks(kinds, wishes),
        trays=len(domes) or None,
        bench_hours=hours * BENCH_WEEKS if hours is not None else None,
        pots_per_tray=_pots_a_tray({kind.pot for kind in kinds}, domes),
    )


def _rootstocks() -> dict[str, int]:
    """Stocks left by genus, of the lots that are counted; "" stands for those of any genus where all lots are."""
    left: Counter[str] = Counter()
    lots = list(RootstockLot.objects.filter(retired=False))
    left_of = all_stocks_left(lots)
    for lot in lots:
        count = left_of[lot.pk]
        if count is not None:
            left[_genus(lot.species)] += max(count, 0)
    if lots and all(left_of[lot.pk] is not None for lot in lots):
        left[""] += 0
    else:
        left.pop("", None)
    return dict(left)


def _counted_words() -> list[str]:
    """Which stocks are counted, lot by lot, and for which wishes; none where no lot is written down."""
    lots = list(RootstockLot.objects.filter(retired=False).order_by("arrived_on", "name"))
    left_of = all_stocks_left(lots)
    counted = [say("{number} of {lot}", number=max(left_of[lot.pk] or 0, 0), lot=lot.name) for lot in lots if left_of[lot.pk] is not None]
    if not counted:
        return []
    return [say("Stocks counted: {lots}. A wish without a botanical name may use any of them.", lots=listed(counted))]


def _sticks(kinds: Sequence[WantedKind], wishes: Sequence[Wish]) -> dict[str, int]:
    """Sticks that the mother trees of each wish's cultivar can give, where that is known."""
    given: Counter[UUID] = Counter()
    trees = MotherTree.objects.filter(retired=False).exclude(sticks_a_season=None)
    for cultivar, count in trees.values_list("cultivar", "sticks_a_season"):
        given[cultivar] += int(count or 0)
    return {kind.name: given[wish.cultivar_id] for kind, wish in zip(kinds, wishes, strict=True) if wish.cultivar_id in given}


def _pots_a_tray(names: set[str], domes: Sequence[Dome]) -> dict[str, int]:
    """How many pots of each kind a dome takes on average, rounded down; without a dome, a tray of the usual inside size."""
    trays = list(domes) or [Dome(name=say("a tray of the usual size"))]
    found: dict[str, int] = {}
    for pot in PotKind.objects.filter(name__in=names):
        fits = [len(tray_layout(d.length_mm, d.width_mm, pot.shape, pot.across_mm).positions) for d in trays]
        if sum(fits) >= len(fits):
            found[pot.name] = sum(fits) // len(fits)
    return found


def _line(wish: Wish, need: WishNeeds, counted: Count, draws: Any, stage: str) -> PlanLine:
    by_rate, by_rate_chance = None, None
    if counted.grafts and counted.takes:
        survival = wish.cultivar.later_survival if wish.cultivar.later_survival else 1.0
        by_rate = ceil(wish.wanted * counted.grafts / (counted.takes * survival))
        by_rate_chance = chance_of_at_least(draws * survival, by_rate, wish.wanted)
    return PlanLine(
        wish=wish.pk,
        cultivar=wish.cultivar_id,
        name=need.name,
        wanted=need.wanted,
        assurance=need.assurance,
        grafts=need.grafts,
        rootstocks=need.rootstocks,
        sticks=need.sticks,
        hours=need.hours,
        takes=need.takes,
        chance=need.chance,
        counted=say("{takes} of {grafts}", takes=counted.takes, grafts=counted.grafts) if counted.grafts else NONE_YET,
        by_rate=by_rate,
        by_rate_chance=by_rate_chance,
        stage=stage,
        cultivar_name=wish.cultivar.spoken,
    )


def _resources(needs: SeasonNeeds, supplies: Supplies) -> list[Resource]:
    there = rootstocks_there(needs.rootstocks_by_kind, supplies)
    rows = [
        Resource(
            "stocks",
            say("{kind} stocks", kind=kind) if kind else say("Any stocks"),
            count,
            there.get(kind),
            of=kind,
        )
        for kind, count in needs.rootstocks_by_kind.items()
    ]
    sticks = sum(supplies.sticks.values()) if len(supplies.sticks) == len(needs.wishes) else None
    rows.append(Resource("sticks", say("Sticks"), needs.sticks, sticks, partly=sticks is None and bool(supplies.sticks)))
    if needs.trays is not None:
        rows.append(Resource("trays", say("Trays at once"), needs.trays, supplies.trays))
    rows.append(Resource("hours", say("Bench hours"), needs.hours, supplies.bench_hours))
    return rows
